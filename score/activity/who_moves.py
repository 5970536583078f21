"""What every player does in every bar, gathered once from a piece in time linear in its strokes.

Whatever looks at players bar by bar (choosing cues, who carries the tune) reads these facts. A player's
staves and parts count as one. A grace stroke belongs to the stroke it decorates and adds no onset of its
own unless it stands alone.
"""

import weakref
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate, pairwise
from typing import NamedTuple

from score.beats import Place
from score.piece import Bar, Mark, MarkKind, Piece, Player, Stroke, StrokeKind, strokes_by_bar

# Printed dynamics from soft to loud; one step is one word of the trade.
_STEPS = {mark: step for step, mark in enumerate(("pppp", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "ffff"))}
_SECTION_ENDS = frozenset({"light-light", "light-heavy", "heavy-light", "heavy-heavy", "heavy"})


class BarActivity(NamedTuple):
    """What one player does in one bar.

    Attributes:
        onsets: places of the strokes in the bar, quarters, ascending, each once.
        tops: highest sounding pitch at each onset; None where nothing pitched is struck.
        ends: for each onset, where the last sound begun in the bar up to it ends, quarters; the bar's end at
            the latest.
        held_until: where the last sound held over from an earlier bar ends, quarters; 0 when nothing is.
        rolled: a roll is struck or goes on here.
        level: the dynamic in force at the bar's first stroke in steps (p is 3, f is 6); None when the part
            has printed none yet, or nothing is struck.
    """

    onsets: tuple[Fraction, ...] = ()
    tops: tuple[int | None, ...] = ()
    ends: tuple[Fraction, ...] = ()
    held_until: Fraction = Fraction(0)
    rolled: bool = False
    level: int | None = None

    @property
    def sounds(self) -> bool:
        """Whether anything of the player's is struck or held in the bar."""
        return bool(self.onsets or self.held_until)

    @property
    def until(self) -> Fraction:
        """Where the bar's last sound ends, quarters from its start; 0 when nothing sounds."""
        return max(self.held_until, self.ends[-1]) if self.ends else self.held_until


class Join(NamedTuple):
    """A place between two bars where a group has to come together again.

    Attributes:
        words: what is there, as a player would say it ("after the fermata", "at C").
        firm: the pulse stops or changes there, so that somebody has to give the first beat.
    """

    words: str
    firm: bool


@dataclass(frozen=True, eq=False)
class Activity:
    """The facts of a whole piece; the same only as itself, so that what follows from it can be kept.

    Attributes:
        players: players' numbers in the order of the rows.
        rows: `rows[i][b]` is what player `players[i]` does in bar b.
        joins: by the bar that begins there.
        strikers: per bar, how many players strike in it.
        loudest: per bar, the row whose printed dynamic is two steps or more above everybody else who
            strikes, or None; nobody is where a dynamic is missing or only one strikes.
        next_strike: `next_strike[i][b]` is the first place at or after the start of bar b where player i
            strikes, or None; it has one entry more than there are bars.
    """

    players: tuple[int, ...]
    rows: tuple[tuple[BarActivity, ...], ...]
    joins: dict[int, Join]
    strikers: tuple[int, ...]
    loudest: tuple[int | None, ...]
    next_strike: tuple[tuple[Place | None, ...], ...]

    @property
    def bars(self) -> int:
        """Number of bars."""
        return len(self.next_strike[0]) - 1 if self.next_strike else 0

    def row(self, player: int) -> int:
        """Index of the row of a player's number."""
        return self.players.index(player)


def activity(piece: Piece) -> Activity:
    """The facts of a piece; asked again for the same piece, the same value is given."""
    global _latest
    latest = _latest
    if latest is None or latest[0]() is not piece:
        latest = _latest = (weakref.ref(piece), _gather(piece))
    return latest[1]


# The last piece asked for: all players' cues are chosen from one gathering.
_latest: tuple[weakref.ref[Piece], Activity] | None = None


def _gather(piece: Piece) -> Activity:
    rows = tuple(_row(player, piece.bars) for player in piece.players)
    columns = list(zip(*rows, strict=True))
    return Activity(
        tuple(player.number for player in piece.players),
        rows,
        _joins(piece),
        strikers=tuple(sum(bool(here.onsets) for here in column) for column in columns),
        loudest=tuple(map(_loudest, columns)),
        next_strike=tuple(map(_next_strikes, rows)),
    )


