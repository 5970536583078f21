"""What bars are thought to ask for, against what the engraver gives them."""

from pathlib import Path
from statistics import median
from typing import Any

import music21
import pytest
from lxml import etree

from score.cues.cue_choice import choose_cues
from score.cues.sheet import Level
from score.parts.bar_estimate import bar_shapes
from score.parts.cued_part import cue_rows
from score.parts.drawn_staves import UNITS_PER_MM
from score.parts.engraver import one_line
from score.parts.mei import part_document
from score.parts.system_marks import set_systems
from score.parts.uncued_part import uncued_part
from score.reading import read_score
from score.reading.reading_result import Reading

CORPUS = Path(music21.__file__).parent / "corpus"
# None of these was among the scores the figures were fitted to, except the sample.
SCORES = [
    Path(__file__).parents[2] / "samples" / "quartet.musicxml",
    CORPUS / "haydn" / "opus1no1" / "movement2.mxl",
    CORPUS / "mozart" / "k156" / "movement1.mxl",
]


@pytest.mark.parametrize("path", SCORES, ids=lambda path: f"{path.parent.name}-{path.stem}")
@pytest.mark.parametrize("player", [1, 4])
def test_widths_are_the_engraver_s(path: Path, player: int) -> None:
    pairs = thought_and_drawn(read_score(path), player)[1:]  # the first bar holds clef, key and meter too
    errors = [abs(thought / drawn - 1) for thought, drawn in pairs]
    assert median(errors) < 0.05
    assert sum(error < 0.15 for error in errors) > 0.94 * len(errors)


def test_a_breve_is_as_long_as_it_is_written(small: Any, tmp_path: Path) -> None:
    breve = small.note(4).replace("<duration>16<", "<duration>32<").replace(">whole<", ">breve<")
    meter = "<attributes><time><beats>4</beats><beat-type>2</beat-type></time></attributes>"
    bars = [small.note() * 4, meter + small.note(2) * 4, breve, small.note(4) * 2, breve]
    pairs = thought_and_drawn(small.score(tmp_path, bars, bars), 1)[2:]
    assert max(abs(thought / drawn - 1) for thought, drawn in pairs) < 0.05


def thought_and_drawn(reading: Reading, player: int) -> list[tuple[float, float]]:
    """Width of each bar of a part as it is thought to be, and as the engraver draws it, mm."""
    sheet = choose_cues(reading.piece, player, Level.USUAL)
    blank = uncued_part(reading, sheet)
    document = part_document(blank.mei, reading.piece, player, cue_rows(reading.piece, sheet), blank.own.staves)
    set_systems(document, [range(len(document.bars))], ())
    (system,) = one_line(etree.tostring(document.root, encoding="unicode"), 7.0)
    shapes = bar_shapes(document, [0.0] * len(reading.piece.bars), 7.0)
    widths = [width / UNITS_PER_MM for width in system.widths]
    return list(zip((shape.width for shape in shapes), widths, strict=True))
