"""How close systems may come one below the other: by what is drawn in them, not by the rectangles around it."""

from collections.abc import Mapping, Sequence
from functools import lru_cache
from itertools import pairwise
from types import MappingProxyType

from score.parts.drawing_tree import parsed_engraving
from score.parts.drawn_boxes import drawn_boxes
from score.parts.drawn_staves import UNITS_PER_MM
from score.parts.engraver import EngravedSystem

TIGHT_GAP_MM = 2.0
"""Between the rectangles of systems, where a page that was printed before has grown."""
_AIR_MM = 1.2
"""Between what is drawn in one system and in the next, where even that is too much: two thirds of a staff space."""
_COLUMN = 0.5 * UNITS_PER_MM


def closest_gaps(systems: Sequence[EngravedSystem], room: float) -> list[float]:
    """The smallest gaps between the systems of a page that are needed, mm.

    Args:
        systems: in order.
        room: height for them, mm: while rectangles a little apart fit it, they stay apart.

    Returns:
        A gap for each system but the last, below 0 where two rectangles overlap; what is drawn never does.
    """
    plain = [TIGHT_GAP_MM] * (len(systems) - 1)
    if height(systems, plain) <= room:
        return plain
    profiles = [_profile(system.svg) for system in systems]
    return [min(TIGHT_GAP_MM, _gap(*pair)) for pair in pairwise(zip(systems, profiles, strict=True))]


def stand_apart(systems: Sequence[EngravedSystem], room: float) -> bool:
    """Whether a page holds its systems with what is drawn in them as far apart as their rectangles would be.

    Args:
        systems: in order.
        room: height for them, mm.
    """
    more_air = TIGHT_GAP_MM - _AIR_MM
    return height(systems, [min(TIGHT_GAP_MM, gap + more_air) for gap in closest_gaps(systems, room)]) <= room


def height(systems: Sequence[EngravedSystem], gaps: Sequence[float]) -> float:
    """Height of systems with these gaps between them, mm."""
    return sum(system.height_mm for system in systems) + sum(gaps)


_Profile = Mapping[int, tuple[float, float]]
"""Upper and lower end of what is drawn in each column."""


# A page is asked whether it fits, and then how its systems stand.
@lru_cache(maxsize=32)
def _profile(svg: str) -> _Profile:
    tops, bottoms = dict[int, float](), dict[int, float]()
    for left, top, right, bottom in drawn_boxes(parsed_engraving(svg)):
        for column in range(int((left - _AIR_MM * UNITS_PER_MM) // _COLUMN), int(right // _COLUMN) + 4):
            # min() and max() would take twice as long.
            if column not in tops or top < tops[column]:
                tops[column] = top
            if column not in bottoms or bottom > bottoms[column]:
                bottoms[column] = bottom
    return MappingProxyType({column: (top, bottoms[column]) for column, top in tops.items()})


def _gap(upper: tuple[EngravedSystem, _Profile], lower: tuple[EngravedSystem, _Profile]) -> float:
    """The gap between two rectangles at which what is drawn in them stands as far apart as it must."""
    (above, high), (below, low) = upper, lower
    overlaps = [high[column][1] - above.bottom + below.top - low[column][0] for column in high.keys() & low.keys()]
    return max(overlaps, default=0.0) / UNITS_PER_MM + _AIR_MM
