"""What bars are thought to ask for, against what the engraver gives them."""

from pathlib import Path
from statistics import median

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
    reading = read_score(path)
    sheet = choose_cues(reading.piece, player, Level.USUAL)
    blank = uncued_part(reading, sheet)
    document = part_document(blank.mei, reading.piece, player, cue_rows(reading.piece, sheet), blank.own.staves)
    set_systems(document, [range(len(document.bars))], ())
    (system,) = one_line(etree.tostring(document.root, encoding="unicode"), 7.0)
    shapes = bar_shapes(document, [0.0] * len(reading.piece.bars), 7.0)
    pairs = list(zip(shapes, system.widths, strict=True))[1:]  # the first bar holds clef, key and meter too
    errors = [abs(shape.width * UNITS_PER_MM / width - 1) for shape, width in pairs]
    assert median(errors) < 0.05
    assert sum(error < 0.15 for error in errors) > 0.94 * len(errors)
