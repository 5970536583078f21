"""Where moments stand in a row: whole columns a quarter, so that equal gaps are drawn equal, over bar lines too."""

from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from math import ceil, lcm
from typing import NamedTuple

from score.activity.lanes import Lane, Run, RunBar
from score.piece import StrokeKind

_COLUMNS_A_STROKE = 2
_LEAST_A_QUARTER = 4
_MOST_BARS = 8


class Page(NamedTuple):
    """The bars of one system.

    Attributes:
        first, last: positions of its bars in the run, both included.
        columns: columns a quarter.
    """

    first: int
    last: int
    columns: int

    @property
    def positions(self) -> range:
        """Positions of its bars in the run."""
        return range(self.first, self.last + 1)


class Grid(NamedTuple):
    """Columns of one system.

    Attributes:
        start: quarters from the beginning of the run to the first column.
        columns: columns a quarter.
        gutter: columns to the left of the first moment.
        width: columns of the whole row.
        places: where notation stands below, its moments (quarters from the beginning of the run) and their columns;
            moments between them stand in proportion.
    """

    start: Fraction
    columns: int
    gutter: int
    width: int
    places: tuple[tuple[Fraction, int], ...] = ()

    def column(self, at: Fraction) -> int:
        """Column of a moment, quarters from the beginning of the run."""
        if self.places:
            return self._placed(at)
        return self.gutter + int((at - self.start) * self.columns // 1)

    def end(self, length: Fraction) -> Fraction:
        """Quarters from the beginning of the run to the last moment the row shows, the run's length at the most."""
        if self.places:
            return min(length, self.places[-1][0])
        return min(length, self.start + Fraction(self.width - self.gutter, self.columns))

    def moment(self, column: int) -> Fraction:
        """The moment that stands in a column, quarters from the beginning of the run."""
        if not self.places:
            return self.start + Fraction(column - self.gutter, self.columns)
        after = min(max(1, bisect_right([place for _, place in self.places], column)), len(self.places) - 1)
        (start, left), (end, right) = self.places[after - 1], self.places[after]
        return start + (end - start) * Fraction(column - left, max(1, right - left))

    def _placed(self, at: Fraction) -> int:
        after = bisect_right(self.places, (at, self.width))
        if after == 0:
            return self.gutter - 1
        if after == len(self.places):
            return self.places[-1][1] if at == self.places[-1][0] else self.width
        (start, left), (end, right) = self.places[after - 1], self.places[after]
        return left + int((at - start) * (right - left) / (end - start))


class _BarNeeds(NamedTuple):
    """What a bar asks of the columns.

    Attributes:
        length: quarters.
        own: columns a quarter, or a divisor of them, with which the player's own strokes stand on whole columns.
        shared: the same for everybody's strokes.
        finest: the shortest distance between two of the player's own strokes, quarters.
    """

    length: Fraction
    own: int
    shared: int
    finest: Fraction


def divide(run: Run, player: int, columns: int, bars: range | None = None) -> tuple[Page, ...]:
    """Pages of whole bars for a player.

    Args:
        run: the lanes.
        player: number of the player whose strokes must be told apart.
        columns: columns there are for moments.
        bars: positions in the run to divide; all of them where None.
    """
    needs = _needs(run, player)
    positions = bars if bars is not None else range(len(run.bars))
    pages: list[Page] = []
    first, end = positions.start, positions.stop
    while first < end:
        page = _page(needs, first, end, columns)
        if page.last + 1 == end and pages:
            page = _as_before(page, pages[-1], needs)
        pages.append(page)
        first = page.last + 1
    return tuple(pages)


def _page(needs: Sequence[_BarNeeds], first: int, end: int, columns: int) -> Page:
    """The longest page from a bar on; wider where the same bars still fit."""
    chosen = Page(first, first, _for_one_bar(needs[first], columns))
    for last in range(first, min(end, first + _MOST_BARS)):
        inside = needs[first : last + 1]
        step = lcm(*(bar.shared for bar in inside))
        length = sum((bar.length for bar in inside), Fraction(0))
        widest = int(columns / length) // step * step if length else step
        if widest < max(1, _least(inside, step)):
            break
        chosen = Page(first, last, widest)
    return chosen


def _as_before(page: Page, before: Page, needs: Sequence[_BarNeeds]) -> Page:
    """A short last page is not drawn wider than the page before it."""
    step = lcm(*(needs[position].shared for position in page.positions))
    if page.columns > before.columns and before.columns % step == 0:
        return page._replace(columns=before.columns)
    return page


def _least(bars: Sequence[_BarNeeds], step: int) -> int:
    """Columns a quarter that tell the player's own strokes apart, a multiple of the step."""
    wanted = max(_LEAST_A_QUARTER, ceil(_COLUMNS_A_STROKE / min(bar.finest for bar in bars)))
    return ceil(wanted / step) * step


def _for_one_bar(bar: _BarNeeds, columns: int) -> int:
    """Columns a quarter for a bar that is alone: everybody's strokes true, else one's own, else as even as can be."""
    widest = int(columns / bar.length) if bar.length else columns
    for step in (bar.shared, bar.own):
        fitting = widest // step * step
        if fitting and Fraction(1, fitting) <= bar.finest:
            return fitting
    return max(1, widest)


def _needs(run: Run, player: int) -> list[_BarNeeds]:
    return [_bar_needs(run, bar, player) for bar in run.bars]


def _bar_needs(run: Run, bar: RunBar, player: int) -> _BarNeeds:
    own: list[Fraction] = []
    steps = {(beat - bar.at).denominator for beat in bar.beats} | {bar.length.denominator}
    shared = set(steps)
    for lane in run.lanes:
        onsets = onsets_in(lane, bar)
        shared |= {onset.denominator for onset in onsets}
        if lane.player == player:
            own = onsets
    gaps = [b - a for a, b in pairwise([*own, bar.length]) if b > a]
    return _BarNeeds(
        bar.length,
        lcm(*(steps | {onset.denominator for onset in own})),
        lcm(*shared),
        finest=min(gaps, default=Fraction(4)),
    )


def onsets_in(lane: Lane, bar: RunBar) -> list[Fraction]:
    """Where a lane's strokes begin in a bar, quarters from the bar's beginning, each once."""
    end = bar.at + bar.length
    inside = {sign.at - bar.at for sign in lane.signs if bar.at <= sign.at < end and _is_onset(sign.kind, sign.held)}
    return sorted(inside)


def _is_onset(kind: StrokeKind, held: bool) -> bool:
    return kind is not StrokeKind.GRACE and not held
