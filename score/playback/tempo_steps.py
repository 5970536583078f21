"""Practice tempo in steps: so many passes at each tempo, up when a pass was good, back when it was not."""

from dataclasses import dataclass, replace

SLOWEST, FASTEST = 0.1, 3.0
"""The practice tempi there are, on the screen and in a command, as a share of the written tempo."""

RECORDING_TEMPI = 0.4, 1.5
"""The same of a recording, as a share of its own tempo: it is slowed no further, nor played faster."""


def in_limits(tempo: float) -> float:
    """The nearest practice tempo there is, in whole thousandths of the written one."""
    return min(FASTEST, max(SLOWEST, round(tempo, 3)))


@dataclass(frozen=True, slots=True)
class Steps:
    """Where a player stands on the way up to tempo.

    Attributes:
        tempo: now, as a share of the written tempo.
        goal: where to arrive.
        up: how much a step is, as a share of the written tempo.
        passes: good passes wanted at each tempo before going up.
        good: good passes at this tempo so far.
    """

    tempo: float = 0.6
    goal: float = 1.0
    up: float = 0.05
    passes: int = 2
    good: int = 0

    def rated(self, was_good: bool) -> "Steps":
        """After a pass: up by a step when enough were good, back by one when it was not."""
        if not was_good:
            return replace(self, tempo=in_limits(self.tempo - self.up), good=0)
        if self.good + 1 < self.passes:
            return replace(self, good=self.good + 1)
        return replace(self, tempo=min(self.goal, round(self.tempo + self.up, 4)), good=0)
