"""Judged passes in the history: a pass is one transaction, and what was kept reads back as it was judged."""

import json
from collections.abc import Mapping, Sequence
from datetime import datetime
from fractions import Fraction
from typing import Any, NamedTuple

from score.takes.history import History
from score.takes.history_layout import written_now
from score.takes.judged_pass import Delay, DelayFrom, JudgedPass, JudgedStroke, StrokeState
from score.time.route import Route, Visit

_TAKE = (
    "SELECT id, at, digest, player, first, last, tempo, source, audio, judged, why, delay, delay_from, quality, "
    "mean_ms, mean_from_ms, mean_to_ms, spread_ms, remarks, level, visits, in_sight FROM take WHERE NOT taken_back"
)
_STROKES = (
    "SELECT bar, at, state, offset_ms, seconds, expected, turn, hand, level FROM take_stroke WHERE take = ? "
    "ORDER BY number"
)


class TakeOf(NamedTuple):
    """What a pass was played over.

    Attributes:
        digest: the piece.
        player: who played.
        bars: indices of the bars that were judged.
        tempo: as a share of the written tempo.
        source: what heard it, as in `HeardStroke.source`.
        audio: name of the sound file that was kept, "" for none.
        route: the bars as they were played, None for takes of before that was kept: the bars one after another.
        in_sight: whether the own part was seen meanwhile; None where nobody can tell.
    """

    digest: str
    player: int
    bars: range
    tempo: float
    source: str
    audio: str = ""
    route: Route | None = None
    in_sight: bool | None = None

    @property
    def is_by_heart(self) -> bool:
        """Whether it was played without one's part."""
        return self.in_sight is False


class KeptTake(NamedTuple):
    """A pass from the history.

    Attributes:
        number: for `take_back`.
        at: when it was kept, UTC.
        what: over what it was played.
        judged: what was said of it.
    """

    number: int
    at: datetime
    what: TakeOf
    judged: JudgedPass


class KeptTakes:
    """The passes of a history.

    Args:
        history: open.
    """

    def __init__(self, history: History) -> None:
        self._history = history

    def keep(self, what: TakeOf, judged: JudgedPass, answers: Mapping[str, bool] | None = None) -> int:
        """Keep a pass with all its strokes; it is on the disk when this returns.

        Args:
            what: over what it was played.
            judged: as it was judged.
            answers: what it says of bars that are known by heart, by their keys (`score.memory.bar_keys`): whether
                nothing was lost there. They are kept and taken back with it.

        Returns:
            Its number, for `take_back`.

        Raises:
            WritingError: it cannot be written; then nothing of it is kept.
        """
        low, high = judged.mean_ms_interval or (None, None)
        now = written_now()
        values = (
            *(what.digest, what.player, what.bars[0], what.bars[-1], now, what.tempo, what.source, what.audio),
            *(judged.judged, judged.why, judged.delay.seconds, judged.delay.origin.value, judged.delay.quality),
            *(judged.mean_ms, low, high, judged.spread_ms, json.dumps(judged.remarks), judged.level),
            *(_visits_text(what.route), what.in_sight),
        )
        with self._history.transaction() as file:
            number = file.execute(
                "INSERT INTO take (digest, player, first, last, at, tempo, source, audio, judged, why, delay, "
                "delay_from, quality, mean_ms, mean_from_ms, mean_to_ms, spread_ms, remarks, level, visits, in_sight) "
                f"VALUES ({', '.join('?' * len(values))})",
                values,
            ).lastrowid
            assert number is not None
            file.executemany(
                "INSERT INTO take_stroke VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                (_stroke_row(number, index, stroke) for index, stroke in enumerate(judged.strokes)),
            )
            file.executemany(
                "INSERT INTO answer (player, question, is_right, at, take) VALUES (?, ?, ?, ?, ?)",
                ((what.player, key, is_right, now, number) for key, is_right in (answers or {}).items()),
            )
        return number

    def take_back(self, number: int) -> None:
        """Undo the keeping of a pass and what it said of bars; both stay in the file but count no more."""
        with self._history.transaction() as file:
            file.execute("UPDATE take SET taken_back = 1 WHERE id = ?", (number,))
            file.execute("UPDATE answer SET taken_back = 1 WHERE take = ?", (number,))

    def of(self, digest: str, player: int, bars: range | None = None, latest: int = -1) -> tuple[KeptTake, ...]:
        """A player's passes over a piece, the earliest first.

        Args:
            digest: the piece.
            player: who played.
            bars: only passes that touch these; all where None.
            latest: only so many of the latest; all where negative.
        """
        first, last = (bars[0], bars[-1]) if bars else (0, 2**31)
        takes = self._history.read(
            self._read,
            f"{_TAKE} AND digest = ? AND player = ? AND first <= ? AND last >= ? ORDER BY id DESC LIMIT ?",
            (digest, player, last, first, latest),
        )
        return takes[::-1]

    def numbered(self, digest: str, number: int) -> KeptTake | None:
        """The pass of that number over a piece, None where there is none."""
        takes = self._history.read(self._read, f"{_TAKE} AND digest = ? AND id = ?", (digest, number))
        return takes[0] if takes else None

    def _read(self, row: tuple[Any, ...]) -> KeptTake:
        return _take(row, self._history.rows(_STROKES, (row[0],)))

    def forget_audio(self, name: str) -> None:
        """A sound file that was kept is gone; its passes stay."""
        with self._history.transaction() as file:
            file.execute("UPDATE take SET audio = '' WHERE audio = ?", (name,))


def _stroke_row(take: int, number: int, stroke: JudgedStroke) -> tuple[object, ...]:
    place = (take, number, stroke.bar, str(stroke.at), stroke.state.value)
    return (*place, stroke.offset_ms, stroke.seconds, stroke.expected, stroke.turn, stroke.hand, stroke.level)


def _take(row: tuple[Any, ...], strokes: Sequence[tuple[Any, ...]]) -> KeptTake:
    number, at, digest, player, first, last, tempo, source, audio = row[:9]
    judged, why, delay, origin, quality, mean, low, high, spread, remarks, level, visits, in_sight = row[9:]
    seen = None if in_sight is None else bool(in_sight)
    what = TakeOf(digest, player, range(first, last + 1), tempo=tempo, source=source, audio=audio)
    return KeptTake(
        number,
        datetime.fromisoformat(at),
        what._replace(route=_route(visits), in_sight=seen),
        judged=JudgedPass(
            tuple(_stroke(*stroke) for stroke in strokes),
            bool(judged),
            why,
            delay=Delay(delay, DelayFrom(origin), quality),
            mean_ms=mean,
            mean_ms_interval=(low, high) if low is not None else None,
            spread_ms=spread,
            remarks=tuple(json.loads(remarks)),
            level=level,
        ),
    )


def _visits_text(route: Route | None) -> str:
    return json.dumps([[visit.bar, str(visit.start), str(visit.end)] for visit in route.visits]) if route else ""


def _route(text: str) -> Route | None:
    """A route from its visits; they follow one another without a gap."""
    if not text:
        return None
    visits, offset = [], Fraction(0)
    for bar, start, end in json.loads(text):
        visits.append(Visit(bar, Fraction(start), Fraction(end), offset=offset))
        offset += visits[-1].length
    return Route(tuple(visits))


def _stroke(bar: int, at: str, state: str, *rest: Any) -> JudgedStroke:
    offset, seconds, expected, turn, hand, level = rest
    return JudgedStroke(
        bar,
        Fraction(at),
        StrokeState(state),
        offset_ms=offset,
        seconds=seconds,
        expected=expected,
        turn=turn,
        hand=hand,
        level=level,
    )
