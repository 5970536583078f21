"""A change between two pieces: what moves where, who carries it, and how many seconds all of it takes.

Things of one kind are matched so that they travel least; what the next piece does not need goes to the nearer side, and
what it needs comes from the side nearer to its place. Whoever is on the stage before or after, and the hall's own
hands, carry; everybody takes the next thing as soon as they are free: first what leaves, then what moves, then what
comes. Instruments wait built up.
"""

from collections.abc import Iterator, Sequence
from math import hypot
from typing import NamedTuple

from score.concert.concert_values import Hall
from score.concert.moving import Changed, Moving, moving
from score.concert.stage_plan import StageInstrument, StagePlan
from score.setup.floor_plan import Point

_STANDS, _STANDS_TURNED = 0.3, 20.0
"""What would move less, in metres and degrees, stays where it is: stands are set for both (common practice)."""
OFF, MOVED, ON = "off", "moved", "on"
_HOWS = (OFF, MOVED, ON)


class Move(NamedTuple):
    """One instrument that moves.

    Attributes:
        what: its name, the concert's own where it has one.
        kind: key of the instrument.
        how: `OFF`, `MOVED` or `ON`.
        start, end: its middle before and after.
        metres: between them.
        seconds: for who carries it.
        begins: seconds after the change begins.
        carriers: names.
        needed: how many it takes.
    """

    what: str
    kind: str
    how: str
    start: Point
    end: Point
    metres: float
    seconds: float
    begins: float
    carriers: tuple[str, ...]
    needed: int


class StageChange(NamedTuple):
    """A change.

    Attributes:
        after, before: names of the two pieces.
        seconds: until everything stands.
        moves: in the order in which they begin.
        stays: names of what stays where it is.
    """

    after: str
    before: str
    seconds: float
    moves: tuple[Move, ...]
    stays: tuple[str, ...]

    @property
    def warnings(self) -> tuple[str, ...]:
        """Things for which there are too few to carry."""
        return tuple(
            f"{move.what} takes {move.needed} to carry, there are {len(move.carriers)}"
            for move in self.moves
            if len(move.carriers) < move.needed
        )


class _Carrying(NamedTuple):
    """A move before somebody takes it."""

    instrument: StageInstrument
    how: str
    start: Point
    end: Point
    row: Moving
    seconds: float


def stage_change(hall: Hall, changed: Changed, before: StagePlan, after: StagePlan) -> StageChange:
    """The change from one piece to the next.

    Args:
        hall: its hands carry too.
        changed: the concert's own figures of moving.
        before: the piece that is over.
        after: the piece that follows.
    """
    jobs, stays = [], []
    for job in _jobs(hall, changed, before, after):
        if job.how == MOVED and not job.seconds:
            stays.append(_called(job.instrument))
        else:
            jobs.append(job)
    people = tuple(dict.fromkeys(spot.person for plan in (before, after) for spot in plan.spots))
    moves = tuple(_carried(jobs, (*people, *(name for name in hall.hands if name not in people))))
    seconds = max((move.begins + move.seconds for move in moves), default=0.0)
    return StageChange(before.name, after.name, seconds, moves=moves, stays=tuple(stays))


def _jobs(hall: Hall, changed: Changed, before: StagePlan, after: StagePlan) -> Iterator[_Carrying]:
    kinds = dict.fromkeys(instrument.kind for plan in (before, after) for instrument in plan.instruments)
    for kind in kinds:
        row = moving(kind, changed)
        old = [instrument for instrument in before.instruments if instrument.kind == kind]
        new = [instrument for instrument in after.instruments if instrument.kind == kind]
        pairs = _matched(old, new, row)
        for a, b in pairs:
            stands = _metres(a.middle, b.middle) < _STANDS and _turn(a, b) < _STANDS_TURNED
            seconds = 0.0 if stands else _seconds(row, a, _metres(a.middle, b.middle))
            yield _Carrying(b, MOVED, a.middle, end=b.middle, row=row, seconds=seconds)
        for a in old:
            if a not in [pair[0] for pair in pairs]:
                side = _side(hall, a.middle)
                yield _Carrying(a, OFF, a.middle, end=side, row=row, seconds=_seconds(row, a, _metres(a.middle, side)))
        for b in new:
            if b not in [pair[1] for pair in pairs]:
                side = _side(hall, b.middle)
                yield _Carrying(b, ON, side, end=b.middle, row=row, seconds=_seconds(row, b, _metres(side, b.middle)))


def _matched(
    old: Sequence[StageInstrument], new: Sequence[StageInstrument], row: Moving
) -> list[tuple[StageInstrument, StageInstrument]]:
    """Pairs of the same instrument in both pieces, or of any two where either will do, that travel least."""
    if not old or not new:
        return []
    from scipy.optimize import linear_sum_assignment

    never = 1e6
    costs = [[_metres(a.middle, b.middle) if _same(a, b) else never for b in new] for a in old]
    rows, columns = linear_sum_assignment(costs)
    pairs = [(old[i], new[j]) for i, j in zip(rows, columns, strict=True) if costs[i][j] < never]
    return [(a, b) for a, b in pairs if row.weight]


def _same(a: StageInstrument, b: StageInstrument) -> bool:
    return not a.which or not b.which or a.which == b.which


def _seconds(row: Moving, instrument: StageInstrument, metres: float) -> float:
    """Seconds for all its pieces, one after the other, with the way back for the next."""
    return row.seconds(metres) * instrument.parts + max(0, instrument.parts - 1) * metres


def _metres(a: Point, b: Point) -> float:
    return hypot(a.x - b.x, a.y - b.y)


def _turn(a: StageInstrument, b: StageInstrument) -> float:
    """Degrees between two ways of standing; half a turn is none."""
    turn = abs(a.turned - b.turned) % 180
    return min(turn, 180 - turn)


def _side(hall: Hall, at: Point) -> Point:
    """The nearer side of the stage."""
    return Point(0.0 if at.x < hall.width / 2 else hall.width, at.y)


def _called(instrument: StageInstrument) -> str:
    return instrument.which or instrument.name


def _carried(jobs: Sequence[_Carrying], people: Sequence[str]) -> Iterator[Move]:
    """Who takes what when: what clears the stage first, long ones first; its own players where they are free."""
    free = dict.fromkeys(people, 0.0)
    for job in sorted(jobs, key=lambda job: (_HOWS.index(job.how), -job.seconds, job.instrument.name)):
        needed = max(1, job.row.carriers)
        own = [name for name in job.instrument.people if name in free]
        order = sorted(free, key=lambda name: (free[name], name not in own, people.index(name)))
        carriers = tuple(order[:needed])
        begins = max((free[name] for name in carriers), default=0.0)
        for name in carriers:
            free[name] = begins + job.seconds
        yield Move(
            _called(job.instrument),
            job.instrument.kind,
            job.how,
            start=job.start,
            end=job.end,
            metres=_metres(job.start, job.end),
            seconds=job.seconds,
            begins=begins,
            carriers=carriers,
            needed=needed,
        )
