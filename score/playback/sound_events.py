"""What is to be heard, in seconds: the one type between the timeline and everything that sounds."""

from dataclasses import dataclass
from typing import NamedTuple

CLICK, CLICK_STRONG, CLICK_WEAK, BREATH = "click", "click-strong", "click-weak", "breath"
RECORDED = "recorded"
"""The voice of a cut of a recording; its variant says which (`recorded_cuts`)."""
CLICK_VOICES = (CLICK, CLICK_STRONG, CLICK_WEAK, BREATH)
CLICK_PLAYER, RECORDING_PLAYER = 0, -1
"""The numbers that stand for click and breath, and for a recording, where players have theirs."""


@dataclass(frozen=True, slots=True)
class Strike:
    """One sound of one player, or of the click.

    Attributes:
        seconds: onset, seconds from the start of the timeline.
        length: seconds until it is damped or released; `math.inf` when it is left to ring.
        player: number of the player; 0 is the bus of click and breath.
        voice: instrument key of `score.instruments.percussion`, one of `CLICK_VOICES`, or "" when it is not known.
        pitch: sounding MIDI number, fractions allowed; None when it has no definite pitch.
        velocity: 1 to 127.
        hardness: of the mallet, 0 soft to 1 hard.
        damped: cut at `length` with a short fade; otherwise it rings by its own decay.
        variant: size or written place of an instrument that comes in sets ("high", "E4"), "" for none.
        offset: quarters from the beginning of the route to the written place it belongs to (a grace stroke's is that
            of its note); negative in a count-in.
    """

    seconds: float
    length: float
    player: int
    voice: str
    pitch: float | None
    velocity: int
    hardness: float = 0.5
    damped: bool = False
    variant: str = ""
    offset: float = 0.0


@dataclass(frozen=True, slots=True)
class BarTime:
    """Where a bar begins.

    Attributes:
        seconds: from the start of the timeline.
        bar: index of the bar in written order.
        turn: which time this bar is played, from 1.
    """

    seconds: float
    bar: int
    turn: int = 1


@dataclass(frozen=True, slots=True)
class BeatTime:
    """A beat as it passes.

    Attributes:
        seconds: from the start of the timeline.
        bar: index of the bar; -1 in a count-in.
        beat: number in the bar, from 1; in a count-in, from its beginning.
        offset: quarters from the beginning of the route; negative in a count-in.
        quarters_per_minute: the tempo there.
    """

    seconds: float
    bar: int
    beat: int
    offset: float
    quarters_per_minute: float


class BreathTime(NamedTuple):
    """A breath as it passes.

    Attributes:
        seconds, until: from the start of the timeline to where it begins and to the entry it leads into.
        offset: quarters from the beginning of the route to the entry.
        length: quarters.
        giver: number of the player who gives it, None for nobody in particular.
    """

    seconds: float
    until: float
    offset: float
    length: float
    giver: int | None


@dataclass(frozen=True, slots=True)
class Timeline:
    """All that sounds between two places of the playing order.

    Attributes:
        strikes: sorted by `seconds`.
        seconds: total length; what still rings there is cut with a fade.
        bars: sorted by `seconds`.
        beats: sorted by `seconds`, the count-in's first.
        breaths: sorted by `seconds`.
        starts: seconds at which the music begins, after the count-in.
        again: seconds to wait before it begins anew without a count-in: the group waits before its first beat.
    """

    strikes: tuple[Strike, ...]
    seconds: float
    bars: tuple[BarTime, ...] = ()
    beats: tuple[BeatTime, ...] = ()
    starts: float = 0.0
    breaths: tuple[BreathTime, ...] = ()
    again: float = 0.0
