"""One finding in words."""

from bisect import bisect_right
from fractions import Fraction

from score.piece import Piece
from score.places import bar_name, few_bars
from score.setup.finding import Finding, FindingKind
from score.time.meter_beats import beats

_MOST_BARS = 6
_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth")
_PARTS = {3: "three", 4: "four", 5: "five", 6: "six", 7: "seven", 8: "eight", 9: "nine"}
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
    where = f"bar {bar_name(piece, finding.bar)}{place_words(piece, finding)}{_more(piece, finding)}"
    limit = f" (limit {_limit(finding)})" if finding.kind in _LIMIT_SAID else ""
    return f"{finding.weight.value}: {who}, {where}: {finding.kind.value}: {finding.text}{limit}"


def place_words(piece: Piece, finding: Finding) -> str:
    """Where in its bar a finding stands, as players say it: " beat 2", ", the second of three on beat 2"."""
    pulses = [beat.at for beat in beats(piece.bars[finding.bar])] or [Fraction(0)]
    index = max(0, bisect_right(pulses, finding.at) - 1)
    start, number = pulses[index], index + 1
    after = pulses[index + 1] if number < len(pulses) else piece.bars[finding.bar].length
    share = (finding.at - start) / (after - start) if after > start else Fraction(0)
    if share == 0:
        return f" beat {number}"
    if share == Fraction(1, 2):
        return f", the and of beat {number}"
    if 0 < share < 1 and share.denominator in _PARTS:
        return f", the {_ORDINALS[share.numerator]} of {_PARTS[share.denominator]} on beat {number}"
    return f", after beat {number}"


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
    others = [bar_name(piece, bar) for bar in finding.bars if bar != finding.bar]
    return f" (and {few_bars(others, _MOST_BARS)})" if others else ""
