"""Ties join, let-ring does not, and no re-strike is swallowed (MusicXML 4.0, tie and tied)."""

from collections.abc import Callable
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from lxml import etree

from score.piece import Piece
from score.reading.part_heads import PartHead
from score.reading.part_scan import scan_part
from score.reading.reading_log import WarningLog
from score.reading.ties import tie_chains

Read = Callable[..., Piece]
Make = Callable[..., str]

START, STOP, RING = '<tie type="start"/>', '<tie type="stop"/>', '<notations><tied type="let-ring"/></notations>'


@pytest.fixture
def strokes(
    read: Read, score_xml: Make, attributes: Make
) -> Callable[..., list[tuple[int, Fraction, Fraction, tuple[int, ...]]]]:
    def make(*bars: str) -> list[tuple[int, Fraction, Fraction, tuple[int, ...]]]:
        piece = read(score_xml([attributes() + bars[0], *bars[1:]]))
        return [(stroke.bar, stroke.at, stroke.length, stroke.pitches) for stroke in piece.players[0].strokes]

    return make


Strokes = Callable[..., list[tuple[int, Fraction, Fraction, tuple[int, ...]]]]


def test_a_tie_over_barlines_is_one_stroke(strokes: Strokes, note: Make) -> None:
    bars = (note("C4", 16, START), note("C4", 16, STOP + START), note("C4", 8, STOP) + note("C4", 8))
    assert strokes(*bars) == [(0, 0, 10, (60,)), (2, 2, 2, (60,))]


def test_a_start_that_nothing_takes_leaves_the_next_stroke_alone(strokes: Strokes, note: Make) -> None:
    assert strokes(note("C4", 8, START) + note("C4", 8)) == [(0, 0, 2, (60,)), (0, 2, 2, (60,))]


def test_a_stop_from_nowhere_is_struck(strokes: Strokes, note: Make) -> None:
    assert strokes(note("C4", 8) + note("C4", 8, STOP)) == [(0, 0, 2, (60,)), (0, 2, 2, (60,))]


def test_a_tie_does_not_reach_over_a_rest(strokes: Strokes, note: Make) -> None:
    bar = note("C4", 4, START) + note("rest", 4) + note("C4", 8, STOP)
    assert strokes(bar) == [(0, 0, 1, (60,)), (0, 2, 2, (60,))]


def test_let_ring_joins_nothing(strokes: Strokes, note: Make) -> None:
    assert strokes(note("C4", 8, RING) + note("C4", 8)) == [(0, 0, 2, (60,)), (0, 2, 2, (60,))]


def test_stop_and_let_ring_keep_the_stroke_after(strokes: Strokes, note: Make) -> None:
    bar = note("C4", 4, START) + note("C4", 4, STOP + RING) + note("C4", 8)
    assert strokes(bar) == [(0, 0, 2, (60,)), (0, 2, 2, (60,))]


def test_drawn_ties_count_where_there_are_no_sounding_ones(strokes: Strokes, note: Make) -> None:
    start, stop = (f'<notations><tied type="{kind}"/></notations>' for kind in ("start", "stop"))
    assert strokes(note("C4", 8, start) + note("C4", 8, stop)) == [(0, 0, 4, (60,))]


def test_one_tied_note_of_a_chord(strokes: Strokes, note: Make) -> None:
    bar = note("C4", 8, START) + note("E4", 8, before="<chord/>")
    bar += note("C4", 8, STOP) + note("E4", 8, before="<chord/>")
    assert strokes(bar) == [(0, 0, 4, (60,)), (0, 0, 2, (64,)), (0, 2, 2, (64,))]


def test_a_tie_may_change_voice(strokes: Strokes, note: Make) -> None:
    bar = note("C4", 8, START + "<voice>1</voice>") + note("C4", 8, STOP + "<voice>2</voice>")
    assert strokes(bar) == [(0, 0, 4, (60,))]


def test_unpitched_notes_tie_by_their_place(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    bar = attributes() + note("u:E4", 8, START) + note("u:E4", 4, STOP) + note("u:F4", 4)
    strokes = read(score_xml([bar], names=("Percussion",))).players[0].strokes
    assert [(stroke.at, stroke.length, stroke.places) for stroke in strokes] == [(0, 3, ("E4",)), (3, 1, ("F4",))]


NOTES = st.lists(
    st.tuples(st.sampled_from("CD"), st.integers(1, 3), st.booleans(), st.booleans(), st.booleans()),
    min_size=1,
    max_size=24,
)


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(notes=NOTES)
def test_against_a_player_who_reads_note_by_note(notes: list[tuple[str, int, bool, bool, bool]]) -> None:
    """Of a single line: a note is held on only if the one before gives a tie, it takes it, and both are one pitch."""
    xml = ""
    expected: list[Any] = []
    for index, (step, length, stops, starts, rings) in enumerate(notes):
        ties = (STOP if stops else "") + (START if starts else "") + (RING if rings else "")
        xml += f"<note><pitch><step>{step}</step><octave>4</octave></pitch><duration>{length}</duration>{ties}</note>"
        before = notes[index - 1] if index else None
        if before and before[0] == step and before[3] and stops:
            expected[-1] += length
        else:
            expected.append(length)
    total = Fraction(sum(length for _, length, *_ in notes))
    part = etree.fromstring(f"<part><measure>{xml}</measure></part>")
    scan = scan_part(part, PartHead(0, "P1", "", short=""), [total], WarningLog())
    sounds = {note.id: (ord(note.element.findtext("pitch/step")), "") for note in scan.notes}  # type: ignore[arg-type]
    chains = tie_chains(scan, sounds, WarningLog())
    assert [sum(note.length for note in chain) for chain in chains.values()] == expected
    # No time is lost and none is played twice.
    assert sum(note.length for chain in chains.values() for note in chain) == total
