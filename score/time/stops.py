"""Where the music stands still as written: fermatas, and caesuras."""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from score.beats import Place
from score.piece import MarkKind, Piece, Player


class Stop(NamedTuple):
    """One moment at which everybody waits.

    Attributes:
        start, end: quarters from the beginning of the piece: what is held; both the same for a caesura alone. The music
            stands still at the end.
        breaks_off: a caesura stands there.
    """

    start: Fraction
    end: Fraction
    breaks_off: bool = False

    def covers(self, offset: Fraction) -> bool:
        """Whether a place is meant by it: the held note, its end included."""
        return self.start <= offset <= self.end


def written_stops(piece: Piece) -> tuple[Stop, ...]:
    """Every stop in order: notes held at one moment in several parts are one stop, that of the last to end."""
    stops: list[Stop] = []
    for stop in sorted(_each(piece)):
        if stops and (stop.start < stops[-1].end or stop.end == stops[-1].end):
            last = stops[-1]
            stops[-1] = Stop(last.start, max(last.end, stop.end), last.breaks_off or stop.breaks_off)
        else:
            stops.append(stop)
    return tuple(stops)


def stop_bar(piece: Piece, stop: Stop) -> int:
    """Index of the bar in which the music stands still: at a bar line that before it."""
    return max((bar.index for bar in piece.bars if bar.start < stop.end), default=0)


def _each(piece: Piece) -> Iterator[Stop]:
    for player in piece.players:
        for mark in player.marks:
            offset = piece.offset(Place(mark.bar, mark.at))
            if mark.kind is MarkKind.FERMATA:
                yield _held(piece, player, Place(mark.bar, mark.at), offset)
            elif mark.kind is MarkKind.CAESURA:
                yield Stop(offset, offset, breaks_off=True)


def _held(piece: Piece, player: Player, place: Place, offset: Fraction) -> Stop:
    for stroke in player.strokes:
        if stroke.bar <= place.bar <= stroke.last_bar:
            start = piece.offset(stroke.place)
            if start <= offset < start + stroke.length:
                return Stop(start, start + stroke.length)
    return Stop(offset, min(offset + piece.bars[place.bar].meter.beat, piece.length))
