"""What the check finds, each with its figure against its limit and what would help."""

from collections.abc import Iterable
from enum import StrEnum
from fractions import Fraction
from typing import NamedTuple


class FindingKind(StrEnum):
    """What is the matter."""

    RANGE = "outside the instrument"
    OCTAVE = "octave in doubt"
    NOTES = "too many notes"
    SPAN = "too wide for a hand"
    SPEED = "very fast"
    LEAP = "long leap"
    ROLL = "roll with one hand"
    CLASH = "same marimba bar"
    CLOSE = "hands too close"
    CROSSING = "hands crossing"
    CHANGE = "change of instrument"
    MALLETS = "change of mallets"
    HEARING = "hearing"
    LOAD = "load"


class Weight(StrEnum):
    """How much it matters."""

    CANNOT = "cannot be done"
    TIGHT = "tight"
    MENTION = "to know"


class Finding(NamedTuple):
    """One finding, or several alike that were grouped.

    Attributes:
        kind: what is the matter.
        weight: how much it matters.
        player: number of the player; 0 for the group.
        bar: index of the first bar.
        at: quarters in the bar.
        figure, limit: what was found and what is allowed, in the unit.
        unit: of both.
        text: in words.
        helps: what would help, "" when nothing is known.
        bars: indices of all bars it was found in.
        alike: what else two findings must have in common to be one: which instruments, which mallets.
    """

    kind: FindingKind
    weight: Weight
    player: int
    bar: int
    at: Fraction
    figure: float
    limit: float
    unit: str
    text: str
    helps: str = ""
    bars: tuple[int, ...] = ()
    alike: str = ""


_WORSE_IS_MORE = frozenset(
    {
        FindingKind.NOTES,
        FindingKind.SPAN,
        FindingKind.SPEED,
        FindingKind.LEAP,
        FindingKind.HEARING,
        FindingKind.LOAD,
        FindingKind.ROLL,
    }
)


def grouped(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Similar findings as one, the worst of them, with all their bars; in the order of weight, then of the score.

    Similar: the same kind, weight and player; a change between the same instruments, or to the same mallets.
    """
    piles: dict[tuple[object, ...], list[Finding]] = {}
    for finding in findings:
        piles.setdefault((finding.kind, finding.weight, finding.player, finding.alike), []).append(finding)
    worst_of_each = []
    for pile in piles.values():
        worst = max(pile, key=lambda f: f.figure if f.kind in _WORSE_IS_MORE else -f.figure)
        worst_of_each.append(worst._replace(bars=tuple(sorted({bar for f in pile for bar in (f.bars or (f.bar,))}))))
    weights = list(Weight)
    return tuple(sorted(worst_of_each, key=lambda f: (weights.index(f.weight), f.bar, f.at, f.player)))
