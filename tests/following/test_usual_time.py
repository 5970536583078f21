"""A player's usual time: learned from takes, and the others nearer for it the next time."""

import statistics
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from score.following.follower import Follower
from score.following.leader_moments import LeaderMoment, leader_moments, moved_moments
from score.following.leader_time import LeaderTime, ReadingDepth
from score.following.learned_shape import learned_shape
from score.following.learned_time import PlayedPlace, learned_tempo, learned_time
from score.following.usual_time import TakeRates, UsualPoint, take_rates, usual_logs, usual_map
from score.playback.bent_timeline import SecondsMap, bent_timeline
from score.takes.history import History
from score.takes.kept_readings import KeptReadings
from score.time.pulse import PulseOptions
from score.time.route import bars, whole
from score.time.shapes import Shape, ShapeKind
from score.time.tries import Word
from tests.following.from_outside import write_take
from tests.following.measured import PARTS, measured_parts, rubato_nearness
from tests.following.performances import arcs, performance, steady
from tests.following.test_following import LONG, PIECE, PULSE, SAMPLE, SHORT, others_of


def by_least_squares(played: list[tuple[float, float]], places: list[float]) -> list[float]:
    """The smoothed rates as one weighted least-squares problem, solved at once: what a smoother must come to.

    The same model as in the engine: rate as a random walk of 0.1 a second, beat of 2e-4, stroke of 6e-5.

    Args:
        played: strokes.
        places: where the rates are wanted, those of all strokes among them.
    """
    count, rows, values = len(places), [], []
    first = (played[-1][1] - played[0][1]) / (played[-1][0] - played[0][0])

    def add(row: dict[int, float], value: float, variance: float) -> None:
        line = np.zeros(2 * count)
        for column, factor in row.items():
            line[column] = factor
        rows.append(line / variance**0.5)
        values.append(value / variance**0.5)

    for seconds, moment in played:
        add({2 * places.index(seconds): 1.0}, moment, 6e-5)
    add({1: 1.0}, first, 0.05)
    for index in range(1, count):
        step = places[index] - places[index - 1]
        noise = np.array([[2e-4 * step + 0.1 * step**3 / 3, 0.1 * step**2 / 2], [0.1 * step**2 / 2, 0.1 * step]])
        whiten = np.linalg.inv(np.linalg.cholesky(noise))
        move = np.zeros((2, 2 * count))
        move[0, 2 * index], move[0, 2 * index - 2], move[0, 2 * index - 1] = 1.0, -1.0, -step
        move[1, 2 * index + 1], move[1, 2 * index - 1] = 1.0, -1.0
        rows += list(whiten @ move)
        values += [0.0, 0.0]
    solution = np.linalg.lstsq(np.array(rows), np.array(values), rcond=None)[0]
    return [float(rate) for rate in solution[1::2]]


def test_the_smoothed_rate_is_that_of_least_squares() -> None:
    moments = leader_moments(PIECE, SHORT, 1, PULSE)
    played = performance(moments, 101, arcs, jitter=0.004)
    points = [(moment.seconds, at) for moment, at in zip(moments, played.moments, strict=True)]
    rates = take_rates(points)
    assert rates is not None
    logs = np.log(by_least_squares(points, list(rates.seconds)))
    logs -= np.trapezoid(logs, rates.seconds) / (rates.seconds[-1] - rates.seconds[0])
    assert rates.logs == pytest.approx(list(logs), abs=1e-6)


def test_a_mean_of_takes_is_shrunk_by_how_few_there_are() -> None:
    slower, faster = TakeRates((0.0, 10.0), (0.1, 0.1)), TakeRates((5.0, 10.0), (-0.05, -0.05))
    points = [UsualPoint(0.0, place) for place in (2.0, 7.0, 20.0)]
    assert usual_logs([[slower]], points[:1]) == pytest.approx([0.1 / 1.05])
    assert usual_logs([[slower], [faster]], points) == pytest.approx([0.1 / 1.05, 0.05 / 2.05, 0.0])
    # The second time through says the second run, a third time the last there was.
    assert usual_logs([[slower, faster]], [UsualPoint(0.0, 7.0, turn) for turn in (1, 2, 3)]) == pytest.approx(
        [0.1 / 1.05, -0.05 / 1.05, -0.05 / 1.05]
    )
    assert usual_map([], points) is None
    assert take_rates([(0.0, 1.0), (0.5, 1.5)]) is None


def test_a_steady_take_teaches_hardly_anything() -> None:
    """Its jitter is no reading: what is learned of 10 ms a stroke stays under 1 %."""
    moments = leader_moments(PIECE, LONG, 1, PULSE)
    for seed in (101, 102, 103):
        played = performance(moments, seed, steady)
        rates = take_rates([(m.seconds, at) for m, at in zip(moments, played.moments, strict=True)])
        assert rates is not None
        assert max(map(abs, rates.logs)) < 0.01


