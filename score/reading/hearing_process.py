"""music21 in a process of its own: it loads while the score is opened, and hears the notes.

Loading it takes as long as reading a movement. This module is light, so that the process can start before anything
else is loaded.
"""

import multiprocessing
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING

from score.processes import interrupts_held, new_process

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping
    from multiprocessing.connection import Connection

    from score.reading.note_kinds import Answer, HeardNote, Listen, NoteKind


@contextmanager
def hearing_apart() -> "Iterator[Listen]":
    """A process that loads music21 at once and answers one question; it ends with the context.

    Where music21 is loaded here already, where there is one core only or no process can be started, this one hears.
    """
    if "music21" in sys.modules or (os.cpu_count() or 1) < 2:
        yield hear_here
        return
    ours, far = multiprocessing.Pipe()
    process = new_process(_hear, far, ours)
    with suppress(OSError), interrupts_held():
        process.start()
    # Our own copy of the far end must not keep the pipe open when the process dies.
    far.close()
    try:
        yield _Apart(ours)
    finally:
        if process.pid is not None:
            process.terminate()
        ours.close()


def hear_here(kinds: "Collection[NoteKind]") -> "Answer":
    """Hears in this process, when the answer is waited for."""

    def answer() -> "Mapping[NoteKind, HeardNote]":
        from score.reading.music21_notes import hear

        return hear(kinds)

    return answer


class _Apart:
    """Asks at the other end of a pipe, and hears here where nobody answers."""

    def __init__(self, pipe: "Connection") -> None:
        self._pipe = pipe

    def __call__(self, kinds: "Collection[NoteKind]") -> "Answer":
        here = hear_here(kinds)
        try:
            self._pipe.send(list(kinds))
        except OSError:
            return here

        def answer() -> "Mapping[NoteKind, HeardNote]":
            try:
                heard: Mapping[NoteKind, HeardNote] | None = self._pipe.recv()
            except (OSError, EOFError):
                heard = None  # it was ended from outside, or never began
            return here() if heard is None else heard

        return answer


# What the process runs.


def _hear(pipe: "Connection", asking_end: "Connection") -> None:
    import gc
    import signal
    from threading import Thread

    # A copy of the asking process has its end of the pipe too: left open, it would hide that the other has died.
    asking_end.close()
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    # It lives for a second and keeps what it makes: collecting would only take time.
    gc.disable()
    # Loaded beside the question: a long one does not fit into the pipe before it is taken out.
    loading = Thread(target=_load, daemon=True)
    loading.start()
    try:
        kinds = pipe.recv()
        loading.join()
        pipe.send(_answer(kinds))
    except (OSError, EOFError):
        pass  # nobody asks any more
    # Letting go of music21 object by object serves nobody.
    os._exit(0)


def _load() -> None:
    import music21.musicxml.xmlToM21  # noqa: F401


def _answer(kinds: "list[NoteKind]") -> "Mapping[NoteKind, HeardNote] | None":
    """None where music21 falls over: whoever asked will meet the same, and can say it."""
    from score.reading.music21_notes import hear

    try:
        return hear(kinds)
    except Exception:
        return None
