"""What a plan is made from: frozen values, checked once."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from itertools import pairwise

from score.errors import RequestError


@dataclass(frozen=True, slots=True)
class Material:
    """One chunk as the plan sees it.

    Attributes:
        name: how players call it.
        seconds: at the written tempo.
        together: what it asks of the group, 0 to 1.
        own: what it asks of each player alone: (player, 0 to 1).
        needed: players who strike in it.
        ready: how far the group is with it, 0 to 1, where it is known; else None.
        repeats: position of the chunk whose material it repeats exactly, None when it is new.
    """

    name: str
    seconds: float
    together: float
    own: tuple[tuple[int, float], ...] = ()
    needed: tuple[int, ...] = ()
    ready: float | None = None
    repeats: int | None = None


@dataclass(frozen=True, slots=True)
class Rehearsal:
    """A rehearsal.

    Attributes:
        start: when, local time.
        minutes: how long.
        missing: numbers of the players who cannot come.
    """

    start: datetime
    minutes: int
    missing: tuple[int, ...] = ()

    @property
    def end(self) -> datetime:
        """When it is over."""
        return self.start + timedelta(minutes=self.minutes)


@dataclass(frozen=True, slots=True)
class PlanInputs:
    """Everything a plan is made from.

    Attributes:
        title: of the piece.
        chunks: in score order.
        rehearsals: in order of time.
        concert: its day.
        today: the first day on which anybody can practise.
        minutes_a_day: player to minutes of own practice a day.
        players: (number, name) of everybody.
        by_heart: player to minutes of that day's own practice that go to what is learnt by heart.
    """

    title: str
    chunks: tuple[Material, ...]
    rehearsals: tuple[Rehearsal, ...]
    concert: date
    today: date
    minutes_a_day: tuple[tuple[int, int], ...] = ()
    players: tuple[tuple[int, str], ...] = ()
    by_heart: tuple[tuple[int, int], ...] = ()


USUAL_MINUTES_A_DAY = 45
DAY = 24 * 60
"""Minutes: nothing lasts longer, and nobody practises longer."""


def checked(inputs: PlanInputs) -> PlanInputs:
    """The inputs with rehearsals in order of time.

    Raises:
        RequestError: dates or minutes that cannot be, in one line that says which.
    """
    rehearsals = tuple(sorted(inputs.rehearsals, key=lambda rehearsal: rehearsal.start))
    if not rehearsals:
        raise RequestError("No rehearsals", "a plan needs one or more", "give a date, a time and minutes")
    _check_each(inputs, rehearsals)
    for rehearsal, following in pairwise(rehearsals):
        if following.start < rehearsal.end:
            raise RequestError(
                "Rehearsals overlap",
                f"{said(rehearsal)} goes on until {rehearsal.end:%H:%M}, {said(following)}",
                "move one of them",
            )
    last = rehearsals[-1]
    if inputs.concert < last.start.date():
        raise RequestError(
            "Concert before the last rehearsal",
            f"{inputs.concert} comes before {said(last)}",
            "give a later concert or fewer rehearsals",
        )
    return replace(inputs, rehearsals=rehearsals)


def said(rehearsal: Rehearsal) -> str:
    """A rehearsal in words."""
    return f"the rehearsal of {rehearsal.start:%Y-%m-%d %H:%M}"


def _check_each(inputs: PlanInputs, rehearsals: Sequence[Rehearsal]) -> None:
    numbers = {number for number, _ in inputs.players}
    for rehearsal in rehearsals:
        if rehearsal.minutes <= 0:
            raise RequestError(
                "No time", f"{said(rehearsal)} has {rehearsal.minutes} minutes", "give it a length in minutes"
            )
        if rehearsal.minutes > DAY:
            raise RequestError(
                "Too long", f"{said(rehearsal)} has {rehearsal.minutes} minutes", f"give it {DAY} at most"
            )
        if rehearsal.start.date() < inputs.today:
            raise RequestError("Date has passed", f"{said(rehearsal)} is before {inputs.today}", "give a later date")
        for player in rehearsal.missing:
            _check_player(numbers, player, f"is missing from {said(rehearsal)}")
    for player, minutes in inputs.minutes_a_day:
        if not 0 <= minutes <= DAY:
            raise RequestError("Minutes a day", f"player {player} has {minutes}", f"give 0 to {DAY}")
        _check_player(numbers, player, f"has {minutes} minutes a day")


def _check_player(numbers: set[int], player: int, does: str) -> None:
    if numbers and player not in numbers:
        listed = ", ".join(str(number) for number in sorted(numbers))
        raise RequestError("No such player", f"player {player} {does}", f"there are {listed}")
