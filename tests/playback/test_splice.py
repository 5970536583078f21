"""Timelines swapped in at beats while they play: every stroke once, in order, with bent time and waits in the music."""

import random
from collections import Counter
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from pathlib import Path

import pytest

from score.activity.breath import Breath
from score.piece import Piece, StrokeKind
from score.playback.click import Thinning
from score.playback.sound_events import CLICK_PLAYER, Strike, Timeline
from score.playback.sounding.clockwork import Clockwork
from score.playback.sounding.sound_messages import PassEnded, Position
from score.playback.sounding.sound_outputs import Silent
from score.playback.splice import next_join, spliced
from score.playback.timeline import PlayOptions, timeline
from score.reading import read_score
from score.time.pulse import PulseOptions
from score.time.route import Route, bars, join
from score.time.shapes import Shape, ShapeKind
from score.time.tempo_map import Hold

PIECE = read_score(Path(__file__).parents[2] / "samples" / "quartet.musicxml").piece
LATE = 0.5
"""Quarters of the next pass that may have been told when a pass is over."""


def without_rolls(piece: Piece) -> Piece:
    """A roll has as many blows as its seconds ask for; as plain strokes they can be counted."""
    players = tuple(
        player._replace(
            strokes=tuple(
                s._replace(kind=StrokeKind.STROKE) if s.kind is StrokeKind.ROLL else s for s in player.strokes
            )
        )
        for player in piece.players
    )
    return replace(piece, players=players)


PLAIN = without_rolls(PIECE)
ROUTES = (bars(PIECE, range(16, 24)), bars(PIECE, (*range(104, 114),)), join(PIECE, range(36, 40), range(40, 44)))


def options(rng: random.Random, route: Route) -> PlayOptions:
    """Other shapes, waits, tempo, click and breaths."""
    first, last = PIECE.bars[route.visits[0].bar], PIECE.bars[route.visits[-1].bar]
    start, end = first.start, last.start + last.length
    shapes = tuple(
        Shape(rng.choice(list(ShapeKind)), start + a, min(end, start + a + 8), percent=rng.uniform(2, 40))
        for a in rng.sample(range(0, int(end - start) - 8, 2), rng.randrange(3))
    )
    places = sorted({start + Fraction(rng.randrange(1, 2 * int(end - start)), 2) for _ in range(rng.randrange(3))})
    pulse = PulseOptions(
        rng.uniform(0.5, 1.5), shapes=shapes, holds=tuple(Hold(at, rng.uniform(0.0, 2.0)) for at in places)
    )
    breaths = (Breath(start + Fraction(rng.randrange(2, 20)), Fraction(1), 2),) if rng.random() < 0.5 else ()
    click = rng.choice([Thinning.EVERY_BEAT, Thinning.DOWNBEATS, Thinning.NONE])
    return PlayOptions(pulse, click=click, subdivisions=rng.randrange(1, 3), breaths=breaths)


class Ear(Silent):
    """Remembers what was told, and when it is to sound."""

    ahead = 0.05

    def __init__(self) -> None:
        self.heard: list[tuple[float, Strike]] = []

    def strike(self, strike: Strike, when: float) -> None:
        self.heard.append((when, strike))


def told(strikes: list[Strike]) -> Counter[tuple[float, int, str, float | None, str]]:
    """What the players strike, by its written place."""
    return Counter(
        (round(s.offset, 6), s.player, s.voice, s.pitch, s.variant) for s in strikes if s.player != CLICK_PLAYER
    )


@lru_cache(maxsize=100)
def made(route: int, seed: int) -> Timeline:
    """One of many makings of a route."""
    return timeline(PLAIN, ROUTES[route], options(random.Random(seed), ROUTES[route]))


