"""The tables of the history, version by version: older files are carried over, newer ones left alone.

SQLite keeps the version in the file (``PRAGMA user_version``). Files from before versions were counted say 0; some of
their tables may be missing. A version once released is never changed: what comes new is a further step.
"""

import sqlite3
from collections.abc import Sequence
from datetime import UTC, datetime

_FIRST = (
    """CREATE TABLE IF NOT EXISTS piece (
    digest TEXT PRIMARY KEY, title TEXT NOT NULL, path TEXT NOT NULL, opened TEXT NOT NULL,
    player INTEGER, bar INTEGER NOT NULL DEFAULT 0)""",
    """CREATE TABLE IF NOT EXISTS pass (
    id INTEGER PRIMARY KEY, digest TEXT NOT NULL, player INTEGER NOT NULL, first INTEGER NOT NULL,
    last INTEGER NOT NULL, readiness INTEGER NOT NULL, tempo REAL NOT NULL, at TEXT NOT NULL,
    taken_back INTEGER NOT NULL DEFAULT 0)""",
    """CREATE TABLE IF NOT EXISTS answer (
    id INTEGER PRIMARY KEY, player INTEGER NOT NULL, question TEXT NOT NULL, is_right INTEGER NOT NULL,
    at TEXT NOT NULL, taken_back INTEGER NOT NULL DEFAULT 0)""",
    "CREATE INDEX IF NOT EXISTS answer_to ON answer (player, question)",
    "CREATE TABLE IF NOT EXISTS choice (name TEXT PRIMARY KEY, value TEXT NOT NULL)",
    "CREATE INDEX IF NOT EXISTS pass_of ON pass (digest, player, first, last)",
)
_TAKES = (
    """CREATE TABLE take (
    id INTEGER PRIMARY KEY, digest TEXT NOT NULL, player INTEGER NOT NULL, first INTEGER NOT NULL,
    last INTEGER NOT NULL, at TEXT NOT NULL, tempo REAL NOT NULL, source TEXT NOT NULL, audio TEXT NOT NULL,
    judged INTEGER NOT NULL, why TEXT NOT NULL, delay REAL NOT NULL, delay_from TEXT NOT NULL, quality REAL NOT NULL,
    mean_ms REAL, mean_from_ms REAL, mean_to_ms REAL, spread_ms REAL, remarks TEXT NOT NULL, level REAL NOT NULL,
    taken_back INTEGER NOT NULL DEFAULT 0)""",
    """CREATE TABLE take_stroke (
    take INTEGER NOT NULL REFERENCES take (id), number INTEGER NOT NULL, bar INTEGER NOT NULL, at TEXT NOT NULL,
    state TEXT NOT NULL, offset_ms REAL, seconds REAL, expected REAL, turn INTEGER NOT NULL, hand TEXT NOT NULL,
    level REAL NOT NULL, PRIMARY KEY (take, number)) WITHOUT ROWID""",
    "CREATE INDEX take_of ON take (digest, player, first, last)",
)
_SIGHT = ("ALTER TABLE pass ADD COLUMN in_sight INTEGER",)
_READINGS = (
    """CREATE TABLE reading (
    id INTEGER PRIMARY KEY, digest TEXT NOT NULL, player INTEGER NOT NULL, at TEXT NOT NULL, strokes TEXT NOT NULL,
    forgotten INTEGER NOT NULL DEFAULT 0)""",
    "CREATE INDEX reading_of ON reading (digest, player)",
)
_VISITS = ("ALTER TABLE take ADD COLUMN visits TEXT NOT NULL DEFAULT ''",)
_HEART = (
    "ALTER TABLE take ADD COLUMN in_sight INTEGER",
    "ALTER TABLE answer ADD COLUMN take INTEGER",
    "CREATE INDEX answer_by ON answer (take) WHERE take IS NOT NULL",
)
STEPS: Sequence[Sequence[str]] = (_FIRST, _TAKES, _SIGHT, _READINGS, _VISITS, _HEART)
"""Statements that bring a file from each version to the next."""


class NewerHistoryError(Exception):
    """The file was written by a later version of the program."""


def bring_up_to_date(file: sqlite3.Connection) -> None:
    """Carry a file over to today's version, in one transaction: it is never left between two versions.

    Args:
        file: open, in autocommit.

    Raises:
        NewerHistoryError: the file is of a later version.
        sqlite3.Error: the file cannot be written, or is no history.
    """
    if _version(file) == len(STEPS):
        return
    file.execute("BEGIN IMMEDIATE")
    try:
        # Another program may have carried it over while this one waited for its turn.
        version = _version(file)
        if version > len(STEPS):
            raise NewerHistoryError(f"it is of version {version}, this program knows {len(STEPS)}")
        for step in STEPS[version:]:
            for statement in step:
                file.execute(statement)
        file.execute(f"PRAGMA user_version = {len(STEPS)}")
        file.execute("COMMIT")
    except BaseException:
        file.execute("ROLLBACK")
        raise


def _version(file: sqlite3.Connection) -> int:
    return int(file.execute("PRAGMA user_version").fetchone()[0])


def written_now() -> str:
    """This moment as the history writes moments: UTC, ISO 8601."""
    return datetime.now(UTC).isoformat()
