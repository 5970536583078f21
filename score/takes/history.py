"""A player's own history, SQLite, keyed by the score's content.

Every confirmed thing is one transaction that has reached the disk before the call returns
(``synchronous=FULL``), so a kill at any moment loses nothing confirmed. Several programs may have the
file open at once. A chunk is known by its first and last bar, not by its number: chunks move when the
group edits them.
"""

import sqlite3
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any, TypeVar

from score.errors import WritingError
from score.takes.history_errors import reading, refused
from score.takes.history_layout import NewerHistoryError, bring_up_to_date, written_now
from score.takes.readiness import KnownPiece, Readiness, Standing, counted

Row = TypeVar("Row")


class History:
    """The open history.

    Args:
        path: the file; its folder is made when missing.

    Raises:
        WritingError: the file cannot be opened, is no history, or was written by a later version of the program.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._turn = threading.RLock()
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            self._file = sqlite3.connect(path, timeout=10, isolation_level=None, check_same_thread=False)
            self._file.execute("PRAGMA journal_mode=WAL")
            self._file.execute("PRAGMA synchronous=FULL")
            bring_up_to_date(self._file)
        except NewerHistoryError as error:
            raise WritingError(
                "Practice history is newer than this program", f"{path}: {error}", "update the program"
            ) from error
        except (OSError, sqlite3.Error) as error:
            raise refused(path, error) from error

    def close(self) -> None:
        """Close the file."""
        self._file.close()

    def opened(self, digest: str, title: str, path: Path) -> KnownPiece:
        """Note that a piece was opened now; gives back what is known of it."""
        with self.transaction():
            self._file.execute(
                "INSERT INTO piece (digest, title, path, opened) VALUES (?, ?, ?, ?) ON CONFLICT (digest) "
                "DO UPDATE SET title = excluded.title, path = excluded.path, opened = excluded.opened",
                (digest, title, str(path.absolute()), written_now()),
            )
        (piece,) = self.read(_known, f"{_PIECE} WHERE digest = ?", (digest,))
        return piece

    def pieces(self) -> tuple[KnownPiece, ...]:
        """Every piece opened before, the latest first."""
        return self.read(_known, f"{_PIECE} ORDER BY opened DESC, digest")

    def forget(self, digest: str) -> None:
        """Take a piece off the list of pieces; its passes stay."""
        with self.transaction():
            self._file.execute("DELETE FROM piece WHERE digest = ?", (digest,))

    def play_as(self, digest: str, player: int) -> None:
        """Remember who practises a piece here."""
        with self.transaction():
            self._file.execute("UPDATE piece SET player = ? WHERE digest = ?", (player, digest))

    def left_at(self, digest: str, bar: int) -> None:
        """Remember the bar where the player was."""
        with self.transaction():
            self._file.execute("UPDATE piece SET bar = ? WHERE digest = ?", (bar, digest))

    def remember(self, name: str, value: str) -> None:
        """Keep a choice of the player's (a device, a level) under a name."""
        with self.transaction():
            self._file.execute(
                "INSERT INTO choice VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
                (name, value),
            )

    def recall(self, name: str) -> str:
        """What was kept under a name, "" when nothing was."""
        rows = self.rows("SELECT value FROM choice WHERE name = ?", (name,))
        return str(rows[0][0]) if rows else ""

    def rate(
        self, digest: str, player: int, bars: range, readiness: Readiness, tempo: float, in_sight: bool | None = None
    ) -> int:
        """Confirm how a pass went.

        Args:
            digest: the piece.
            player: who played.
            bars: indices of the bars.
            readiness: what the player says.
            tempo: as a share of the written tempo.
            in_sight: whether the player saw the own part meanwhile, None where nobody can tell; a pass by heart with
                it in sight counts as what its tempo makes it.

        Returns:
            The pass's number, for `take_back`.
        """
        with self.transaction():
            number = self._file.execute(
                "INSERT INTO pass (digest, player, first, last, readiness, tempo, at, in_sight) "
                "VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
                (digest, player, bars[0], bars[-1], readiness.step, tempo, written_now(), in_sight),
            ).lastrowid
        assert number is not None
        return number

    def take_back(self, number: int) -> None:
        """Undo a rating; it stays in the file but counts no more."""
        with self.transaction():
            self._file.execute("UPDATE pass SET taken_back = 1 WHERE id = ?", (number,))

    def answer(self, player: int, question: str, is_right: bool) -> int:
        """Keep an answer to a question about a piece.

        Args:
            player: who answered.
            question: the question's id, which follows from what it asks: a score corrected elsewhere keeps its answers.
            is_right: whether it was right.

        Returns:
            The answer's number, for `take_answer_back`.
        """
        with self.transaction():
            number = self._file.execute(
                "INSERT INTO answer (player, question, is_right, at) VALUES (?, ?, ?, ?)",
                (player, question, is_right, written_now()),
            ).lastrowid
        assert number is not None
        return number

    def take_answer_back(self, number: int) -> None:
        """Undo an answer; it stays in the file but counts no more."""
        with self.transaction():
            self._file.execute("UPDATE answer SET taken_back = 1 WHERE id = ?", (number,))

    def answers(self, player: int) -> dict[str, list[tuple[datetime, bool]]]:
        """A player's answers by the question's id: when (UTC) and whether right, the earliest first."""
        answers: dict[str, list[tuple[datetime, bool]]] = {}
        for question, when, is_right in self.read(
            lambda row: (row[0], datetime.fromisoformat(row[1]), bool(row[2])),
            "SELECT question, at, is_right FROM answer WHERE player = ? AND NOT taken_back ORDER BY id",
            (player,),
        ):
            answers.setdefault(question, []).append((when, is_right))
        return answers

    def standing(self, digest: str, player: int, bars: range) -> Standing | None:
        """Where a player stands with a run of bars, None when no pass over just these was rated."""
        rows = self.read(
            lambda row: (list(Readiness)[row[0]], float(row[1]), datetime.fromisoformat(row[2]), row[3]),
            "SELECT readiness, tempo, at, in_sight FROM pass WHERE digest = ? AND player = ? AND first = ? "
            "AND last = ? AND NOT taken_back ORDER BY id",
            (digest, player, bars[0], bars[-1]),
        )
        if not rows:
            return None
        best = max((tempo for ready, tempo, *_ in rows if ready.step >= Readiness.UNDER_TEMPO.step), default=0.0)
        ready, tempo, at, in_sight = rows[-1]
        return Standing(counted(ready, tempo, in_sight), best, len(rows), at=at)

    def tempi(self, digest: str, player: int, bars: range) -> tuple[tuple[datetime, float], ...]:
        """When a player played a run of bars how fast, the earliest first.

        Only passes said to be at least under tempo count: the time (UTC) and the share of the written tempo.
        """
        return self.read(
            lambda row: (datetime.fromisoformat(row[0]), float(row[1])),
            "SELECT at, tempo FROM pass WHERE digest = ? AND player = ? AND first = ? AND last = ? "
            "AND readiness >= ? AND NOT taken_back ORDER BY id",
            (digest, player, bars[0], bars[-1], Readiness.UNDER_TEMPO.step),
        )

    @contextmanager
    def transaction(self) -> Iterator[sqlite3.Connection]:
        """All that is written inside, or nothing of it; on the disk before it returns. Threads take turns.

        Raises:
            WritingError: it cannot be written.
        """
        with self._turn:
            try:
                self._file.execute("BEGIN IMMEDIATE")
                yield self._file
                self._file.execute("COMMIT")
            except BaseException as error:
                if self._file.in_transaction:
                    self._file.execute("ROLLBACK")
                if isinstance(error, sqlite3.Error):
                    raise refused(self.path, error) from error
                raise

    def rows(self, question: str, values: tuple[object, ...] = ()) -> list[tuple[Any, ...]]:
        """What a question in SQL gives; never between the two halves of another thread's transaction.

        Raises:
            WritingError: the file is damaged.
        """
        with self._turn, reading(self.path):
            return self._file.execute(question, values).fetchall()

    def read(
        self, understand: Callable[[tuple[Any, ...]], Row], question: str, values: tuple[object, ...] = ()
    ) -> tuple[Row, ...]:
        """The same, each row understood.

        Raises:
            WritingError: the file is damaged, or a row says nothing sensible.
        """
        rows = self.rows(question, values)
        with reading(self.path):
            return tuple(map(understand, rows))


_PIECE = "SELECT digest, title, path, opened, player, bar FROM piece"


def _known(row: tuple[Any, ...]) -> KnownPiece:
    digest, title, path, opened, player, bar = row
    return KnownPiece(digest, title, Path(path), opened=datetime.fromisoformat(opened), player=player, bar=bar)
