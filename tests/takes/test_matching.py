"""Matching against performances of known truth, by the F-score of note alignments (Peter et al., TISMIR 2023)."""

import math
from fractions import Fraction
from pathlib import Path

import music21
import pytest

from score.reading.read_file import read_score
from score.strokes.heard_stroke import HeardStroke
from score.takes.expected_strokes import expected_pass
from score.takes.free_pass import followed_moments
from score.takes.judged_pass import StrokeState
from score.takes.played_pass import judge_played, together
from score.time.route import bars
from tests.takes.performed_passes import Errors, Performed, performed

PRELUDE = read_score(Path(music21.__file__).parent / "corpus/bach/bwv846.mxl").piece
EXPECTED = expected_pass(PRELUDE, bars(PRELUDE, list(range(12))), 1)


def f_score(played: Performed, heard: list[int | None]) -> float:
    """Pairs of expected stroke and performed moment, those said against those that are so."""
    truth = {(i, i) for i, moment in enumerate(played.moments) if moment is not None}
    said = {(i, j) for i, j in enumerate(heard) if j is not None}
    return 2 * len(said & truth) / (len(said) + len(truth))


def heard_index(played: Performed, seconds: float | None) -> int | None:
    """Which expected stroke was really played at a moment; -1 where none was."""
    if seconds is None:
        return None
    near = [(abs(m - seconds), i) for i, m in enumerate(played.moments) if m is not None]
    away, index = min(near)
    return index if away < 0.012 else -1


@pytest.mark.parametrize(
    ("sd", "errors", "least"),
    [(0.01, 0.0, 0.995), (0.02, 0.0, 0.99), (0.02, 0.03, 0.98), (0.04, 0.0, 0.97), (0.02, 0.1, 0.96)],
)
def test_strokes_along_the_machine_find_their_places(sd: float, errors: float, least: float) -> None:
    played = performed(EXPECTED, 160, sd, Errors(errors, errors, errors))
    judgement = judge_played(EXPECTED, played.notes, start=0.0)
    written = [stroke for stroke in judgement.strokes if stroke.state is not StrokeState.EXTRA]
    assert f_score(played, [heard_index(played, stroke.seconds) for stroke in written]) >= least


@pytest.mark.parametrize(
    ("sd", "slower", "bend", "errors", "least"),
    [
        (0.02, 1.0, 0.0, 0.0, 0.99),
        (0.02, 1.15, 0.0, 0.0, 0.99),
        (0.02, 1.0, 0.1, 0.0, 0.99),
        (0.02, 1.0, 0.05, 0.03, 0.97),
    ],
)
def test_a_player_alone_is_followed(sd: float, slower: float, bend: float, errors: float, least: float) -> None:
    played = performed(EXPECTED, 161, sd, Errors(errors, errors, errors))

    def free(seconds: float) -> float:
        return 1.0 + slower * seconds + bend * 4 / (2 * math.pi) * math.sin(2 * math.pi * seconds / 4)

    heard = [note._replace(seconds=free(note.seconds)) for note in played.notes]
    moments = together(heard)
    places = followed_moments(EXPECTED, moments).places
    bent = played._replace(moments=tuple(None if m is None else free(m) for m in played.moments))
    found: list[int | None] = [None] * len(EXPECTED.strokes)
    for moment, place in zip(moments, places, strict=True):
        if place is not None:
            found[place] = heard_index(bent, moment.seconds)
    assert f_score(bent, found) >= least


def test_who_goes_on_after_a_roll_is_not_taken_to_roll_on() -> None:
    """A roll takes every stroke that comes in it, and none after it: the sonata has a trill in its fourth bar."""
    sonata = read_score(Path(music21.__file__).parent / "corpus/mozart/k545/movement1_exposition.mxl").piece
    expected = expected_pass(sonata, bars(sonata, list(range(11))), 1)
    (rolled,) = [index for index, stroke in enumerate(expected.strokes) if stroke.is_rolled]
    assert rolled < len(expected.strokes) // 4
    played = performed(expected, 163, 0.02)
    moments = together(played.notes)
    truth = [m for m in played.moments if m is not None]
    places = followed_moments(expected, moments).places
    right = [p for p, m in zip(places, moments, strict=True) if p is not None and abs(truth[p] - m.seconds) < 0.036]
    assert len(set(right)) >= 0.98 * len(expected.strokes)


@pytest.mark.parametrize("seed", [164, 165])
def test_who_begins_again_does_so_near_by_where_two_places_hold_the_same(seed: int) -> None:
    """Four bars twice; the player stops in the second and goes back a bar, not to that bar of the first time."""
    twice = expected_pass(PRELUDE, bars(PRELUDE, [0, 1, 2, 3, 0, 1, 2, 3]), 1)
    half = len(twice.strokes) // 2
    played = performed(twice, seed, 0.02)
    stop, back = twice.strokes[half + 36].seconds, twice.strokes[half + 16].seconds
    later = stop - back + 1.5
    first = [note for note in played.notes if note.seconds < stop - 0.05]
    second = [n._replace(seconds=n.seconds + later) for n in played.notes if n.seconds > back - 0.05]
    judgement = judge_played(twice, [*first, *second])
    counts = [stroke.state for stroke in judgement.strokes]
    assert judgement.is_in_free_time
    assert counts.count(StrokeState.MISSED) + counts.count(StrokeState.EXTRA) <= 4
    assert sum(state.is_timed for state in counts) >= 0.97 * len(twice.strokes)


def test_who_stops_and_begins_again_is_found_again() -> None:
    played = performed(EXPECTED, 162, 0.015)
    stopped, back = EXPECTED.strokes[90], EXPECTED.strokes[76]
    first = [note for note in played.notes if note.seconds < stopped.seconds - 0.05]
    later = stopped.seconds - back.seconds + 1.4
    second = [
        note._replace(seconds=note.seconds + later) for note in played.notes if note.seconds > back.seconds - 0.05
    ]
    judgement = judge_played(EXPECTED, [note._replace(seconds=note.seconds + 5.0) for note in [*first, *second]])
    counts = [stroke.state for stroke in judgement.strokes]
    assert counts.count(StrokeState.MISSED) + counts.count(StrokeState.EXTRA) <= 6
    assert sum(state.is_timed for state in counts) >= 0.95 * len(EXPECTED.strokes)
    assert judgement.mean_ms is None


def test_extra_strokes_fall_where_they_were_played() -> None:
    exact = [HeardStroke(s.seconds + 1.0, 1.0, p) for s in EXPECTED.strokes for p in sorted(s.pitches)]
    between = (EXPECTED.strokes[8].seconds + EXPECTED.strokes[9].seconds) / 2
    judgement = judge_played(EXPECTED, sorted([*exact, HeardStroke(between + 1.0, 1.0, 40)]), start=1.0)
    (extra,) = [stroke for stroke in judgement.strokes if stroke.state is StrokeState.EXTRA]
    eighth, ninth = EXPECTED.strokes[8], EXPECTED.strokes[9]
    assert extra.bar == eighth.bar
    assert eighth.at < extra.at < ninth.at or ninth.at == Fraction(0)
    assert judgement.mean_ms == pytest.approx(0.0, abs=0.01)