def test_what_was_held_is_no_tempo() -> None:
    played = [(0.5 * i, 0.5 * i + (2.0 if i >= 20 else 0.0)) for i in range(40)]
    rates = take_rates(played)
    assert rates is not None
    assert max(map(abs, rates.logs)) < 0.01


def test_one_stray_stroke_hardly_moves_the_curve() -> None:
    plain = [(0.5 * i, 0.5 * i) for i in range(40)]
    odd = [(s, t + (0.2 if i == 20 else 0.0)) for i, (s, t) in enumerate(plain)]
    rates = take_rates(odd)
    assert rates is not None
    assert max(map(abs, rates.logs)) < 0.04


@pytest.mark.parametrize("gap", [0.25, 0.5, 1.0])
def test_a_tempo_that_comes_back_at_once_is_learned_as_a_step(gap: float) -> None:
    """After a ritardando: three seconds at two thirds of the tempo, then straight on."""
    places = [gap * number for number in range(round(24 / gap))]
    played = [(s, s + 0.5 * min(3.0, max(0.0, s - 9.0))) for s in places]
    rates = take_rates(played)
    assert rates is not None
    usual = usual_map([[rates]], [UsualPoint(0.125 * number, 0.125 * number) for number in range(160)])
    assert usual is not None
    slow, after = usual(11.5) - usual(10.5), usual(13.0) - usual(12.0)
    assert slow / after == pytest.approx(1.5, abs=0.12)


@pytest.mark.parametrize("errors", [0.0, 0.03])
def test_what_is_kept_of_a_pass_is_where_the_strokes_belonged(errors: float) -> None:
    """Also where the place was not clear at once: strokes far too soon after a slow phrase, stray and missed ones."""
    moments = leader_moments(PIECE, LONG, 1, PULSE)
    played = performance(moments, 101, lambda seconds: 1.7 if seconds % 20 > 15 else 0.95, errors=errors)
    follower = Follower(moments)
    for stroke in played.take:
        follower.heard(stroke.moment, stroke.pitch)
    at = dict(zip(((moment.offset, moment.run) for moment in moments), played.moments, strict=True))
    kept = follower.played
    assert len(kept) > (0.99 - errors) * len(moments) - 1
    assert sum(abs(place.moment - at[place.offset, place.run]) > 0.06 for place in kept) <= 0.005 * len(kept)


def test_a_timeline_in_the_usual_time_keeps_every_strike_in_order() -> None:
    others, moments = others_of(SHORT), leader_moments(PIECE, SHORT, 1, PULSE)
    rates = take_rates(
        [(m.seconds, at) for m, at in zip(moments, performance(moments, 101, arcs).moments, strict=True)]
    )
    assert rates is not None
    usual = usual_map([[rates]], [UsualPoint(0.25 * i, 0.25 * i) for i in range(round(4 * others.seconds) + 2)])
    assert usual is not None
    bent, moved = bent_timeline(others, usual), moved_moments(moments, usual)
    assert [s.offset for s in bent.strikes] == [s.offset for s in others.strikes]
    assert all(b.seconds >= a.seconds for a, b in pairwise(bent.strikes))
    assert [m.pitches for m in moved] == [m.pitches for m in moments]
    # Where the player takes longer, so do the beats, and their tempo says so.
    for before, after in zip(others.beats, bent.beats, strict=True):
        assert after.quarters_per_minute * usual.rate(before.seconds) == pytest.approx(before.quarters_per_minute)
    assert SecondsMap([(0.0, 1.0), (2.0, 5.0)])(1.0) == 3.0


@pytest.mark.campaign
def test_after_a_take_the_others_know_where_the_player_stretches(tmp_path: Path) -> None:
    (part,) = measured_parts(tmp_path, PARTS[:1])
    first, second = (rubato_nearness(tmp_path, part, takes, 102) for takes in (0, 1))
    assert first.deviation <= 50
    assert second.deviation <= 28
    assert second.robust < first.robust
    assert statistics.fmean(second.off) == pytest.approx(0, abs=10)


def pass_with(shape: Shape, seed: int) -> list[PlayedPlace]:
    """The sample's first player over bars 17 to 24, their tempo bent by a shape."""
    moments = leader_moments(PIECE, SHORT, 1, PULSE)
    begin = PIECE.bars[16].start

    def rate(seconds: float) -> float:
        place = begin + Fraction(seconds * 104 / 60).limit_denominator(96)
        return 1 / next((c.speed(float(place - c.start)) for c in shape.curves if c.start <= place < c.end), 1.0)

    played = performance(moments, seed, rate, jitter=0.004)
    return [PlayedPlace(m.offset, at) for m, at in zip(moments, played.moments, strict=True)]


