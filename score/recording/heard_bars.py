"""What has been heard in a recording: frozen values, in seconds of the recording."""

from fractions import Fraction
from typing import NamedTuple


class HeardBar(NamedTuple):
    """A bar as it was played once.

    Attributes:
        bar: index of the bar.
        turn: which time it is played in this recording, from 1.
        start, end: seconds.
        sure: 0 to 1.
        doubt: why it is not sure, "" where it is.
        run: number of the stretch without a break it belongs to, from 0.
    """

    bar: int
    turn: int
    start: float
    end: float
    sure: float
    doubt: str
    run: int


class HeardOnset(NamedTuple):
    """A written onset as it was played once.

    Attributes:
        bar: index of the bar.
        turn: as that of its bar.
        at: offset in the bar, quarters.
        seconds: when.
    """

    bar: int
    turn: int
    at: Fraction
    seconds: float


class StrokeApart(NamedTuple):
    """A player's stroke at a moment at which strokes of two players or more can be told apart.

    Attributes:
        bar: index of the bar.
        turn: as that of its bar.
        at: offset in the bar, quarters.
        player: number of the player.
        seconds: when.
    """

    bar: int
    turn: int
    at: Fraction
    player: int
    seconds: float


class HeardRecording(NamedTuple):
    """A whole recording.

    Attributes:
        seconds: its length.
        tuning_cents: how far it is from equal temperament at 440 Hz.
        bars: as they were played.
        onsets: sorted by seconds.
        notes: what is to be said of the whole, a sentence each.
        apart: strokes that can be told apart, sorted by seconds of their moments.
    """

    seconds: float
    tuning_cents: float
    bars: tuple[HeardBar, ...]
    onsets: tuple[HeardOnset, ...]
    notes: tuple[str, ...] = ()
    apart: tuple[StrokeApart, ...] = ()

    @property
    def begins(self) -> float:
        """Seconds at which the music begins."""
        return self.bars[0].start

    @property
    def ends(self) -> float:
        """Seconds at which its last bar is over."""
        return self.bars[-1].end

    @property
    def order(self) -> tuple[int, ...]:
        """Indices of the bars as played."""
        return tuple(bar.bar for bar in self.bars)
