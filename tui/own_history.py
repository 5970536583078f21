"""The player's own history as commands read it: none is made where there is none."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from score.piece import Piece
    from score.takes.history import History


@contextmanager
def own_history() -> "Iterator[History | None]":
    """The history of this computer, None before anything was practised.

    Raises:
        WritingError: it cannot be opened.
    """
    from tui.settings import history_path

    if not history_path().exists():
        yield None
        return
    from score.takes.history import History

    history = History(history_path())
    try:
        yield history
    finally:
        history.close()


def practising(history: "History", piece: "Piece") -> int | None:
    """Number of the player who practises a piece here, None when that was never said; a corrected score is the same."""
    entries = [entry for entry in history.pieces() if entry.player is not None]
    here = next((entry for entry in entries if entry.digest == piece.digest), None)
    here = here or next((entry for entry in entries if piece.title and entry.title == piece.title), None)
    return here.player if here is not None else None
