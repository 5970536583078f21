"""How much of a part is taken away, so that it is known by heart step by step."""

from enum import IntEnum
from typing import NamedTuple


class FadeStep(IntEnum):
    """What is left of the player's own part; everything that stays stands where it stood."""

    ALL = 1
    LANDMARKS = 2
    MARKS = 3
    BARS = 4


STEP_WORDS = {
    FadeStep.ALL: "everything",
    FadeStep.LANDMARKS: "first beats of phrases, entries, places where look-alikes part",
    FadeStep.MARKS: "marks, bars of rest, numbers",
    FadeStep.BARS: "bars, numbers, tempo",
}


class Fade(NamedTuple):
    """What is asked for.

    Attributes:
        step: how much is left.
        cues: the others' rhythms stay; a switch of their own, whatever the step.
        whole: indices of bars that stay whole.
        phrases: indices of the bars that phrases begin with.
    """

    step: FadeStep
    cues: bool = True
    whole: frozenset[int] = frozenset()
    phrases: tuple[int, ...] = ()

    def fades(self, bar: int) -> bool:
        """Whether a bar is one of those that fade."""
        return self.step > FadeStep.ALL and bar not in self.whole
