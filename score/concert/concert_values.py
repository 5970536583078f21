"""A concert as its file says it: frozen values (read by `concert_file`)."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import NamedTuple

from score.concert.concert_tables import SOURCES
from score.plan.plan_inputs import USUAL_MINUTES_A_DAY

ENDING = ".concert.toml"
USUAL_VISITS, USUAL_SET_UP = 4, 8.0
"""Rehearsals in which a piece comes up at least, and minutes to set up for it (common practice, no source)."""


class PieceEntry(NamedTuple):
    """A piece of the programme.

    Attributes:
        score: its file.
        people: who plays parts 1, 2, ...; empty where everybody is called as the score calls them.
        place: "first" or "last" where it stays there in every order, else "".
    """

    score: Path
    people: tuple[str, ...] = ()
    place: str = ""

    @property
    def name(self) -> str:
        """What the file calls it."""
        return self.score.stem


class PersonEntry(NamedTuple):
    """Somebody and their minutes of own work a day."""

    name: str
    minutes: int = USUAL_MINUTES_A_DAY


class RehearsalEntry(NamedTuple):
    """A rehearsal of the concert.

    Attributes:
        start: when, local time.
        minutes: how long.
        missing: names of who cannot come.
        late: (name, minutes after the start at which they come).
        leaves: (name, minutes after the start at which they leave).
    """

    start: datetime
    minutes: int
    missing: tuple[str, ...] = ()
    late: tuple[tuple[str, int], ...] = ()
    leaves: tuple[tuple[str, int], ...] = ()

    @property
    def end(self) -> datetime:
        """When it is over."""
        return self.start + timedelta(minutes=self.minutes)

    @property
    def names(self) -> tuple[str, ...]:
        """Whoever is missing, late or leaves."""
        return (*self.missing, *(name for name, _ in (*self.late, *self.leaves)))


class Hall(NamedTuple):
    """The stage: metres, degrees Celsius, and who carries beside the players; a measure of 0 is not given."""

    width: float = 0.0
    depth: float = 0.0
    temperature: float = 20.0
    hands: tuple[str, ...] = ()


class ConcertInstrument(NamedTuple):
    """One instrument that stands somewhere in the world.

    Attributes:
        name: how the group calls it.
        kind: its key, a printed name where the table of instruments has none.
        source: one of `SOURCES`.
        pieces: names of the pieces it serves; empty for all.
        person: who plays it, "" for whoever does.
    """

    name: str
    kind: str
    source: str = SOURCES[0]
    pieces: tuple[str, ...] = ()
    person: str = ""


@dataclass(frozen=True, slots=True)
class Concert:
    """The whole file.

    Attributes:
        path: where it stands.
        title: of the concert.
        day: its date, None where the file gives none.
        pieces: in the order of the concert.
        people: those with an entry of their own.
        rehearsals: in order of time.
        hall: the stage.
        instruments: those the group has, borrows or builds.
        moving: kind to figures that differ from the usual ones.
        visits: rehearsals in which each piece comes up, at least.
        set_up: minutes to set up for another piece in a rehearsal.
    """

    path: Path
    title: str
    day: date | None
    pieces: tuple[PieceEntry, ...]
    people: tuple[PersonEntry, ...] = ()
    rehearsals: tuple[RehearsalEntry, ...] = ()
    hall: Hall = field(default_factory=Hall)
    instruments: tuple[ConcertInstrument, ...] = ()
    moving: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    visits: int = USUAL_VISITS
    set_up: float = USUAL_SET_UP

    def minutes_of(self, person: str, usual: int = USUAL_MINUTES_A_DAY) -> int:
        """Somebody's minutes of own work a day, the usual ones where they have no entry."""
        return next((entry.minutes for entry in self.people if entry.name == person), usual)

    @property
    def stem(self) -> str:
        """The file's name without its ending: how the names of files written from it begin."""
        return self.path.name.removesuffix(ENDING)

    @property
    def folder(self) -> Path:
        """Where what is written from it goes while nobody names another folder."""
        return self.path.with_name(f"{self.stem}-inbreath")
