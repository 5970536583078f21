"""Cues with their pitches, against the notes that music21 reads in the source, and against the MusicXML schema."""

from collections import Counter
from fractions import Fraction
from pathlib import Path
from typing import Any

import music21
import pypdfium2
import pytest
from lxml import etree

from score.cues.cue_choice import choose_cues
from score.parts.cue_pitches import clef_for, reader_octaves, written_pitches
from score.parts.cued_part import cue_rows
from score.parts.paper import PageOptions
from score.parts.part_pages import part_pages
from score.parts.uncued_part import uncued_part
from score.piece import Bar, Meter
from score.reading import read_score
from tests.parts.cued_document import part_xml

CORPUS = Path(music21.__file__).parent / "corpus"
QUARTET = CORPUS / "mozart" / "k155" / "movement2.mxl"


def bar(key: int) -> Bar:
    return Bar(0, "1", Fraction(0), Fraction(4), meter=Meter("4/4", (Fraction(1),) * 4, Fraction(1)), key=key)


@pytest.mark.parametrize("player", [1, 4])
def test_cues_show_the_highest_note_that_sounds(player: int) -> None:
    reading = read_score(QUARTET)
    sheet = choose_cues(reading.piece, player)
    made = music21.converter.parseData(part_xml(reading, sheet, pitches=True), format="musicxml").parts[0]
    source = music21.converter.parse(QUARTET)
    compared = 0
    for cue in sheet.cues:
        rows = list(source.parts[cue.source - 1].getElementsByClass("Measure"))
        shown = list(made.getElementsByClass("Measure"))
        for index in cue.bars:
            notes = {
                n.offset: max(p.midi for p in n.pitches) for n in rows[index].flatten().notes if not n.duration.isGrace
            }
            for n in shown[index].flatten().notes:
                if n.offset in notes and not n.duration.isGrace:
                    assert n.pitches[0].midi == notes[n.offset], (index, n.offset)
                    compared += 1
    assert compared > 30


def test_a_part_with_pitched_cues_is_as_valid_as_its_source(small: Any, musicxml_errors: Any) -> None:
    reading = small.sample()
    before = etree.fromstring(reading.source.xml)
    for player in reading.piece.players:
        sheet = choose_cues(reading.piece, player.number)
        after = etree.fromstring(part_xml(reading, sheet, pitches=True))
        new: Counter[str] = musicxml_errors(after) - musicxml_errors(before)
        assert not new, new.most_common(3)


def test_accidentals_are_written_once_a_bar_and_taken_back() -> None:
    notes = written_pitches([66, 66, 65, None, 70, 78], bar(1))
    assert [(n.step, n.octave, n.alter, n.shown) if n else None for n in notes] == [
        ("F", 4, 1, True),
        ("F", 4, 1, False),
        ("F", 4, 0, True),
        None,
        ("A", 4, 1, True),
        ("F", 5, 1, True),
    ]
    (flat,) = written_pitches([70], bar(-1))
    assert flat is not None
    assert (flat.step, flat.alter) == ("B", -1)


def test_clef_and_octave_are_the_reader_s(small: Any) -> None:
    assert clef_for([40, 45, 50]) == "F"
    assert clef_for([60, 64]) == "G"
    piece = small.sample().piece
    assert [reader_octaves(player) for player in piece.players] == [0, 0, 0, 0]
    assert {row.clef for rows in cue_rows(piece, choose_cues(piece, 3), pitches=True) for row in rows} <= {"G", "F"}


def test_pages_with_pitched_cues_lose_nothing(small: Any) -> None:
    reading = small.sample()
    sheet = choose_cues(reading.piece, 3)
    options = PageOptions(cue_pitches=True)
    made = part_pages(uncued_part(reading, sheet), reading.piece, sheet, options)
    assert made.unprinted == ()
    text = " ".join(page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(made.pdf))
    assert "of chords the highest note" in " ".join(text.split())
