"""What one calendar over several pieces is made from: frozen values; people are positions from 0."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import NamedTuple

from score.plan.plan_inputs import Material, Rehearsal
from score.plan.plan_tasks import PlanTask


@dataclass(frozen=True, slots=True)
class ProgrammePiece:
    """A piece as the calendar sees it.

    Attributes:
        name: what the concert's file calls it.
        chunks: its chunks; whom each needs and what it asks of whom alone are people.
        tasks: its tasks, the whole last; whom each needs are people.
        people: everybody who plays in it.
    """

    name: str
    chunks: tuple[Material, ...]
    tasks: tuple[PlanTask, ...]
    people: frozenset[int]


class ConcertEvening(NamedTuple):
    """A rehearsal.

    Attributes:
        start: when, local time.
        minutes: how long.
        missing: who cannot come.
        late: (person, minutes after the start at which they come).
        leaves: (person, minutes after the start at which they leave).
    """

    start: datetime
    minutes: int
    missing: frozenset[int] = frozenset()
    late: tuple[tuple[int, int], ...] = ()
    leaves: tuple[tuple[int, int], ...] = ()

    @property
    def end(self) -> datetime:
        """When it is over."""
        return self.at(self.minutes)

    @property
    def rehearsal(self) -> Rehearsal:
        """As `score.plan` sees it, its players being people."""
        return Rehearsal(self.start, self.minutes, tuple(sorted(self.missing)))

    def at(self, minutes: int) -> datetime:
        """When so many minutes have passed."""
        return self.start + timedelta(minutes=minutes)

    def is_there(self, person: int, begins: int, ends: int) -> bool:
        """Whether somebody who comes is there from one minute to another."""
        comes, goes = dict(self.late).get(person, 0), dict(self.leaves).get(person, self.minutes)
        return comes <= begins and ends <= goes


@dataclass(frozen=True, slots=True)
class Programme:
    """Everything the calendar is made from.

    Attributes:
        title: of the concert.
        people: names.
        pieces: in the order of the concert.
        evenings: the rehearsals in order of time.
        concert: its day.
        today: the first day on which anybody can practise.
        minutes_a_day: of own work, by person.
        visits: rehearsals in which each piece comes up, at least.
        set_up: minutes to set up for another piece.
        changes: seconds of the change after each piece but the last.
        by_heart: minutes a day of own work that go to what is learnt by heart, by person.
    """

    title: str
    people: tuple[str, ...]
    pieces: tuple[ProgrammePiece, ...]
    evenings: tuple[ConcertEvening, ...]
    concert: date
    today: date
    minutes_a_day: tuple[int, ...] = ()
    visits: int = 4
    set_up: float = 8.0
    changes: tuple[float, ...] = ()
    by_heart: tuple[int, ...] = ()
