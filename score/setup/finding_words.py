"""One finding in words."""

from score.piece import Piece
from score.places import bar_name
from score.setup.finding import Finding, FindingKind

_MOST_BARS = 6
_LIMIT_SAID = frozenset(
    {
        FindingKind.NOTES,
        FindingKind.SPAN,
        FindingKind.SPEED,
        FindingKind.LEAP,
        FindingKind.CLOSE,
        FindingKind.HEARING,
        FindingKind.LOAD,
    }
)
"""Findings whose own words do not name the limit."""


def finding_line(piece: Piece, finding: Finding) -> str:
    """Weight, who, where, what: on one line."""
    who = piece.player(finding.player).name if finding.player else "Group"
    where = f"bar {bar_name(piece, finding.bar)} beat {beat_of(piece, finding):.4g}{_more(piece, finding)}"
    limit = f" (limit {_limit(finding)})" if finding.kind in _LIMIT_SAID else ""
    return f"{finding.weight.value}: {who}, {where}: {finding.kind.value}: {finding.text}{limit}"


def beat_of(piece: Piece, finding: Finding) -> float:
    """The beat of a finding, from 1, in the bar's own unit."""
    return float(finding.at) / float(piece.bars[finding.bar].meter.beat or 1) + 1


def had_and_needed(had: float, needed: float) -> str:
    """Seconds there are and seconds needed, with as many decimals as tell them apart and show the limit as it is."""
    digits = next((n for n in (1, 2, 3) if round(had, n) != round(needed, n) and round(needed, n) == needed), 2)
    return f"{had:.{digits}f} s available, {needed:.{digits}f} s needed"


def _limit(finding: Finding) -> str:
    if finding.kind is FindingKind.HEARING:
        return f"{100 * finding.limit:g} %"
    return f"{finding.limit:g} {finding.unit}"


def _more(piece: Piece, finding: Finding) -> str:
    """The other bars of a group of findings."""
    others = [bar for bar in finding.bars if bar != finding.bar]
    names = ", ".join(bar_name(piece, bar) for bar in others[:_MOST_BARS])
    more = f" and {len(others) - _MOST_BARS} more" if len(others) > _MOST_BARS else ""
    return f" (and {'bars' if len(others) > 1 else 'bar'} {names}{more})" if others else ""