def played(seed: int) -> tuple[int, Ear, Timeline]:
    """Two passes of a loop with one to five swaps at any moment: strikes due, what was told, what was last."""
    rng = random.Random(seed)
    route = seed % len(ROUTES)
    making = made(route, rng.randrange(20))
    ear = Ear()
    passes: list[int] = []
    clockwork = Clockwork(ear, lambda report: passes.append(report.turn) if isinstance(report, PassEnded) else None)
    clockwork.load(making, loop=True, gap=0.0)
    clockwork.play(0.0, 0.0)
    due = sum(told(list(making.strikes)).values())
    moments = sorted(rng.uniform(0.0, 1.8 * making.seconds) for _ in range(rng.randrange(1, 6)))
    now = 0.0
    while len(passes) < 2:
        coming = clockwork.step(now)
        assert coming is not None
        if moments and moments[0] <= coming:
            now = max(now, moments.pop(0))
            making = made(route, rng.randrange(20))
            clockwork.swap(making, now)
        else:
            # A machine under load comes late now and then.
            now = max(now, coming) + (rng.uniform(0, 0.03) if rng.random() < 0.1 else 0.0)
    clockwork.stop()
    return due, ear, making


def check(seed: int) -> int:
    """Every stroke of both passes once, in the order of time; gives how many there were."""
    due, ear, making = played(seed)
    # The third pass has begun where the machine was late: its strokes are told after the second was over.
    twice = Counter({key: 2 * count for key, count in told(list(making.strikes)).items()})
    strikes = [strike for _, strike in ear.heard]
    extra = told(strikes) - twice
    assert not twice - told(strikes)
    assert all(offset <= LATE for offset, *_ in extra)
    times = [when for when, _ in ear.heard]
    assert all(b >= a - 1e-9 for a, b in pairwise(times))
    return 2 * due


@pytest.mark.parametrize("seed", range(9))
def test_every_stroke_sounds_once_whatever_is_swapped_in(seed: int) -> None:
    assert check(seed) > 80


@pytest.mark.campaign
def test_none_is_lost_or_doubled_in_two_hundred_thousand() -> None:
    strikes, seed = 0, 1000
    while strikes < 200_000:
        strikes += check(seed)
        seed += 1


def test_a_try_is_heard_from_the_next_beat() -> None:
    route = ROUTES[0]
    plain = timeline(PLAIN, route, PlayOptions(count_in=0))
    start = PIECE.bars[16].start
    back = Shape(ShapeKind.BACK, start, start + 16, percent=20.0)
    bent = timeline(PLAIN, route, PlayOptions(PulseOptions(shapes=(back,)), count_in=0))
    beat = plain.beats[9]
    index = sum(strike.seconds <= beat.seconds - 0.1 for strike in plain.strikes)
    place = next_join(plain, bent, index, beat.seconds - 0.1)
    assert place is not None
    assert place.offset == beat.offset
    rest = spliced(plain, bent, index, place)
    # From the beat on in the other's seconds, before it as far from it as it was.
    before = [place.seconds - s.seconds for s in rest.strikes if s.offset < beat.offset]
    assert before == pytest.approx([beat.seconds - s.seconds for s in plain.strikes[index:] if s.offset < beat.offset])
    assert [s for s in rest.strikes if s.offset >= beat.offset] == [s for s in bent.strikes if s.offset >= beat.offset]
    assert [b.offset for b in rest.beats] == [b.offset for b in plain.beats]
    assert len(rest.bars) == len(bent.bars)


def test_positions_go_on_without_a_jump() -> None:
    route = ROUTES[0]
    fast, slow = (timeline(PLAIN, route, PlayOptions(PulseOptions(scale))) for scale in (1.0, 0.6))
    offsets: list[float] = []
    clockwork = Clockwork(Ear(), lambda report: offsets.append(report.offset) if isinstance(report, Position) else None)
    clockwork.load(fast, loop=False, gap=0.0)
    clockwork.play(0.0, 0.0)
    now = 0.0
    for _ in range(2000):
        coming = clockwork.step(now)
        if coming is None:
            break
        if now < 5.0 <= coming:
            clockwork.swap(slow, now)
        now = max(now + 0.001, coming)
    steps = [b - a for a, b in pairwise(offsets)]
    assert min(steps) >= 0
    # No step is longer than a thirtieth of a second at the faster tempo, and what a late report adds.
    assert max(steps) < 2.5 * 104 / 60 / 30