@pytest.mark.parametrize(
    ("kind", "word"),
    [(ShapeKind.FORWARD, Word.FORWARD), (ShapeKind.BACK, Word.BACK), (ShapeKind.END, Word.END)],
)
def test_a_usual_time_is_told_as_the_shape_it_is(kind: ShapeKind, word: Word) -> None:
    start, end = PIECE.bars[16].start, PIECE.bars[23].start + PIECE.bars[23].length
    shape = Shape(kind, start, end, percent=20.0)
    readings = [pass_with(shape, seed) for seed in (101, 102, 103)]
    tempo = learned_tempo(PIECE, PULSE, start, end, readings)
    trial = learned_shape(tempo, start, end)
    assert trial is not None
    assert trial.word is word
    assert trial.amount == pytest.approx(20, abs=8)
    # Where it is a shape of the group's already, nothing is left to learn.
    agreed = PulseOptions(shapes=(shape,))
    assert learned_shape(learned_tempo(PIECE, agreed, start, end, readings), start, end) is None or (
        max(abs(share - 1) for _, share in learned_tempo(PIECE, agreed, start, end, readings)) < 0.04
    )


def test_what_was_learned_in_some_bars_counts_in_the_whole_and_in_a_repeat() -> None:
    start, end = PIECE.bars[16].start, PIECE.bars[23].start + PIECE.bars[23].length
    reading = pass_with(Shape(ShapeKind.BACK, start, end, percent=20.0), 101)
    whole_map = learned_time(PIECE, whole(PIECE), PULSE, 1, [reading])
    twice = bars(PIECE, [*range(16, 24), *range(16, 24)])
    repeated = learned_time(PIECE, twice, PULSE, 0, [reading])
    assert whole_map is not None
    assert repeated is not None
    length = repeated.points[-1][0] / 2
    assert repeated.rate(length / 2) == pytest.approx(repeated.rate(1.5 * length), abs=0.01)
    assert repeated.rate(length / 2) > 1.05
    assert whole_map.rate(1.0) == pytest.approx(1.0, abs=1e-6)
    assert learned_time(PIECE, twice, PULSE, 0, []) is None
    assert learned_tempo(PIECE, PULSE, PIECE.bars[60].start, PIECE.bars[64].start, [reading]) == ()


def test_readings_are_kept_until_they_are_forgotten(tmp_path: Path) -> None:
    history = History(tmp_path / "history.sqlite")
    kept = KeptReadings(history)
    strokes = [(Fraction(1, 3) * i, 0.5 * i, i // 10) for i in range(20)]
    for number in range(8):
        kept.keep("score", 1, [(at, moment + number, run) for at, moment, run in strokes])
    kept.keep("score", 2, strokes)
    assert [reading[0][1] for reading in kept.of("score", 1)] == [2.0, 3.0, 4.0, 5.0, 6.0, 7.0]
    assert kept.of("score", 2) == (tuple(strokes),)
    history.close()
    again = KeptReadings(History(tmp_path / "history.sqlite"))
    numbers = again.forget("score", 1)
    assert len(numbers) == 8
    assert again.of("score", 1) == ()
    assert again.of("score", 2) == (tuple(strokes),)
    again.recall(numbers)
    assert len(again.of("score", 1)) == 6


def test_after_needs_a_take_to_go_with(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from tui.command import run

    moments = leader_moments(PIECE, SHORT, 1, PULSE)
    take = write_take(tmp_path / "take.mid", performance(moments, 101, steady).take)
    asked = ["tracks", str(SAMPLE), "--player", "1", "--as", "mid", "--out", str(tmp_path), "--after", str(take)]
    assert run(asked) == 2
    assert "add --follow" in capsys.readouterr().err


def test_who_bends_more_today_is_expected_to_do_so_all_along() -> None:
    """A regression over the whole pass, against NumPy's least squares where nothing is forgotten or drawn to 0."""
    rng = np.random.default_rng(101)
    usual = 0.1 * np.sin(np.arange(60) / 3)
    today = 0.05 + 0.4 * usual + rng.normal(0, 0.005, 60)
    depth = ReadingDepth()
    assert depth.share == 0.0
    for before, now in zip(usual, today, strict=True):
        depth = depth.heard(0.5, float(before), float(now))
    slope = np.polyfit(usual, today, 1, w=np.exp(-0.25 * (59 - np.arange(60)) / 90))[0]
    assert 0.4 * slope < depth.share < slope
    # Later moments are expected nearer than by somebody who knows the usual time only.
    swing = 0.1 * np.sin(np.arange(240) / 3)
    off = {}
    for knows in (True, False):
        moments = tuple(LeaderMoment(0.5 * i, usual=float(swing[i]) if knows else 0.0) for i in range(240))
        leader, moment, off[knows] = LeaderTime(moments, 0, 0.0), 0.0, 0.0
        for index in range(1, 240):
            moment += 0.5 * float(np.exp(0.4 * swing[index]))
            off[knows] += abs(leader.expected(index) - moment) if index > 120 else 0.0
            leader.heard(index, moment)
    assert off[True] < 0.85 * off[False]
