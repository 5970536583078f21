"""Which instrument a player is at: said again, in brackets, at the first entry of a page."""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from score.piece import Player, Stroke

_KIT = 0.25
"""Of the bars of a part: where in so many more than one instrument is struck, the staff is a kit, named by its key."""


class InstrumentEntry(NamedTuple):
    """The first stroke of a bar in a part of several instruments: the part's position, where it is, on what."""

    part: int
    at: Fraction
    name: str


def entries_by_bar(player: Player, bars: int) -> list[InstrumentEntry | None]:
    """For each bar the player's first stroke, where a part holds several instruments that take turns."""
    entries: list[InstrumentEntry | None] = [None] * bars
    for position, part in enumerate(player.parts):
        rows: dict[int, list[Stroke]] = {}
        for stroke in player.strokes:
            if stroke.part == part:
                rows.setdefault(stroke.bar, []).append(stroke)
        if not _take_turns(list(rows.values())):
            continue
        for bar, strokes in rows.items():
            first = strokes[0]
            entries[bar] = entries[bar] or InstrumentEntry(
                position, first.at, player.instruments[first.instrument].name
            )
    return entries


def _take_turns(rows: Sequence[Sequence[Stroke]]) -> bool:
    used = {stroke.instrument for row in rows for stroke in row}
    together = sum(len({stroke.instrument for stroke in row}) > 1 for row in rows)
    return len(used) > 1 and together <= _KIT * len(rows)
