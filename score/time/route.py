"""What is played: bars, or parts of bars, one after the other, as performed."""

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import NamedTuple

from score.beats import Place
from score.errors import RequestError
from score.piece import Piece
from score.plain_text import several


class Visit(NamedTuple):
    """One bar, or a part of it, as it is passed through once.

    Attributes:
        bar: index of the bar.
        start, end: offsets inside the bar, quarters; all of the bar unless a pickup or cut says otherwise.
        offset: quarters from the beginning of the route to `start`.
    """

    bar: int
    start: Fraction
    end: Fraction
    offset: Fraction

    @property
    def length(self) -> Fraction:
        """Quarters spent in this visit."""
        return self.end - self.start


class Route(NamedTuple):
    """A run of visits in performed order; never empty."""

    visits: tuple[Visit, ...]

    @property
    def length(self) -> Fraction:
        """Length of the whole route, quarters."""
        return self.visits[-1].offset + self.visits[-1].length

    def at(self, offset: Fraction) -> tuple[Visit, Place]:
        """The visit at an offset from the route's beginning, and the written place there."""
        visit = self.visits[max(0, bisect_right(self.visits, offset, key=lambda each: each.offset) - 1)]
        return visit, Place(visit.bar, visit.start + offset - visit.offset)


def whole(piece: Piece) -> Route:
    """The whole piece in its playing order."""
    return _joined(piece, ((bar, Fraction(0), piece.bars[bar].length) for bar in piece.playing_order))


def without_repeats(piece: Piece) -> Route:
    """The whole piece with every repeated passage played once, its last time; jumps back to a sign are made."""
    order: list[int] = []
    for bar in piece.playing_order:
        if order and bar <= order[-1] and piece.bars[order[-1]].repeat_times:
            while order and order[-1] >= bar:
                order.pop()
        order.append(bar)
    return _joined(piece, ((bar, Fraction(0), piece.bars[bar].length) for bar in order))


def bars(piece: Piece, indices: Sequence[int], pickup: Fraction = Fraction(0)) -> Route:
    """Bars in written order, begun with so many quarters of the bar before them.

    Raises:
        RequestError: no bars, or a bar the piece does not have.
    """
    if not indices or min(indices) < 0 or max(indices) >= len(piece.bars):
        raise RequestError("No such bars", "nothing to play there", f"the piece has {several(len(piece.bars), 'bar')}")
    before = indices[0] - 1
    lead: list[tuple[int, Fraction, Fraction]] = []
    if pickup > 0 and before >= 0:
        length = piece.bars[before].length
        lead.append((before, max(Fraction(0), length - pickup), length))
    return _joined(piece, [*lead, *((bar, Fraction(0), piece.bars[bar].length) for bar in indices)])


def join(piece: Piece, first: Sequence[int], second: Sequence[int], around: int = 4) -> Route:
    """The seam between two runs of bars: the last bars of one into the first bars of the next.

    Args:
        piece: the piece.
        first: indices of the bars of the chunk that ends.
        second: indices of the bars of the chunk that begins.
        around: how many bars on each side at the most.
    """
    return bars(piece, (*first[-around:], *second[:around]))


def _joined(piece: Piece, spans: Iterable[tuple[int, Fraction, Fraction]]) -> Route:
    visits: list[Visit] = []
    offset = Fraction(0)
    for bar, start, end in spans:
        if end > start:
            visits.append(Visit(bar, start, end, offset=offset))
            offset += end - start
    if not visits:
        raise RequestError("Nothing to play", "the bars asked for have no length", "choose other bars")
    return Route(tuple(visits))
