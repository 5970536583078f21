"""Sounding pitches and tuplets of every kind of note in real scores, against music21's own reading of that note."""

from collections.abc import Iterable
from fractions import Fraction
from math import lcm
from pathlib import Path
from typing import Any, NamedTuple

import music21
import pytest
from lxml import etree
from music21.musicxml.xmlToM21 import MusicXMLImporter

from score.beats import value_length
from score.reading import read_part, read_score
from score.reading.note_readings import NoteReading, note_readings, tuplet_of_length
from score.reading.part_scan import WrittenNote

# Strings, winds with transpositions, medieval ligatures, tuplets of every sort, percussion.
SELECTION = (
    "mozart/k80/movement3.mxl",
    "haydn/opus74no1/movement3.mxl",
    "beethoven/opus59no1/movement1.mxl",
    "schumann_clara/opus17/movement3.xml",
    "joplin/maple_leaf_rag.mxl",
    "schoenberg/opus19/movement2.mxl",
)


class _Kind(NamedTuple):
    """All that distinguishes a note from another one, as music21 is to see it."""

    pitch: str
    transpose: str
    grace: bool
    length: Fraction
    inside: str


def _kind(note: WrittenNote) -> _Kind:
    signs, element = note.signs, note.element
    pitch = element.find("pitch") if signs.pitch else None
    has_value = value_length((signs.type or "").strip()) is not None
    inside = [child for child in element if child.tag in ("type", "dot", "time-modification")] if has_value else []
    return _Kind(
        "<unpitched/>" if pitch is None else _text(pitch),
        "" if note.transpose is None else _text(note.transpose),
        note.grace,
        note.length,
        "".join(map(_text, inside)),
    )


def _text(element: Any) -> str:
    return etree.tostring(element, encoding="unicode", with_tail=False)


def _read_by_music21(kinds: Iterable[_Kind]) -> dict[_Kind, NoteReading]:
    """Each kind as one note of a long bar with nothing beside it; its number is its colour."""
    readings: dict[_Kind, NoteReading] = {}
    numbered = list(kinds)
    for transpose in {kind.transpose for kind in numbered}:
        run = [kind for kind in numbered if kind.transpose == transpose]
        divisions = lcm(*(kind.length.denominator for kind in run))
        notes = "".join(_note(kind, number, divisions) for number, kind in enumerate(run))
        # music21 assumes bars of four quarters and mistrusts one that is slightly longer.
        notes += f"<note><rest/><duration>{5 * divisions}</duration></note>"
        part = _music21_part(f"<attributes><divisions>{divisions}</divisions>{transpose}</attributes>{notes}")
        if transpose:
            part.toSoundingPitch(inPlace=True)
        for note in part.recurse().notes:
            tuplets = note.duration.tuplets
            ratio = (int(tuplets[0].numberNotesActual), int(tuplets[0].numberNotesNormal)) if tuplets else None
            pitch = int(note.pitch.ps // 1) if note.isNote else None
            readings[run[int(note.style.color[1:], 16)]] = NoteReading(pitch, ratio)
    return readings


def _note(kind: _Kind, number: int, divisions: int) -> str:
    length = "" if kind.grace else f"<duration>{int(kind.length * divisions)}</duration>"
    return f'<note color="#{number:08X}">{"<grace/>" * kind.grace}{kind.pitch}{length}{kind.inside}</note>'


def _music21_part(bar: str) -> Any:
    score = music21.stream.Score()
    listed = '<part-list><score-part id="P1"><part-name/></score-part></part-list>'
    xml = f'<score-partwise>{listed}<part id="P1"><measure number="1">{bar}</measure></part></score-partwise>'
    MusicXMLImporter().xmlRootToScore(music21.musicxml.xmlToM21.ET.fromstring(xml), score)
    return score.parts[0]


@pytest.mark.parametrize("name", SELECTION)
def test_every_kind_of_note_says_what_music21_reads(corpus: Path, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    said: dict[_Kind, set[NoteReading]] = {}

    def kept(notes: Iterable[WrittenNote]) -> dict[int, NoteReading]:
        notes = list(notes)
        readings = note_readings(notes)
        for note in notes:
            said.setdefault(_kind(note), set()).add(readings[note.id])
        return dict(readings)

    monkeypatch.setattr(read_part, "note_readings", kept)
    read_score(corpus / name)
    assert len(said) > 40
    assert {kind: {reading} for kind, reading in _read_by_music21(said).items()} == said


@pytest.mark.parametrize(
    "length",
    ["1/3", "2/3", "1/6", "4/3", "1/5", "2/5", "4/5", "3/5", "1/7", "4/7", "6/7", "1/9", "1/11", "1/12", "1/15", "1/24",
     "1/48", "8/3", "1/10", "1", "3/2", "7/8", "9/8", "5/4", "15/8", "1/64"],
)  # fmt: skip
def test_a_note_without_a_value_has_the_tuplet_of_its_length_as_in_music21(length: str) -> None:
    kind = _Kind("<unpitched/>", "", grace=False, length=Fraction(length), inside="")
    assert tuplet_of_length(Fraction(length)) == _read_by_music21([kind])[kind].tuplet


@pytest.mark.parametrize("length", ["5/3", "5/6", "1483/384"])
def test_a_length_that_no_single_note_has_is_no_tuplet(length: str) -> None:
    # music21 10.5 says six in the time of five, and 1536 in the time of 1483: nobody could print these.
    assert tuplet_of_length(Fraction(length)) is None


@pytest.mark.parametrize("ratio", [(3, 2), (6, 4), (5, 4), (10, 8), (2, 3), (4, 6), (9, 8), (7, 8), (4, 4), (2, 1)])
def test_ratios_are_in_lowest_terms_as_in_music21(ratio: tuple[int, int], read: Any, score_xml: Any) -> None:
    modification = (
        f"<time-modification><actual-notes>{ratio[0]}</actual-notes>"
        f"<normal-notes>{ratio[1]}</normal-notes></time-modification>"
    )
    inside = f"<type>eighth</type>{modification}"
    kind = _Kind("<pitch><step>C</step><octave>4</octave></pitch>", "", False, Fraction(1, 2), inside=inside)
    bar = f"<attributes><divisions>2</divisions></attributes><note>{kind.pitch}<duration>1</duration>{inside}</note>"
    (stroke,) = read(score_xml([bar])).players[0].strokes
    assert stroke.tuplet == _read_by_music21([kind])[kind].tuplet