def _loudest(column: tuple[BarActivity, ...]) -> int | None:
    levels = [(here.level, row) for row, here in enumerate(column) if here.onsets]
    printed = sorted((level, row) for level, row in levels if level is not None)
    if len(printed) < 2 or len(printed) < len(levels) or printed[-1][0] < printed[-2][0] + 2:
        return None
    return printed[-1][1]


def _row(player: Player, bars: tuple[Bar, ...]) -> tuple[BarActivity, ...]:
    held, rolled = _held(player, len(bars))
    row: list[BarActivity] = []
    level: int | None = None
    for bar, strokes in zip(bars, strokes_by_bar(player, len(bars)), strict=True):
        struck = _struck(strokes)
        levels = [_STEPS[stroke.dynamic] for stroke in strokes if stroke.dynamic in _STEPS]
        level = levels[0] if levels else level
        onsets, tops, ends = tuple(struck), tuple(struck.values()), _ends(struck, strokes)
        now = level if struck else None
        row.append(BarActivity(onsets, tops, ends, held_until=held[bar.index], rolled=rolled[bar.index], level=now))
    return tuple(row)


def _held(player: Player, bars: int) -> tuple[list[Fraction], list[bool]]:
    """Per bar: until where something is held over from an earlier bar, and whether a roll sounds."""
    held, rolled = [Fraction(0)] * bars, [False] * bars
    for stroke in player.strokes:
        for segment in stroke.segments:
            if segment.bar != stroke.bar:
                held[segment.bar] = max(held[segment.bar], segment.at + segment.length)
            if stroke.kind is StrokeKind.ROLL:
                rolled[segment.bar] = True
    return held, rolled


def _ends(struck: dict[Fraction, int | None], strokes: tuple[Stroke, ...]) -> tuple[Fraction, ...]:
    ends = dict.fromkeys(struck, Fraction(0))
    for stroke in strokes:
        for segment in stroke.segments:
            if segment.bar == stroke.bar:
                ends[stroke.at] = max(ends[stroke.at], segment.at + segment.length)
    return tuple(accumulate(ends.values(), max))


def _struck(strokes: tuple[Stroke, ...]) -> dict[Fraction, int | None]:
    """Highest pitch struck at each place, in order of place."""
    main = {stroke.at for stroke in strokes if stroke.kind is not StrokeKind.GRACE}
    struck: dict[Fraction, int | None] = {}
    for stroke in strokes:
        if stroke.kind is StrokeKind.GRACE and stroke.at in main:
            continue
        top = stroke.pitches[-1] if stroke.pitches else None
        highest = struck.get(stroke.at)
        struck[stroke.at] = top if highest is None else highest if top is None else max(highest, top)
    return dict(sorted(struck.items())) if list(struck) != sorted(struck) else struck


def _next_strikes(row: tuple[BarActivity, ...]) -> tuple[Place | None, ...]:
    coming: Place | None = None
    places: list[Place | None] = [None]
    for bar in range(len(row) - 1, -1, -1):
        if row[bar].onsets:
            coming = Place(bar, row[bar].onsets[0])
        places.append(coming)
    return tuple(reversed(places))


def _joins(piece: Piece) -> dict[int, Join]:
    """Joins by the bar that begins there; of several at one place the one that stops the pulse counts."""
    joins: dict[int, Join] = {}
    for before, bar in pairwise(piece.bars):
        if bar.rehearsal_mark:
            joins[bar.index] = Join(f"at {bar.rehearsal_mark}", False)
        elif before.barline in _SECTION_ENDS or bar.repeat_start:
            joins[bar.index] = Join("after the double bar", False)
        elif bar.meter != before.meter:
            joins[bar.index] = Join(
                f"at the change to {bar.meter.text}" if bar.meter.text else "as the meter stops", False
            )
    for old, new in zip(piece.tempi, piece.tempi[1:], strict=False):
        if new.bar and not new.at and new.quarters_per_minute != old.quarters_per_minute:
            joins[new.bar] = Join("in the new tempo", True)
    for player in piece.players:
        for mark in player.marks:
            _add_stop(joins, mark, len(piece.bars))
    return joins


def _add_stop(joins: dict[int, Join], mark: Mark, bars: int) -> None:
    """A fermata or caesura makes the next bar line a join."""
    if mark.kind in (MarkKind.FERMATA, MarkKind.CAESURA) and mark.bar + 1 < bars:
        joins[mark.bar + 1] = Join(f"after the {mark.kind.value}", True)
