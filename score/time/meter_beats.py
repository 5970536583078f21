"""The beats of a bar: downbeat, heads of groups, beats, and each beat cut into parts."""

from collections.abc import Iterator
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from score.piece import Bar


class ClickKind(StrEnum):
    """How strong a click is."""

    DOWNBEAT = "downbeat"
    GROUP = "group"
    BEAT = "beat"
    PART = "part"
    """A subdivision of the beat."""


class Beat(NamedTuple):
    """One possible click inside a bar.

    Attributes:
        at: offset in the bar, quarters.
        kind: its strength.
    """

    at: Fraction
    kind: ClickKind


@lru_cache(maxsize=10_000)
def beats(bar: Bar, subdivisions: int = 1) -> tuple[Beat, ...]:
    """The clicks of one bar: downbeat, groups, beats, and each beat cut into so many parts.

    Equal groups are the beats themselves (four in 4/4, two in 6/8), and the middle one of an even bar of
    four or more is strong. Unequal groups (7/8 as 2+2+3) are all strong, with the written unit between. A pickup counts
    from its end, so that its beats fall where those of a full bar would.
    """
    shift = max(Fraction(0), bar.meter.length - bar.length) if bar.index == 0 else Fraction(0)
    inside = [
        Beat(beat.at - shift, beat.kind)
        for beat in _of_meter(bar, subdivisions)
        if shift <= beat.at < shift + bar.length
    ]
    return tuple(inside)


def _of_meter(bar: Bar, subdivisions: int) -> Iterator[Beat]:
    at = Fraction(0)
    groups = bar.meter.groups or (bar.length,)
    even, strong = len(set(groups)) == 1, _strong_groups(groups)
    index = 0
    # A bar longer than its meter (a cadenza, an overfull bar) goes on in the same groups.
    while at < max(bar.length, bar.meter.length):
        length = groups[index % len(groups)]
        kind = ClickKind.DOWNBEAT if index == 0 else ClickKind.GROUP if index in strong else ClickKind.BEAT
        yield from _group(at, length, length if even else bar.meter.beat, kind, subdivisions)
        at += length
        index += 1


def _strong_groups(groups: tuple[Fraction, ...]) -> frozenset[int]:
    if len(set(groups)) > 1:
        # Unequal groups are what a player must feel: each of their heads is strong.
        return frozenset(range(1, len(groups)))
    return frozenset(range(2, len(groups), 2)) if len(groups) >= 4 and len(groups) % 2 == 0 else frozenset()


def _group(at: Fraction, length: Fraction, whole: Fraction, kind: ClickKind, subdivisions: int) -> Iterator[Beat]:
    count = max(1, int(length / whole))
    for step in range(count):
        start = at + step * whole
        yield Beat(start, kind if step == 0 else ClickKind.BEAT)
        for part in range(1, subdivisions):
            yield Beat(start + whole * part / subdivisions, ClickKind.PART)
