"""Entries of one kind that cannot both hold where they are: two leads, two breaths, two stops, two shapes.

What one copy holds together, its player has seen together; only what met in the joining is a conflict.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import combinations
from typing import Any, NamedTuple

from score.errors import InbreathError
from score.group.entry_keys import values_in
from score.group.gather import Joined, sides_of
from score.group.group_copy import CopyEntry, GroupCopy, Pair
from score.group.version_chain import GONE
from score.piece import Piece
from score.places import find_bar, find_bars

Instant = tuple[int, float]


class _EntryInForce(NamedTuple):
    """An entry in force with where it is: bar index and beat, from and to."""

    token: str
    name: str
    values: Mapping[str, Any]
    start: Instant
    end: Instant


def overlaps(joined: Joined, piece: Piece) -> frozenset[Pair]:
    """Pairs of entries (id:content) that overlap and that no copy holds together."""
    copies = [(_tokens(copy), copy.apart) for copy in joined.copies]
    return frozenset(
        pair
        for pair in _pairs(list(_standing(joined.entries, piece)))
        if not any(tokens >= set(pair) and pair not in apart for tokens, apart in copies)
    )


def pairs_text(pairs: frozenset[Pair]) -> str:
    """The pairs as the record writes them."""
    return "; ".join(f"{first} {second}" for first, second in sorted(pairs))


def token_id(token: str) -> str:
    """The id in one half of a pair."""
    return token.partition(":")[0]


def entry_span(piece: Piece, values: Mapping[str, Any]) -> tuple[Instant, Instant] | None:
    """From where to where an entry goes, as (bar index, beat); None where the score has no such bar."""
    try:
        if "bars" in values:
            bars: Sequence[int] = find_bars(piece, str(values["bars"]))
        else:
            bars = [find_bar(piece, str(values.get("bar", "")))]
    except InbreathError:
        return None
    if "beat" in values:
        instant = (bars[0], float(values["beat"]))
        return instant, instant
    first, _, last = str(values.get("beats", "")).partition("-")
    begin = (bars[0], float(first) if first.replace(".", "", 1).isdecimal() else 1.0)
    end = (bars[-1], float(last) + 1) if last.replace(".", "", 1).isdecimal() else (bars[-1] + 1, 1.0)
    return begin, end


def _standing(entries: Mapping[str, CopyEntry], piece: Piece) -> Iterator[_EntryInForce]:
    """Entries that are not dropped and have one music only."""
    for key, entry in sorted(entries.items()):
        sides = [side for side in sides_of(entry).values() if side.key != GONE and side.text]
        if entry.name in _AGAINST and len(sides) == 1:
            values = values_in(entry.name, sides[0].text)
            span = entry_span(piece, values)
            if span is not None and values.get("state") != "dropped":
                yield _EntryInForce(f"{key}:{sides[0].key[:-1]}", entry.name, values, start=span[0], end=span[1])


def _pairs(standing: list[_EntryInForce]) -> Iterator[Pair]:
    for first, second in combinations(standing, 2):
        if first.name == second.name and _meet(first, second) and _AGAINST[first.name](first.values, second.values):
            yield first.token, second.token


def _meet(first: _EntryInForce, second: _EntryInForce) -> bool:
    if first.start == first.end or second.start == second.end:
        return (first.start, first.end) == (second.start, second.end)
    return first.start < second.end and second.start < first.end


def _tokens(copy: GroupCopy) -> set[str]:
    """What stands in one copy."""
    entries = copy.entries.items()
    return {f"{key}:{side.key[:-1]}" for key, entry in entries for side in sides_of(entry).values() if side.text}


_Against = Callable[[Mapping[str, Any], Mapping[str, Any]], bool]


def _other(*fields: str) -> _Against:
    return lambda first, second: any(first.get(field) != second.get(field) for field in fields)


_AGAINST: Mapping[str, _Against] = {
    "shape": lambda first, second: True,
    "lead": _other("player"),
    "breath": _other("player", "seconds"),
    "hold": _other("seconds", "kind"),
    "look": lambda first, second: first.get("player") == second.get("player") and first.get("at") != second.get("at"),
}
"""When two entries of a kind at one place stand against each other."""
