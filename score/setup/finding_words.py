"""One finding in words."""

from score.piece import Piece
from score.places import bar_name
from score.setup.finding import Finding, Kind

_MOST_BARS = 6
_LIMIT_SAID = frozenset({Kind.NOTES, Kind.SPAN, Kind.SPEED, Kind.LEAP, Kind.CLOSE, Kind.HEARING, Kind.LOAD})
"""Findings whose own words do not name the limit."""


def finding_line(piece: Piece, found: Finding) -> str:
    """Weight, who, where, what: on one line."""
    who = piece.player(found.player).name if found.player else "Group"
    where = f"bar {bar_name(piece, found.bar)} beat {beat_of(piece, found):.4g}{_more(piece, found)}"
    limit = f" (limit {_limit(found)})" if found.kind in _LIMIT_SAID else ""
    return f"{found.weight.value}: {who}, {where}: {found.kind.value}: {found.text}{limit}"


def beat_of(piece: Piece, found: Finding) -> float:
    """The beat of a finding, from 1, in the bar's own unit."""
    return float(found.at) / float(piece.bars[found.bar].meter.beat or 1) + 1


def had_and_needed(had: float, needed: float) -> str:
    """Seconds there are and seconds needed, with as many decimals as tell them apart and show the limit as it is."""
    digits = next((n for n in (1, 2, 3) if round(had, n) != round(needed, n) and round(needed, n) == needed), 2)
    return f"{had:.{digits}f} s available, {needed:.{digits}f} s needed"


def _limit(found: Finding) -> str:
    if found.kind is Kind.HEARING:
        return f"{100 * found.limit:g} %"
    return f"{found.limit:g} {found.unit}"


def _more(piece: Piece, found: Finding) -> str:
    """The other bars of a group of findings."""
    others = [bar for bar in found.bars if bar != found.bar]
    names = ", ".join(bar_name(piece, bar) for bar in others[:_MOST_BARS])
    more = f" and {len(others) - _MOST_BARS} more" if len(others) > _MOST_BARS else ""
    return f" (and {'bars' if len(others) > 1 else 'bar'} {names}{more})" if others else ""
