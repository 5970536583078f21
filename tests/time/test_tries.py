"""Tries of the same bars: changes, comparison, undo, what they do to the time, and their way through the file."""

import tomllib
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from score.errors import RequestError
from score.group.group_edit import add_table
from score.group.group_file import read_group
from score.reading import read_score
from score.time.from_group import pulse_options
from score.time.pulse import PulseOptions, tempo_map
from score.time.shapes import ShapeKind
from score.time.stops import written_stops
from score.time.tempo_map import Hold
from score.time.tried_tempo import bent, group_entry, seconds_gained, tempo_points
from score.time.tries import MOST_TRIES, Tries, Try, Word

PIECE = read_score(Path(__file__).parents[2] / "samples" / "quartet.musicxml").piece
START, END = PIECE.bars[56].start, PIECE.bars[64].start
PULSE = PulseOptions()


def test_two_keys_try_and_two_compare() -> None:
    tries = Tries(START, END).word(Word.BACK).more(1)
    assert tries.heard.words == "hold back 10 %"
    tries = tries.another().word(Word.TOP).named("wave")
    assert [tries.label(number) for number in range(3)] == ["as written", "1 hold back 10 %", "2 wave"]
    assert tries.next().heard.word is None
    assert tries.next().next().heard.words == "hold back 10 %"
    assert tries.choose(1).thrown_away().heard.word is None
    assert tries.choose(1).thrown_away().label(1) == "1 wave"


changes: list[Callable[[Tries], Tries]] = [
    lambda t: t.word(Word.FORWARD),
    lambda t: t.word(Word.END),
    lambda t: t.more(3),
    lambda t: t.more(-50),
    lambda t: t.next(),
    lambda t: t.next_curve(),
    lambda t: t.topped(START + 5),
    lambda t: t.to(START, END - 4),
    lambda t: t.named("ours"),
    lambda t: t.thrown_away(),
    lambda t: t.another() if len(t.tries) < MOST_TRIES else t,
]


@settings(max_examples=60, deadline=None)
@given(st.lists(st.sampled_from(changes), max_size=30))
def test_everything_can_be_undone_and_nothing_leaves_its_limits(steps: list[Callable[[Tries], Tries]]) -> None:
    tries = Tries(START, END)
    for step in steps:
        try:
            after = step(tries)
        except RequestError:
            assert len(tries.tries) == MOST_TRIES
            continue
        if after.tries != tries.tries:
            assert after.undone().tries == tries.tries
        tries = after
        assert len(tries.tries) <= MOST_TRIES
        assert 0 <= tries.chosen <= len(tries.tries)
        shape = tries.heard.shape
        assert shape is None or 0 < shape.percent <= 60
    while tries.before is not None:
        tries = tries.undone()
    assert tries.tries == ()


def test_a_sixth_try_is_refused() -> None:
    tries = Tries(START, END)
    for _ in range(MOST_TRIES):
        tries = tries.another().word(Word.BACK)
    with pytest.raises(RequestError, match="throw one away"):
        tries.another()


def test_holding_back_costs_seconds_and_leaning_forward_gains_them() -> None:
    back, forward = (Tries(START, END).word(word).heard for word in (Word.BACK, Word.FORWARD))
    # 24 quarters at 88: 16.364 s. Evenly in time to 8 % less and back the mean speed is 0.96 of it, or 1.04.
    assert seconds_gained(PIECE, PULSE, back) == pytest.approx(16.3636 / 0.96 - 16.3636, abs=1e-3)
    assert seconds_gained(PIECE, PULSE, forward) == pytest.approx(16.3636 / 1.04 - 16.3636, abs=1e-3)
    assert seconds_gained(PIECE, PULSE, Try(START, END)) == 0
    assert seconds_gained(PIECE, PULSE, Tries(START, END).word(Word.WAIT).heard) == pytest.approx(0.5)


def test_a_wait_is_cut_short_by_half() -> None:
    stop = written_stops(PIECE)[-1]
    bare = tempo_map(PIECE, PulseOptions(holds=(Hold(stop.end, 0.0),))).seconds(PIECE.length)
    held = tempo_map(PIECE).seconds(PIECE.length) - bare
    trial = Tries(stop.start, stop.end).word(Word.SHORT).heard
    assert seconds_gained(PIECE, PULSE, trial) == pytest.approx(-held / 2)
    with pytest.raises(RequestError, match="nothing is held"):
        bent(PIECE, PULSE, Tries(START, END).word(Word.SHORT).heard)


def test_the_tempo_at_the_corners_can_be_drawn() -> None:
    trial = Tries(START, END).word(Word.BACK).heard
    points = tempo_points(PIECE, bent(PIECE, PULSE, trial), START, END)
    assert [at for at, _ in points] == [START, (START + END) / 2, END]
    assert [tempo for _, tempo in points] == pytest.approx([88.0, 88 * 0.92, 88.0])


@pytest.mark.parametrize(
    "trial",
    [
        Tries(START, END).word(Word.BACK).heard,
        Tries(START + 2, END - 1).word(Word.FORWARD).topped(START + 9).next_curve().named("ours").heard,
        Tries(START, END).word(Word.END).more(4).heard,
        Tries(START + 3, END).word(Word.WAIT).heard,
        Tries(written_stops(PIECE)[-1].start, written_stops(PIECE)[-1].end).word(Word.SHORT).heard,
    ],
    ids=lambda trial: str(trial.word),
)
def test_a_try_comes_back_from_the_groups_file(trial: Try, tmp_path: Path) -> None:
    path = tmp_path / "quartet.group.toml"
    name, fields = group_entry(PIECE, PULSE, trial)
    add_table(path, name, {**fields, "state": "tried"})
    assert tomllib.loads(path.read_text(encoding="utf-8"))[name][0]["state"] == "tried"
    kept, asked = pulse_options(read_group(path), PIECE), bent(PIECE, PULSE, trial)
    assert kept.shapes == asked.shapes
    assert [hold.offset for hold in kept.holds] == [hold.offset for hold in asked.holds]
    assert [hold.seconds for hold in kept.holds] == pytest.approx([hold.seconds for hold in asked.holds], abs=1e-3)


def test_every_word_has_its_shape() -> None:
    kinds = {word: Tries(START, END).word(word).heard.kind for word in Word}
    assert [kinds[word] for word in (Word.FORWARD, Word.BACK, Word.TOP, Word.END)] == list(ShapeKind)
    assert kinds[Word.WAIT] is None
    assert Tries(Fraction(0), END).word(Word.WAIT).heard.shape is None
