"""Listening in a process of its own, so that a screen stays free and Ctrl-C ends it at once.

This module is light: the process loads what listens.
"""

import multiprocessing
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from multiprocessing.connection import Connection
from pathlib import Path
from typing import TYPE_CHECKING

from score.errors import InbreathError, RequestError
from score.processes import (
    end_with_parent,
    new_process,
    quiet_stderr,
    reckon_on_one_core,
    start_held,
    started_from_screens,
)
from score.recording.heard_bars import HeardRecording

if TYPE_CHECKING:
    from score.piece import Piece
    from score.progress import ReportProgress
    from score.recording.recording_store import RecordingStore

_ENDED = RequestError("Listening ended", "the process that listens was ended from outside", "try again")


def heard_recording(
    piece: "Piece", path: Path, store: "RecordingStore", progress: "ReportProgress | None" = None
) -> HeardRecording:
    """What is heard in a recording: what was kept, or what a process of its own hears now, which is kept.

    Args:
        piece: the piece.
        path: the recording.
        store: where what was heard is kept.
        progress: told how far it is; it may raise to stop the work.

    Raises:
        InbreathError: the recording cannot be used.
    """
    from score.recording.recording_store import recording_key
    from score.recording.sound_pieces import sound_facts

    sound_facts(path)
    key = recording_key(piece, path)
    heard = store.kept(key)
    if heard is None:
        with _listening(piece, path) as pipe:
            heard = _awaited(pipe, progress) if pipe is not None else _here(piece, path, progress)
        if recording_key(piece, path) == key:
            store.keep(key, heard)
    return heard


@contextmanager
def _listening(piece: "Piece", path: Path) -> Iterator[Connection | None]:
    """A process that listens; it ends with the context. None where none can be started."""
    ours, far = multiprocessing.Pipe(duplex=False)
    process = new_process(_listen, far, piece, path)
    with suppress(OSError, ValueError), started_from_screens():
        start_held(process)
    far.close()
    try:
        yield ours if process.pid is not None else None
    finally:
        if process.pid is not None:
            process.terminate()
            process.join(2.0)
        ours.close()


def _here(piece: "Piece", path: Path, progress: "ReportProgress | None") -> HeardRecording:
    from score.recording.find_bars import find_recording

    return find_recording(piece, path, progress or (lambda step, share: None))


def _awaited(pipe: Connection, progress: "ReportProgress | None") -> HeardRecording:
    while True:
        try:
            said = pipe.recv()
        except (EOFError, OSError) as error:
            raise _ENDED from error
        if isinstance(said, InbreathError):
            raise said
        if isinstance(said, HeardRecording):
            return said
        if progress is not None:
            progress(said[0], said[1])


# What the process runs.


def _listen(pipe: Connection, piece: "Piece", path: Path) -> None:
    import os
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    end_with_parent()
    reckon_on_one_core()
    from score.recording.find_bars import find_recording

    with suppress(OSError), quiet_stderr():
        try:
            pipe.send(find_recording(piece, path, lambda step, share: pipe.send((step, share))))
        except InbreathError as error:
            pipe.send(error)
        except MemoryError:
            pipe.send(RequestError("Recording too long", f"{path.name}: not enough memory", "cut it in two"))
    os._exit(0)
