"""A programme from the library as an integer program.

A column for each piece and each set of people who can take it; each piece at most once; the minutes of the evening;
everybody in their share of them. For the fewest instruments there is a column for the first, second, third ... of each
kind, and a piece is only played where enough of them are. Seconds are whole, so a gap below one second is none.
"""

from collections.abc import Mapping, Sequence
from math import ceil
from typing import NamedTuple

from score.integer_program import IntegerProgram, Solved
from score.library.score_facts import ScoreFacts
from score.library.shelf_casting import Person

LEAST_SHARE_OF_TIME = 0.9
"""Of the minutes, that a programme with the fewest instruments has to fill."""
OPEN = float("inf")
_BELOW_ONE = 0.9


class ChoiceWish(NamedTuple):
    """What is asked.

    Attributes:
        seconds: of music at the most.
        people: who plays.
        stock: how many instruments there are of each kind; None for as many as wanted.
        share: of the music that everybody plays in at least, 0 to 1.
        fewest: as few instruments as can be, for at least nine tenths of the time.
    """

    seconds: float
    people: tuple[Person, ...]
    stock: Mapping[str, int] | None = None
    share: float = 0.5
    fewest: bool = False


class Candidate(NamedTuple):
    """A piece that these people can play with these instruments.

    Attributes:
        path: in the library.
        facts: what it holds.
        seconds: whole ones, rounded up.
        casts: sets of people who can take it, bits by position.
    """

    path: str
    facts: ScoreFacts
    seconds: int
    casts: tuple[int, ...]


class ShelfModel:
    """The integer program.

    Args:
        candidates: what can be played.
        wish: what is asked.
        count: instruments count, as few as can be; else seconds, as many as can be.
        least: instruments that are needed anyhow, where they count.
    """

    def __init__(self, candidates: Sequence[Candidate], wish: ChoiceWish, *, count: bool, least: int = 0) -> None:
        self.program, self.wish, self.candidates, self._count = IntegerProgram(), wish, candidates, count
        worth = 0.0 if count else 1.0
        self.columns = [
            {people: self.program.column(worth * each.seconds, 0, 1) for people in each.casts} for each in candidates
        ]
        self._times()
        self._shares()
        if count:
            self._instruments(least)

    def solved(self, seconds: float, *, any_will_do: bool = False) -> Solved:
        """Solve it; the fullest programme is exact where the gap is less than a second.

        Args:
            seconds: at the most.
            any_will_do: the first programme is enough.
        """
        gap = 1.0 if any_will_do else 0.0 if self._count else _BELOW_ONE / self.wish.seconds
        return self.program.solve(seconds, gap, presolve=False)

    def played(self, values: Sequence[float]) -> dict[int, int]:
        """Position of each candidate that is played to the people who play it; none where nothing was found."""
        return {
            position: people
            for position, columns in enumerate(self.columns)
            for people, column in columns.items()
            if values and values[column] > 0.5
        }

    def _times(self) -> None:
        most = float(int(self.wish.seconds))
        least = ceil(LEAST_SHARE_OF_TIME * most) if self.wish.fewest else 0.0
        times = {
            column: float(each.seconds)
            for each, columns in zip(self.candidates, self.columns, strict=True)
            for column in columns.values()
        }
        self.program.row(times, least, most)
        for columns in self.columns:
            self.program.row(dict.fromkeys(columns.values(), 1.0), 0.0, 1.0)

    def _shares(self) -> None:
        for position in range(len(self.wish.people)):
            factors = {
                column: each.seconds * ((people >> position & 1) - self.wish.share)
                for each, columns in zip(self.candidates, self.columns, strict=True)
                for people, column in columns.items()
            }
            self.program.row(factors, 0.0, OPEN)

    def _instruments(self, least: int) -> None:
        needs = [each.facts.needs for each in self.candidates]
        most = {kind: max(each.get(kind, 0) for each in needs) for each in needs for kind in each}
        numbered = [(kind, number) for kind, count in most.items() for number in range(1, count + 1)]
        there = {each: self.program.column(-1.0, 0, 1) for each in numbered}
        self.program.row(dict.fromkeys(there.values(), 1.0), float(least), OPEN)
        for (kind, n), column in there.items():
            if n > 1:
                self.program.row({there[kind, n - 1]: 1.0, column: -1.0}, 0.0, 1.0)
        for each, columns in zip(needs, self.columns, strict=True):
            for kind, count in each.items():
                played = dict.fromkeys(columns.values(), -1.0)
                self.program.row({there[kind, count]: 1.0, **played}, 0.0, 1.0)
