"""Cues written into the engraver's document against the engraver's own import of the same MusicXML."""

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import music21
import pytest
from lxml import etree

from score.cues.cue_choice import choose_cues
from score.cues.sheet import Level
from score.parts.cue_beams import beam_runs, tuplet_spans
from score.parts.cue_notes import write_cues
from score.parts.cue_rhythm import Sign
from score.parts.cued_part import cue_rows
from score.parts.engraver import to_mei
from score.parts.printed_bar import MEI
from score.parts.uncued_part import uncued_part
from score.piece import Bar, Meter
from score.reading import read_score

CORPUS = Path(music21.__file__).parent / "corpus"
SCORES = [
    Path(__file__).parents[2] / "samples" / "quartet.musicxml",
    CORPUS / "mozart" / "k155" / "movement2.mxl",
    CORPUS / "haydn" / "opus74no1" / "movement3.mxl",
]
XML_ID = "{http://www.w3.org/XML/1998/namespace}id"
# Names made anew at each import, lengths in ticks (for playing only), and what a later step takes away.
IDLE = {XML_ID, "dur.ppq", "visible", "type"}


def drawn(root: etree._Element, cue_staves: int) -> Iterator[list[str]]:
    """Bar by bar everything on the cue staves, in a form that does not depend on the engraver's own names."""
    measures = list(root.iter(MEI + "measure"))
    places = {
        f"#{note.get(XML_ID)}": f"{bar}/{staff.get('n')}/{index}"
        for bar, measure in enumerate(measures)
        for staff in measure.findall(MEI + "staff")
        for index, note in enumerate(staff.iter(MEI + "note"))
        if int(staff.get("n") or 0) <= cue_staves
    }
    for measure in measures:
        staves = [staff for staff in measure.findall(MEI + "staff") if int(staff.get("n") or 0) <= cue_staves]
        words = [d for d in measure.findall(MEI + "dir") if int((d.get("staff") or "99").split()[0]) <= cue_staves]
        ties = [
            tie for tie in measure.findall(MEI + "tie") if tie.get("startid") in places or tie.get("endid") in places
        ]
        yield [_text(element, places) for element in (*staves, *words)] + sorted(_text(tie, places) for tie in ties)


def _text(element: etree._Element, places: dict[str, str]) -> str:
    said = sorted(f"{name}={places.get(value, value)}" for name, value in element.attrib.items() if name not in IDLE)  # type: ignore[arg-type, str-bytes-safe]
    inner = " ".join(_text(child, places) for child in element)
    return f"<{element.tag} {said} {(element.text or '').strip()} {inner}>"


@pytest.mark.parametrize("path", SCORES, ids=lambda path: f"{path.parent.name}-{path.stem}")
@pytest.mark.parametrize("level", [Level.USUAL, Level.FULL])
def test_cues_are_written_as_the_engraver_imports_them(path: Path, level: Level) -> None:
    # Outside check: the engraver's MusicXML import.
    reading = read_score(path)
    piece = reading.piece
    cued = 0
    for player in piece.players:
        sheet = choose_cues(piece, player.number, level)
        blank, rows = uncued_part(reading, sheet), cue_rows(piece, sheet)
        imported = etree.fromstring(to_mei(blank.own.with_cues(piece.bars, rows)).encode())
        written = etree.fromstring(blank.mei.encode())
        write_cues(list(written.iter(MEI + "measure")), piece.bars, rows)
        bars = zip(drawn(imported, len(rows)), drawn(written, len(rows)), strict=True)
        for index, (there, here) in enumerate(bars):
            if any(row[index].signs for row in rows):
                cued += 1
                assert here == there
    assert cued > 30


def crossing(index: int, at: Fraction, length: Fraction, tuplet: tuple[int, int] | None = None) -> Sign:
    bracket = {1: "start", 3: "stop"}.get(index, "")
    return Sign(at, length, "eighth" if length < 1 else "half", tuplet=tuplet, bracket=bracket)


def test_no_beam_is_half_inside_a_tuplet() -> None:
    # An eighth, a triplet over the beat, an eighth, a half: the triplet keeps its bracket, beams stay inside or out.
    third = Fraction(1, 3)
    places = [(Fraction(0), Fraction(1, 2)), *((Fraction(1, 2) + n * third, third) for n in range(3))]
    signs = [crossing(i, at, length, (3, 2) if i else None) for i, (at, length) in enumerate(places)]
    signs += [crossing(4, Fraction(3, 2), Fraction(1, 2)), crossing(5, Fraction(2), Fraction(2))]
    bar = Bar(0, "1", Fraction(0), Fraction(4), Meter("4/4", (Fraction(1),) * 4, Fraction(1)))
    assert list(tuplet_spans(signs)) == [(1, 3)]
    assert list(beam_runs(signs, bar)) == [[1, 2]]
