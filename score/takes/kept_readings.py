"""How a player took the time, pass by pass: the strokes that were followed, kept in the history until forgotten."""

import json
from collections.abc import Sequence
from datetime import UTC, datetime
from fractions import Fraction

from score.takes.history import History

LEAST_STROKES = 8
"""Strokes of a pass from which on its time is worth keeping."""
_LATEST = 6
"""So many of the latest passes are asked for: the mean gains little from more."""

Stroke = tuple[Fraction, float, int]
"""Quarters from the beginning of the piece, in written order; real seconds; how many jumps came before."""


class KeptReadings:
    """The readings of a history.

    Args:
        history: open.
    """

    def __init__(self, history: History) -> None:
        self._history = history

    def keep(self, digest: str, player: int, strokes: Sequence[Stroke]) -> int:
        """Keep the strokes of a pass; they are on the disk when this returns.

        Args:
            digest: the piece.
            player: who played.
            strokes: in the order they were played.

        Returns:
            The reading's number.

        Raises:
            WritingError: it cannot be written; then nothing of it is kept.
        """
        text = json.dumps([(str(offset), round(moment, 5), run) for offset, moment, run in strokes])
        values = (digest, player, datetime.now(UTC).isoformat(), text)
        with self._history.transaction() as file:
            number = file.execute(
                "INSERT INTO reading (digest, player, at, strokes) VALUES (?, ?, ?, ?)", values
            ).lastrowid
        assert number is not None
        return number

    def of(self, digest: str, player: int) -> tuple[tuple[Stroke, ...], ...]:
        """A player's latest readings of a piece, the earliest of them first."""
        readings = self._history.read(
            lambda row: tuple((Fraction(at), float(moment), int(run)) for at, moment, run in json.loads(row[0])),
            "SELECT strokes FROM reading WHERE digest = ? AND player = ? AND NOT forgotten ORDER BY id DESC LIMIT ?",
            (digest, player, _LATEST),
        )
        return readings[::-1]

    def forget(self, digest: str, player: int) -> tuple[int, ...]:
        """Forget a player's readings of a piece; gives back their numbers, for `recall`."""
        with self._history.transaction() as file:
            rows = file.execute(
                "SELECT id FROM reading WHERE digest = ? AND player = ? AND NOT forgotten ORDER BY id", (digest, player)
            ).fetchall()
            file.execute("UPDATE reading SET forgotten = 1 WHERE digest = ? AND player = ?", (digest, player))
        return tuple(number for (number,) in rows)

    def recall(self, numbers: Sequence[int]) -> None:
        """Take a forgetting back."""
        with self._history.transaction() as file:
            file.executemany("UPDATE reading SET forgotten = 0 WHERE id = ?", [(number,) for number in numbers])
