"""Work that takes longer than a key may wait: done beside the screen, its answer given back to it."""

import threading
from collections import deque
from collections.abc import Callable
from functools import partial
from typing import Any, NamedTuple, TypeVar
from weakref import WeakKeyDictionary

from textual.screen import Screen

from score.errors import InbreathError
from tui.session import Session, changed

Answer = TypeVar("Answer")
_EDIT = "edit"


class _Commission(NamedTuple):
    """What is to be calculated, and who is told."""

    calculate: Callable[[], Any]
    answer: Callable[[Any], None]
    refuse: Callable[[InbreathError], None]


class _WorkLine:
    """Jobs of one kind for one screen: one at a time, so that work nobody waits for any more cannot pile up."""

    def __init__(self, screen: Screen[Any], keeps_all: bool) -> None:
        self.screen, self.keeps_all = screen, keeps_all
        self.waiting: deque[_Commission] = deque()
        self.is_busy = False

    def add(self, job: _Commission) -> None:
        if not self.keeps_all:
            self.waiting.clear()
        self.waiting.append(job)
        self._begin()

    def _begin(self) -> None:
        if self.waiting and not self.is_busy:
            self.is_busy = True
            # A daemon: leaving the screens never waits for what nobody will see.
            threading.Thread(target=self._run, args=(self.waiting.popleft(),), daemon=True).start()

    def _run(self, job: _Commission) -> None:
        try:
            told: Callable[[], None] = partial(job.answer, job.calculate())
        except InbreathError as error:
            told = partial(job.refuse, error)
        except BaseException as error:
            told = partial(_raise, error)
        self.screen.call_later(self._finish, told)

    def _finish(self, told: Callable[[], None]) -> None:
        self.is_busy = False
        is_late = bool(self.waiting) and not self.keeps_all
        self._begin()
        if self.screen.is_attached and not is_late:
            try:
                told()
            except InbreathError as error:
                self.screen.app.show_error(error)  # type: ignore[attr-defined]


_LINES: WeakKeyDictionary[Screen[Any], dict[str, _WorkLine]] = WeakKeyDictionary()


def beside(
    screen: Screen[Any],
    work: str,
    calculate: Callable[[], Answer],
    answer: Callable[[Answer], None],
    refuse: Callable[[InbreathError], None] | None = None,
) -> None:
    """Calculate in a thread and answer on the screen's own; keys are taken meanwhile.

    Asked for the same work again before it has answered, only the latest is answered.

    Args:
        screen: who asks; nothing is answered once it is gone.
        work: name of the work.
        calculate: what takes long; touches no widget.
        answer: told the result.
        refuse: told an error of the engine; the application shows it where this is None.
    """
    told = refuse or screen.app.show_error  # type: ignore[attr-defined]
    lines = _LINES.setdefault(screen, {})
    lines.setdefault(work, _WorkLine(screen, keeps_all=work == _EDIT)).add(_Commission(calculate, answer, told))


def edit(
    screen: Screen[Any],
    session: Session,
    change: Callable[[], bytes],
    answer: Callable[[Callable[[], None]], None],
    check: Callable[[], object] | None = None,
) -> None:
    """Change the group's file beside the screen; edits follow one another and each is answered.

    Args:
        screen: who asks.
        session: the opened piece.
        change: changes the file, gives back its bytes from before.
        answer: told what undoes the change; not called when it was refused, the file is then as before.
        check: what must hold after the change besides the chunks; raises where it does not.
    """
    beside(screen, _EDIT, lambda: changed(session, change, check), answer)


def take_back(screen: Screen[Any], undo: Callable[[], None], answer: Callable[[], None]) -> None:
    """Undo a change of the group's file beside the screen."""
    beside(screen, _EDIT, undo, lambda _: answer())


def _raise(error: BaseException) -> None:
    raise error
