"""What is wrong with a player's history, in one line: the file is damaged, or it cannot be opened or saved."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from score.errors import WritingError

_UNREADABLE = (sqlite3.Error, ValueError, LookupError, TypeError, ArithmeticError, AssertionError)
"""What reading a damaged file may raise: SQLite's own errors, and rows in which nothing sensible stands."""


def refused(path: Path, error: Exception) -> WritingError:
    """The error that is shown for one of SQLite's, or of the system's.

    Args:
        path: the history.
        error: what it met.
    """
    # What SQLite says of a file that it may not open or write is an operational error; of a damaged one it is not, but
    # for a table or column that is missing ("no such table").
    is_damaged = not isinstance(error, (OSError, sqlite3.OperationalError)) or "no such" in str(error)
    if is_damaged:
        return WritingError(
            "Practice history damaged",
            f"{path}: {error}",
            "put an earlier copy in its place, or move it elsewhere and a new one begins",
        )
    return WritingError(
        "Practice history cannot be saved",
        f"{path}: {error}",
        "check disk space and who may write there, or move that file elsewhere",
    )


@contextmanager
def reading(path: Path) -> Iterator[None]:
    """Whatever is damaged and met inside is said in one line.

    Raises:
        WritingError: a row cannot be read, or says nothing sensible.
    """
    try:
        yield
    except _UNREADABLE as error:
        raise refused(path, error) from error
