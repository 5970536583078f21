"""A pass as it was judged: every stroke's state, and the figures over all of them. Frozen; what history keeps."""

from enum import StrEnum
from fractions import Fraction
from typing import NamedTuple

from score.strokes.timing_figures import LEAST_FOR_MEAN


class StrokeState(StrEnum):
    """What became of a stroke.

    EARLY, TOGETHER and LATE were played, before, within or after `TOGETHER_MS` of their moment. MISSED was not heard
    though it should have been; WRONG was played at its moment with another pitch. EXTRA was heard and is not written.
    UNSURE cannot be told: hidden by the loudspeakers, inside a roll, or heard too weakly.
    """

    EARLY = "early"
    TOGETHER = "together"
    LATE = "late"
    MISSED = "missed"
    WRONG = "wrong"
    EXTRA = "extra"
    UNSURE = "unsure"

    @property
    def is_timed(self) -> bool:
        """Whether it was played as written, so that its moment counts."""
        return self in (StrokeState.EARLY, StrokeState.TOGETHER, StrokeState.LATE)


TOGETHER_MS = 20.0
"""Two sounds closer than this are heard as one moment: their order is told from 20 ms on (Hirsh, 1959)."""

DELAY_UNKNOWN = (
    "nothing tells the delay, so nobody can say how early or late the whole is, only how the strokes stand to each "
    "other: record the count-in too, or give what was played along, or the delay"
)
FREE_TIME = "played in free time: every stroke is held against its neighbours, not against a click"
"""A remark by which passes in free time are known, those too that were kept: its words stay as they are."""


class DelayFrom(StrEnum):
    """What a recording's delay was found with, the best first."""

    MIX = "mix"
    COUNT_IN = "count-in"
    GIVEN = "given"
    CLOCK = "clock"
    STROKES = "strokes"
    NOTHING = "nothing"


class JudgedStroke(NamedTuple):
    """One expected stroke with what was heard of it, or one that was heard and is not expected.

    Attributes:
        bar: index of the written bar, from 0.
        at: quarters from the beginning of that bar; of an extra stroke, to the nearest 24th of a quarter.
        state: what became of it.
        offset_ms: heard minus expected minus delay, milliseconds: negative is early, 0 on its moment. None for what was
            missed, extra or unsure.
        seconds: when it was heard, seconds from the beginning of the recording; None when it was not.
        expected: when it should have been heard, seconds of the recording, the delay in it; None for an extra one.
        turn: which time its bar is played in this pass, from 1.
        hand: the printed sticking ("R", "L", "1" to "4"), "" where none is printed.
        level: how strongly it was heard, as `HeardStroke.level`; 0 when it was not.
    """

    bar: int
    at: Fraction
    state: StrokeState
    offset_ms: float | None = None
    seconds: float | None = None
    expected: float | None = None
    turn: int = 1
    hand: str = ""
    level: float = 0.0

    @property
    def timed_ms(self) -> float | None:
        """Its offset where it was played as written, so that it counts; None for any other stroke."""
        return self.offset_ms if self.state.is_timed else None


class Delay(NamedTuple):
    """How far a recording runs behind what the machine sent.

    Attributes:
        seconds: by how much; a stroke on its moment is heard so much later in the recording than the timeline says.
        origin: what it was found with. From `STROKES` alone nobody can tell how early or late the whole is.
        quality: height of the match over its own noise, 0 where there is none; under 7 it is not to be trusted.
    """

    seconds: float
    origin: DelayFrom
    quality: float = 0.0


class JudgedPass(NamedTuple):
    """A whole pass.

    Attributes:
        strokes: by their moments, extra ones between the expected ones.
        judged: whether anything is said of it.
        why: one line: why nothing is said, and what would help; "" when it is judged.
        delay: of the recording.
        mean_ms: mean of the offsets, None where `mean_why` says why.
        mean_ms_interval: ends of its 95 % interval, None together with it.
        spread_ms: standard deviation of the offsets, None under 16 strokes.
        remarks: lines about the recording itself that a player should know ("the recording clips: ...").
        level: what a clear stroke of this recording measures in the recording's own units, to be kept for later passes
            of the same player with the same microphone; 0 where it is not known.
    """

    strokes: tuple[JudgedStroke, ...]
    judged: bool
    why: str
    delay: Delay
    mean_ms: float | None = None
    mean_ms_interval: tuple[float, float] | None = None
    spread_ms: float | None = None
    remarks: tuple[str, ...] = ()
    level: float = 0.0

    @property
    def is_in_free_time(self) -> bool:
        """Whether it was played along with nothing."""
        return FREE_TIME in self.remarks

    @property
    def mean_why(self) -> str:
        """Why nothing is said of how early or late the whole is, "" where a mean is said or `why` says it all."""
        if not self.judged or self.mean_ms is not None:
            return ""
        if self.delay.origin is DelayFrom.STROKES:
            return FREE_TIME if self.is_in_free_time else DELAY_UNKNOWN
        timed = sum(stroke.timed_ms is not None for stroke in self.strokes)
        return f"{timed} strokes can be timed; a mean is said from {LEAST_FOR_MEAN} on"
