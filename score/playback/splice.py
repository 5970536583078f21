"""Two timelines of one route joined at a beat: what is still to sound of the first, then the second.

Both are made of the same route with other options: another tempo, other shapes and waits, other players, another click.
Every sound knows the written place it belongs to, so it is on one side of the beat in both, wherever its own moment
falls: a grace stroke before the beat goes with its note. Nothing is lost, nothing sounds twice.
"""

from collections.abc import Iterable
from dataclasses import replace

from score.playback.sound_events import BarTime, BeatTime, BreathTime, Strike, Timeline

_TINY = 1e-9


class Seam:
    """A place at which two timelines can be joined.

    Attributes:
        offset: quarters from the beginning of the route; of a beat of both.
        seconds: of that beat in the second timeline.
        later: how much later the beat comes in the second timeline than in the first, seconds.
    """

    def __init__(self, first: BeatTime, second: BeatTime) -> None:
        self.offset, self.seconds = first.offset, second.seconds
        self.later = second.seconds - first.seconds


def next_join(first: Timeline, second: Timeline, told: int, seconds: float) -> Seam | None:
    """The first beat at which the second can take over; None where this pass has no such beat any more.

    Args:
        first: what is played.
        second: the same route, otherwise made.
        told: how many strikes of the first have been told to the output.
        seconds: into the first; nothing before that can be told any more.
    """
    beats = {round(beat.offset, 6): beat for beat in second.beats}
    reached = max((strike.offset for strike in first.strikes[:told]), default=-float("inf"))
    for beat in first.beats:
        match = beats.get(round(beat.offset, 6))
        if match is None or beat.seconds <= seconds or beat.offset <= reached + _TINY:
            continue
        place = Seam(beat, match)
        if all(strike.seconds - place.later > seconds for strike in _from(second.strikes, place.offset)):
            return place
    return None


def spliced(first: Timeline, second: Timeline, told: int, place: Seam) -> Timeline:
    """What is left of the first up to the place, and the second from there, in the second's seconds.

    Args:
        first: what is played.
        second: the same route, otherwise made.
        told: how many strikes of the first are done with; they are left out.
        place: where they are joined.
    """
    rest = [
        replace(strike, seconds=strike.seconds + place.later)
        for strike in first.strikes[told:]
        if strike.offset < place.offset - _TINY
    ]
    return Timeline(
        tuple(sorted((*rest, *_from(second.strikes, place.offset)), key=lambda strike: strike.seconds)),
        second.seconds,
        bars=_bars(first.bars, second.bars, place),
        beats=_beats(first.beats, second.beats, place),
        starts=first.starts + place.later,
        breaths=_breaths(first.breaths, second.breaths, place),
        again=second.again,
    )


def _from(strikes: Iterable[Strike], offset: float) -> list[Strike]:
    return [strike for strike in strikes if strike.offset >= offset - _TINY]


def _bars(first: tuple[BarTime, ...], second: tuple[BarTime, ...], place: Seam) -> tuple[BarTime, ...]:
    """Bars come in the same number and order in both."""
    after = [bar for bar in second if bar.seconds >= place.seconds - _TINY]
    before = first[: len(first) - len(after)]
    return (*(replace(bar, seconds=bar.seconds + place.later) for bar in before), *after)


def _beats(first: tuple[BeatTime, ...], second: tuple[BeatTime, ...], place: Seam) -> tuple[BeatTime, ...]:
    before = (replace(b, seconds=b.seconds + place.later) for b in first if b.offset < place.offset - _TINY)
    return (*before, *(beat for beat in second if beat.offset >= place.offset - _TINY))


def _breaths(first: tuple[BreathTime, ...], second: tuple[BreathTime, ...], place: Seam) -> tuple[BreathTime, ...]:
    before = (
        breath._replace(seconds=breath.seconds + place.later, until=breath.until + place.later)
        for breath in first
        if breath.offset < place.offset - _TINY
    )
    return (*before, *(breath for breath in second if breath.offset >= place.offset - _TINY))
