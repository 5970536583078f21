"""A process that draws systems of one's part while the screen goes on: it engraves for a tenth of a second each.

This module is light; what draws is loaded in the process. It is started before the screen, because none can be started
from inside it.
"""

import contextlib
import multiprocessing
import os
import queue
import signal
import threading
from collections.abc import Sequence
from multiprocessing.connection import Connection
from typing import TYPE_CHECKING, NamedTuple

from score.processes import start_held

if TYPE_CHECKING:
    from score.group.group_file import CueWish
    from score.parts.part_notes import EngravedPart
    from score.parts.system_picture import Request, SystemPicture
    from score.piece import Piece
    from score.reading.reading_result import Outline

_KEPT, WAITING = 48, 4
"""Pictures kept, and requests that may wait: whoever turns pages quickly wants the last ones only."""


class Part(NamedTuple):
    """Whose part is drawn from now on.

    Attributes:
        outline, piece: of the score.
        player: number of the player.
        wishes: of the group, about cues.
    """

    outline: "Outline"
    piece: "Piece"
    player: int
    wishes: "tuple[CueWish, ...]"


class Drawn(NamedTuple):
    """An answer.

    Attributes:
        request: what was asked.
        picture: what was drawn, None where it cannot be.
    """

    request: "Request"
    picture: "SystemPicture | None"


class PictureProcess:
    """The handle of the process. Never blocks and never raises when the process is gone."""

    def __init__(self) -> None:
        self._posted: queue.SimpleQueue[Part | Request | None] = queue.SimpleQueue()
        context = multiprocessing.get_context("spawn")
        self._pipe, self._far = context.Pipe()
        self._process = context.Process(target=serve, args=(self._far,), daemon=True)

    def start(self) -> None:
        """Start the process; it loads the engraver while the application goes on loading."""
        start_held(self._process)
        # Our own copy of the far end must not keep the pipe open when the process dies.
        self._far.close()
        # Beside everything else: a long score is long to send.
        threading.Thread(target=self._send, daemon=True).start()

    def take(self, part: Part) -> None:
        """Draw from this part from now on."""
        self._posted.put(part)

    def draw(self, request: "Request") -> None:
        """Ask for a picture; it comes with `drawn`."""
        self._posted.put(request)

    def drawn(self) -> Sequence[Drawn]:
        """What has come since the last call."""
        answers: list[Drawn] = []
        with contextlib.suppress(EOFError, OSError):
            while self._pipe.poll():
                answers.append(self._pipe.recv())
        return answers

    def close(self) -> None:
        """End the process."""
        self._posted.put(None)
        with contextlib.suppress(OSError):
            self._pipe.close()
        if self._process.pid is not None:
            self._process.terminate()
            self._process.join(2.0)

    def _send(self) -> None:
        with contextlib.suppress(OSError, ValueError):
            while (message := self._posted.get()) is not None:
                self._pipe.send(message)


def serve(pipe: Connection) -> None:
    """The process: take parts and requests until nobody is left to send them."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(os, "nice"):
        # Whatever sounds must not stutter.
        os.nice(5)
    artist = _Artist(pipe)
    with contextlib.suppress(EOFError, OSError):
        while True:
            artist.hear()
            artist.draw()


class _Artist:
    """Draws the request that came last, first."""

    def __init__(self, pipe: Connection) -> None:
        self._pipe = pipe
        self._part: Part | None = None
        self._notes: EngravedPart | None = None
        self._waiting: list[Request] = []
        self._kept: dict[Request, SystemPicture] = {}

    def hear(self) -> None:
        """Take what has been sent; wait for something where nothing is to be done."""
        while not self._waiting or self._pipe.poll():
            message = self._pipe.recv()
            if isinstance(message, Part):
                self._part, self._notes, self._kept = message, None, {}
                self._waiting = []
            else:
                self._waiting = [*self._waiting, message][-WAITING:]

    def draw(self) -> None:
        """Draw one picture and send it."""
        request = self._waiting.pop()
        picture = self._kept.get(request)
        if picture is None:
            picture = self._drawn(request)
        if picture is not None:
            self._kept[request] = picture
            while len(self._kept) > _KEPT:
                del self._kept[next(iter(self._kept))]
        self._pipe.send(Drawn(request, picture))

    def _drawn(self, request: "Request") -> "SystemPicture | None":
        """The picture; None where the engraver takes the part or the bars for something else: lanes are shown then."""
        from score.parts.system_picture import STAFF_MM, system_picture

        try:
            if self._notes is None and self._part is not None:
                self._notes = _notes(self._part, STAFF_MM)
            return system_picture(self._notes, request) if self._notes is not None else None
        except (OSError, EOFError):
            raise
        except Exception:
            return None


def _notes(part: Part, staff_mm: float) -> "EngravedPart":
    from score.cues.cue_choice import choose_cues
    from score.cues.sheet import Level
    from score.parts.part_notes import EngravedPart
    from score.parts.uncued_part import uncued_parts

    sheet = choose_cues(part.piece, part.player, Level.USUAL, part.wishes)
    uncued = uncued_parts(part.outline, [part.player], Level.USUAL)[part.player]
    return EngravedPart(uncued, part.piece, sheet, staff_mm)
