"""How long the notes and rests of an engraver's document last."""

from collections.abc import Iterable, Iterator
from fractions import Fraction
from functools import cache

from lxml import etree

from score.beats import value_length
from score.parts.inner_tuplets import INNER
from score.parts.printed_bar import MEI

TICKS = 20160
"""Of a quarter: whole numbers are added up, as exact fractions would take a third of the whole estimate."""


@cache
def nearest_ticks(duration: Fraction) -> int:
    """A length in quarters as ticks, rounded: parts of a tuplet add up to within a tick of the whole."""
    return round(duration * TICKS)


def event_lengths(parent: Iterable[etree._Element], normal: int, actual: int) -> Iterator[tuple[etree._Element, int]]:
    """Every event of a layer or a tuplet of this ratio in turn, with its length in ticks."""
    for child in parent:
        name = str(child.tag).removeprefix(MEI)
        if name == "tuplet":
            base, number = (max(1, int(child.get(name, 1))) for name in ("numbase", "num"))
            # One inside another counts for both.
            is_inner = INNER in (child.get("type") or "")
            yield from event_lengths(
                child, base if is_inner else normal * base, number if is_inner else actual * number
            )
        elif name in ("beam", "bTrem", "fTrem"):
            yield from event_lengths(child, normal, actual)
        elif name in ("mRest", "multiRest", "mSpace"):
            # It lasts as long as its bar, which whatever else sounds there will tell.
            yield child, 0
        elif name in ("note", "rest", "chord", "space") and not child.get("grace"):
            yield child, _length(child.get("dur"), child.get("dots"), normal, actual)


_NAMES = {"1": "whole", "2": "half", "4": "quarter", "8": "eighth", "16": "16th", "32": "32nd", "64": "64th"}
_NAMES |= {"breve": "breve", "long": "long", "maxima": "maxima"}


@cache
def _length(dur: str | None, dots: str | None, normal: int, actual: int) -> int:
    """Ticks of an event of this MEI duration inside a tuplet."""
    name = dur or "4"
    length = value_length(_NAMES.get(name, f"{name}th"), int(dots or 0)) or Fraction(1)
    return nearest_ticks(length * normal / actual)
