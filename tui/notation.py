"""Engraved notation for the screen: pictures that a process draws, and which of them the terminal holds."""

import contextlib
import sys
from collections.abc import Callable, Iterator
from fractions import Fraction
from typing import TYPE_CHECKING, NamedTuple

from score.parts.picture_process import WAITING
from tui.drawing.picture_cells import MOST_CELLS, forget_picture, send_picture
from tui.terminal_pictures import CellSize, cell_size

if TYPE_CHECKING:
    from score.memory.fade import Fade
    from score.parts.picture_process import PictureProcess
    from score.parts.system_picture import Request, SystemPicture
    from tui.session import Session

_STAFF_ROWS, _LEAST_STAFF_ROWS = 3.2, 1.8
"""Rows of the screen that a five-line staff is high, where there is room, and at least."""
_IMAGES = range(160, 172)
"""Numbers of the pictures that the terminal holds, in turn: what has just gone may still be on the screen."""
_KEPT = 60


class ShownPicture(NamedTuple):
    """A system that the terminal holds.

    Attributes:
        picture: the system.
        image: its number in the terminal.
        cell: size of a cell when it was drawn, pixels.
    """

    picture: "SystemPicture"
    image: int
    cell: CellSize

    def column(self, at: Fraction) -> int:
        """Column of a moment, quarters from the beginning of the first bar: where a note head there begins."""
        return min(self.picture.columns - 1, max(0, int(self.picture.x(at) / self.cell.width - 0.7)))


class Notation:
    """Asks for pictures, hands them to the terminal, and forgets those that are no longer shown.

    Args:
        process: who draws; already started.
        cell: size of a cell, pixels.
    """

    def __init__(self, process: "PictureProcess", cell: CellSize) -> None:
        self._process, self._cell = process, cell
        self._write: Callable[[str], None] = _nowhere
        self._drawn: dict[Request, SystemPicture | None] = {}
        self._asked: list[Request] = []
        self._held: dict[Request, int] = {}
        self._next = 0
        self._drawn_from: tuple[object, ...] = ()

    def begin(self, write: Callable[[str], None]) -> None:
        """Write to the terminal with this from now on."""
        self._write = write

    def take(self, session: "Session") -> None:
        """Draw from the part of this session's player from now on."""
        from score.parts.picture_process import Part

        part = Part(session.reading.outline, session.piece, session.me.number, wishes=tuple(session.group.cues))
        drawn_from = (session.piece.digest, part.player, part.wishes)
        if drawn_from != self._drawn_from:
            self._drawn_from = drawn_from
            self._drawn.clear()
            self._asked.clear()
            self._process.take(part)

    def listen(self) -> bool:
        """Whether pictures have come since the last call."""
        answers = self._process.drawn()
        for answer in answers:
            self._asked = [request for request in self._asked if request != answer.request]
            self._drawn[answer.request] = answer.picture
        while len(self._drawn) > _KEPT:
            del self._drawn[next(iter(self._drawn))]
        return bool(answers)

    def picture(
        self, bars: range, columns: int, rows: int, ink: str, fade: "Fade | None" = None
    ) -> ShownPicture | None:
        """Some bars as a system that fits, sent to the terminal; None until it is drawn, or where it does not fit.

        Args:
            bars: indices of the piece's bars.
            columns: room for it, cells.
            rows: the same in height.
            ink: colour, "#rrggbb".
            fade: what is left out of it.
        """
        cell = cell_size(self._cell)
        for request in self._requests(bars, min(columns, MOST_CELLS), ink, cell, fade):
            if request not in self._drawn:
                self._ask(request)
                return None
            picture = self._drawn[request]
            if picture is not None and picture.rows <= rows:
                return ShownPicture(picture, self._number(request, picture), cell)
        return None

    def close(self) -> None:
        """End the process, and free what the terminal still holds."""
        self._process.close()
        target = sys.__stderr__
        if self._held and target is not None:
            with contextlib.suppress(OSError):
                target.write("".join(forget_picture(image) for image in _IMAGES))
                target.flush()

    def _requests(
        self, bars: range, columns: int, ink: str, cell: CellSize, fade: "Fade | None"
    ) -> "Iterator[Request]":
        """The same bars, smaller and smaller."""
        from score.parts.system_picture import Request

        size = _STAFF_ROWS
        while size >= _LEAST_STAFF_ROWS:
            yield Request(
                bars=bars,
                columns=columns,
                cell=(cell.width, cell.height),
                staff=size * cell.height,
                ink=ink,
                fade=fade,
            )
            size *= 0.82

    def _ask(self, request: "Request") -> None:
        if request not in self._asked:
            # Who draws lets the oldest go where many wait: they are asked for again if they are still wanted.
            self._asked = [*self._asked, request][-WAITING:]
            self._process.draw(request)

    def _number(self, request: "Request", picture: "SystemPicture") -> int:
        """The picture's number in the terminal, which is told of it where it does not hold it."""
        if request not in self._held:
            image = _IMAGES[self._next % len(_IMAGES)]
            self._next += 1
            self._held = {other: number for other, number in self._held.items() if number != image}
            self._held[request] = image
            self._write(send_picture(image, picture.png, picture.columns, picture.rows))
        return self._held[request]


def _nowhere(text: str) -> None:
    """Before there is a screen nothing is written."""
