"""A player's own history, SQLite, keyed by the score's content.

Every confirmed thing is one transaction that has reached the disk before the call returns
(``synchronous=FULL``), so a kill at any moment loses nothing confirmed. Several programs may have the
file open at once. A chunk is known by its first and last bar, not by its number: chunks move when the
group edits them.
"""

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from pathlib import Path
from typing import Any

from score.errors import WritingError
from score.takes.history_layout import NewerHistoryError, bring_up_to_date, written_now


class Readiness(StrEnum):
    """How far a player is with a chunk, in the order they come."""

    LEARNING = "learning notes"
    UNDER_TEMPO = "under tempo"
    AT_TEMPO = "at tempo"
    BY_HEART = "by heart"

    @property
    def step(self) -> int:
        """0 for learning notes to 3 for by heart."""
        return list(Readiness).index(self)

    @property
    def share(self) -> float:
        """0 for learning notes to 1 for by heart."""
        return self.step / (len(Readiness) - 1)


AT_TEMPO = 0.95
"""From this share of the written tempo on a pass can be called at tempo."""


def counted(readiness: Readiness, tempo: float, in_sight: bool | None) -> Readiness:
    """What a pass counts as: by heart only where the own part was out of sight.

    Args:
        readiness: what the player says.
        tempo: as a share of the written tempo.
        in_sight: whether the own part was seen, None where nobody can tell.
    """
    if readiness is not Readiness.BY_HEART or not in_sight:
        return readiness
    return Readiness.AT_TEMPO if tempo >= AT_TEMPO else Readiness.UNDER_TEMPO


@dataclass(frozen=True, slots=True)
class KnownPiece:
    """A piece opened before.

    Attributes:
        digest: SHA-256 of the score's content.
        title: as printed.
        path: where it was when it was opened last.
        opened: when, UTC.
        player: number of the player who practises here, None when never said.
        bar: index of the bar where the player was last.
    """

    digest: str
    title: str
    path: Path
    opened: datetime
    player: int | None
    bar: int


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a player stands with a run of bars.

    Attributes:
        readiness: what was said last, as it counts.
        best_tempo: highest tempo of a pass said to be at least under tempo, as a share of the written
            tempo; 0 when there is none.
        passes: how many passes were rated.
        at: when the last one was, UTC.
    """

    readiness: Readiness
    best_tempo: float
    passes: int
    at: datetime


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
            raise _refused(path, error) from error

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
        return _known(self.rows(f"{_PIECE} WHERE digest = ?", (digest,))[0])

    def pieces(self) -> tuple[KnownPiece, ...]:
        """Every piece opened before, the latest first."""
        rows = self.rows(f"{_PIECE} ORDER BY opened DESC, digest")
        return tuple(_known(row) for row in rows)

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
        rows = self.rows(
            "SELECT question, at, is_right FROM answer WHERE player = ? AND NOT taken_back ORDER BY id", (player,)
        )
        answers: dict[str, list[tuple[datetime, bool]]] = {}
        for question, at, is_right in rows:
            answers.setdefault(question, []).append((datetime.fromisoformat(at), bool(is_right)))
        return answers

    def standing(self, digest: str, player: int, bars: range) -> Standing | None:
        """Where a player stands with a run of bars, None when no pass over just these was rated."""
        rows = self.rows(
            "SELECT readiness, tempo, at, in_sight FROM pass WHERE digest = ? AND player = ? AND first = ? "
            "AND last = ? AND NOT taken_back ORDER BY id",
            (digest, player, bars[0], bars[-1]),
        )
        if not rows:
            return None
        best = max((tempo for step, tempo, *_ in rows if step >= Readiness.UNDER_TEMPO.step), default=0.0)
        step, tempo, at, in_sight = rows[-1]
        readiness = counted(list(Readiness)[step], tempo, in_sight)
        return Standing(readiness, best, len(rows), at=datetime.fromisoformat(at))

    def tempi(self, digest: str, player: int, bars: range) -> tuple[tuple[datetime, float], ...]:
        """When a player played a run of bars how fast, the earliest first.

        Only passes said to be at least under tempo count: the time (UTC) and the share of the written tempo.
        """
        rows = self.rows(
            "SELECT at, tempo FROM pass WHERE digest = ? AND player = ? AND first = ? AND last = ? "
            "AND readiness >= ? AND NOT taken_back ORDER BY id",
            (digest, player, bars[0], bars[-1], Readiness.UNDER_TEMPO.step),
        )
        return tuple((datetime.fromisoformat(at), float(tempo)) for at, tempo in rows)

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
                    raise _refused(self.path, error) from error
                raise

    def rows(self, question: str, values: tuple[object, ...] = ()) -> list[tuple[Any, ...]]:
        """What a question in SQL gives; never between the two halves of another thread's transaction."""
        with self._turn:
            return self._file.execute(question, values).fetchall()


_PIECE = "SELECT digest, title, path, opened, player, bar FROM piece"


def _known(row: tuple[Any, ...]) -> KnownPiece:
    digest, title, path, opened, player, bar = row
    return KnownPiece(digest, title, Path(path), opened=datetime.fromisoformat(opened), player=player, bar=bar)


def _refused(path: Path, error: Exception) -> WritingError:
    return WritingError(
        "Practice history cannot be saved", f"{path}: {error}", "free some disk space, or move that file elsewhere"
    )
