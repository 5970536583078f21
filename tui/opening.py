"""From a file to an opened piece: reading, the group's file, chunks, and what the history knows."""

from dataclasses import dataclass
from pathlib import Path

from score.progress import ReportProgress
from score.takes.history import History
from tui.session import Session


class OpeningStopped(Exception):  # noqa: N818  (it is no error: the player asked for it)
    """Raised inside a report of progress when the player has asked to stop."""


@dataclass(frozen=True, slots=True)
class ScoreSource:
    """What opening needs.

    Attributes:
        path: the score's file.
        history: the player's history.
    """

    path: Path
    history: History


def open_session(source: ScoreSource, report: ReportProgress) -> Session:
    """Read the score and everything that stands beside it.

    Raises:
        InbreathError: the score or the group's file cannot be used.
        OpeningStopped: the report raised it.
    """
    # Imported here: reading takes a second to import, the first frame must not wait for it.
    from score.activity.lanes import run
    from tui.kept_scores import KeptScore
    from tui.session import chunks_of

    kept_score = KeptScore(source.path)
    reading, group = kept_score.read(report), kept_score.group
    report("chunks", 0.9)
    chunks = chunks_of(reading.piece, group)
    # Gathered here, so that the first picture does not wait for it.
    run(reading.piece, range(1))
    kept = source.history.opened(reading.piece.digest, reading.piece.title, source.path)
    numbers = {player.number for player in reading.piece.players}
    player = kept.player if kept.player in numbers else 0
    bar = kept.bar if kept.bar < len(reading.piece.bars) else 0
    return Session(source.path, reading, group, chunks=chunks, history=source.history, player=player or 0, bar=bar)
