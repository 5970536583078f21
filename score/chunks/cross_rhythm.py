"""Cross rhythms and interlocking figures between players, found exactly."""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import combinations, pairwise
from math import gcd, lcm

from score.beats import in_ticks
from score.piece import Bar
from score.time.meter_beats import beats

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
    spans, crossed = _spans(bar), []
    parts = [_even(row, spans) for row in onsets]
    for first, second in combinations(range(len(onsets)), 2):
        for (at, length), *counts in zip(spans, parts[first], parts[second], strict=True):
            if min(counts) > 1 and max(counts) % min(counts):
                pair = (first, second) if counts[0] > counts[1] else (second, first)
                common = gcd(*counts)
                high, low = max(counts) // common, min(counts) // common
                crossed.append(CrossRhythm(bar.index, at, length, players=pair, ratio=(high, low)))
                break
    return crossed


def interlocks(bar: Bar, onsets: Sequence[Sequence[Fraction]]) -> list[Interlock]:
    """Pairs of players who never strike together and whose strokes together run evenly through most of a bar.

    Evenly: three quarters or more of the distances between neighbouring strokes of the two are the shortest
    one, and at least a third of the neighbours belong to different players.
    """
    pairs = []
    for first, second in combinations(range(len(onsets)), 2):
        mine, theirs = set(onsets[first]), set(onsets[second])
        if min(len(mine), len(theirs)) < LEAST_STROKES or mine & theirs:
            continue
        line = sorted(mine | theirs)
        gaps = [b - a for a, b in pairwise(line)]
        changes = sum((a in mine) != (b in mine) for a, b in pairwise(line))
        if gaps.count(min(gaps)) >= 0.75 * len(gaps) and changes >= len(gaps) / 3:
            pairs.append(Interlock(bar.index, (first, second), len(line)))
    return pairs


def _spans(bar: Bar) -> tuple[tuple[Fraction, Fraction], ...]:
    """Every run of whole beats of a bar, the longest first."""
    return _runs(*(beat.at for beat in beats(bar)), bar.length)


@lru_cache(maxsize=256)
def _runs(*inside: Fraction) -> tuple[tuple[Fraction, Fraction], ...]:
    # Most bars of a piece have the same beats.
    spans = {(a, b - a) for i, a in enumerate(inside) for b in inside[i + 1 :]}
    return tuple(sorted(spans, key=lambda span: (-span[1], span[0])))


def _even(onsets: Sequence[Fraction], spans: Sequence[tuple[Fraction, Fraction]]) -> list[int]:
    """Into how many even parts the onsets divide each span; 0 where they do not."""
    # In whole ticks: there are a dozen spans a bar.
    quarter = lcm(*(value.denominator for value in (*onsets, *(edge for span in spans for edge in span))))
    places = [in_ticks(onset, quarter) for onset in onsets]
    counts = []
    for at, length in ((in_ticks(at, quarter), in_ticks(length, quarter)) for at, length in spans):
        inside = places[bisect_left(places, at) : bisect_left(places, at + length)]
        count = len(inside)
        even = all((place - at) * count == length * part for part, place in enumerate(inside))
        counts.append(count if even else 0)
    return counts
