"""Cross rhythms and interlocking figures between players, found exactly."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations, pairwise
from math import gcd

from score.piece import Bar
from score.playback.click import beats

LEAST_STROKES = 3


@dataclass(frozen=True, slots=True)
class CrossRhythm:
    """Two even divisions of one span by two players, neither a multiple of the other.

    Attributes:
        bar: index of the bar.
        at, length: the span, quarters in the bar.
        players: rows of the two players, the one with more strokes first.
        ratio: their strokes, reduced, the larger first: (4, 3).
    """

    bar: int
    at: Fraction
    length: Fraction
    players: tuple[int, int]
    ratio: tuple[int, int]


@dataclass(frozen=True, slots=True)
class Interlock:
    """Two players who fill each other's gaps in a bar.

    Attributes:
        bar: index of the bar.
        players: rows of the two players.
        strokes: how many there are together.
    """

    bar: int
    players: tuple[int, int]
    strokes: int


def cross_rhythms(bar: Bar, onsets: Sequence[Sequence[Fraction]]) -> list[CrossRhythm]:
    """Every cross rhythm in a bar, the longest span of each pair of players only.

    A player divides a span evenly when strokes stand at all of its n equal parts and nowhere else in it.

    Args:
        bar: the bar.
        onsets: of each player in the bar, quarters, ascending.
    """
    found = []
    for one, two in combinations(range(len(onsets)), 2):
        for at, length in _spans(bar):
            counts = _even(onsets[one], at, length), _even(onsets[two], at, length)
            if min(counts) > 1 and max(counts) % min(counts):
                pair = (one, two) if counts[0] > counts[1] else (two, one)
                common = gcd(*counts)
                high, low = max(counts) // common, min(counts) // common
                found.append(CrossRhythm(bar.index, at, length, pair, (high, low)))
                break
    return found


def interlocks(bar: Bar, onsets: Sequence[Sequence[Fraction]]) -> list[Interlock]:
    """Pairs of players who never strike together and whose strokes together run evenly through most of a bar.

    Evenly: three quarters or more of the distances between neighbouring strokes of the two are the shortest
    one, and at least a third of the neighbours belong to different players.
    """
    found = []
    for one, two in combinations(range(len(onsets)), 2):
        mine, theirs = set(onsets[one]), set(onsets[two])
        if min(len(mine), len(theirs)) < LEAST_STROKES or mine & theirs:
            continue
        line = sorted(mine | theirs)
        gaps = [b - a for a, b in pairwise(line)]
        changes = sum((a in mine) != (b in mine) for a, b in pairwise(line))
        if gaps.count(min(gaps)) >= 0.75 * len(gaps) and changes >= len(gaps) / 3:
            found.append(Interlock(bar.index, (one, two), len(line)))
    return found


def _spans(bar: Bar) -> list[tuple[Fraction, Fraction]]:
    """Every run of whole beats of a bar, the longest first."""
    inside = [*(beat.at for beat in beats(bar)), bar.length]
    spans = {(a, b - a) for i, a in enumerate(inside) for b in inside[i + 1 :]}
    return sorted(spans, key=lambda span: (-span[1], span[0]))


def _even(onsets: Sequence[Fraction], at: Fraction, length: Fraction) -> int:
    """Into how many even parts the onsets divide a span; 0 when they do not."""
    inside = [onset - at for onset in onsets if at <= onset < at + length]
    count = len(inside)
    return count if count and inside == [length * part / count for part in range(count)] else 0
