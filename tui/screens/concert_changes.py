"""What the keys of the concert's screen change in its file; each change can be undone letter for letter."""

from abc import abstractmethod
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

from score.concert.concert_edit import changed_piece, edit_concert, in_order
from score.concert.concert_values import Concert
from score.errors import ConcertFileError
from score.group.group_edit import put_back
from tui.background import beside
from tui.concert_wishes import TYPED, concert_edits, names_of, typed_wish
from tui.screens.picture_screen import PictureScreen
from tui.screens.prompts import AskLine
from tui.widgets.foot import Foot


class _Undo(NamedTuple):
    """The file's bytes before a change and after it."""

    before: bytes
    after: bytes


class ConcertChanges(PictureScreen):
    """The changes; what is shown follows from the file.

    Args:
        path: the concert's file.
    """

    def __init__(self, path: Path) -> None:
        super().__init__()
        self.path = path
        self.concert: Concert | None = None
        self.chosen = 0
        self.undos: list[_Undo] = []

    @abstractmethod
    def changed(self, concert: Concert) -> None:
        """Show what the file says now."""

    @property
    def name_here(self) -> str:
        """The chosen piece's name."""
        return self.concert.pieces[self.chosen].name if self.concert is not None and self.concert.pieces else ""

    def action_add_piece(self) -> None:
        """Add a score at the end."""
        self.app.push_screen(AskLine("Path of a score", "trio.musicxml"), lambda text: self._wish(text, "pieces"))

    def action_people(self) -> None:
        """Say who plays which part of the chosen piece."""
        if self.concert is None or not self.name_here:
            return
        people = ", ".join(self.concert.pieces[self.chosen].people)
        question = f"{self.name_here}: who plays parts 1, 2, ..."
        name = self.name_here

        def say(text: str | None) -> None:
            if text:
                self._do(lambda: edit_concert(self.path, [changed_piece(name, {"people": names_of(text)})]))

        self.app.push_screen(AskLine(question, "Ann, Ben, Cleo, Dan", people), say)

    def action_add_rehearsal(self) -> None:
        """Add a rehearsal."""
        question = "Day, time and minutes of the rehearsal"

        def add(text: str | None) -> None:
            self._wish(text.replace(" ", "T", 1).replace(" ", "/") if text else text, "rehearsals")

        self.app.push_screen(AskLine(question, "2027-03-02 19:00 120"), add)

    def action_missing(self) -> None:
        """Say who cannot come to a rehearsal."""

        def miss(text: str | None) -> None:
            self._wish(text.replace(" ", ":", 1) if text else text, "missing")

        self.app.push_screen(AskLine("Day of the rehearsal, and who cannot come", "2027-03-02 Ann"), miss)

    def action_day(self) -> None:
        """Say when the concert is."""
        day = str(self.concert.day or "") if self.concert is not None else ""
        self.app.push_screen(AskLine("The concert's day", "2027-03-14", day), lambda text: self._single(text, "day"))

    def action_hall(self) -> None:
        """Say how large the stage is."""
        hall = self.concert.hall if self.concert is not None else None
        measures = f"{hall.width:g}x{hall.depth:g}" if hall is not None and hall.width else ""
        question = "Width and depth of the stage in metres"
        self.app.push_screen(AskLine(question, "9x6", measures), lambda text: self._single(text, "hall"))

    def action_other(self) -> None:
        """Anything else that the file holds, in words."""
        question = f"What to change: {', '.join(TYPED)}"
        self.app.push_screen(AskLine(question, "late 2027-03-02:Ann 19:30"), self._typed)

    def _typed(self, text: str | None) -> None:
        if text:
            self._do(lambda: edit_concert(self.path, concert_edits(self.path, **typed_wish(text))))

    def action_place(self, by: int) -> None:
        """The chosen piece earlier or later."""
        if self.concert is None:
            return
        names = [piece.name for piece in self.concert.pieces]
        other = self.chosen + by
        if 0 <= other < len(names):
            names[self.chosen], names[other] = names[other], names[self.chosen]
            self.chosen = other
            self._do(lambda: edit_concert(self.path, [in_order(names)]))

    def action_take_out(self) -> None:
        """Take the chosen piece out of the concert."""
        if self.name_here:
            self._wish(self.name_here, "without")

    def undo_last(self) -> str:
        """The file as it was before the last change."""
        if not self.undos:
            return ""
        last = self.undos.pop()
        beside(self, "edit", lambda: self._put_back(last), lambda _: self.reread())
        return "Last change undone."

    def _put_back(self, last: _Undo) -> None:
        # Whatever somebody else has written into it since must not be lost.
        if not self.path.is_file() or self.path.read_bytes() != last.after:
            what = f"{self.path.name} has been changed elsewhere since"
            raise ConcertFileError("Nothing undone", what, "change it back by hand")
        put_back(self.path, last.before)

    def reread(self) -> None:
        """Read the file again and show what it says."""
        from score.concert.concert_file import read_concert

        beside(self, "file", lambda: read_concert(self.path), self.changed)

    def _wish(self, text: str | None, option: str) -> None:
        if text:
            self._edit(option, [text])

    def _single(self, text: str | None, option: str) -> None:
        if text:
            self._edit(option, text)

    def _edit(self, option: str, value: Any) -> None:
        def change() -> tuple[bytes, Concert]:
            return edit_concert(self.path, concert_edits(self.path, **{option: value}))

        self._do(change)

    def _do(self, change: Callable[[], tuple[bytes, Concert]]) -> None:
        def do() -> tuple[_Undo, Concert]:
            before, concert = change()
            return _Undo(before, self.path.read_bytes()), concert

        def done(answer: tuple[_Undo, Concert]) -> None:
            self.undos.append(answer[0])
            self.query_one(Foot).say("Changed. Ctrl+Z undoes it.")
            self.changed(answer[1])

        beside(self, "edit", do, done)
