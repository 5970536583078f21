"""A programme chosen from the library: the fullest one, or the one with the fewest instruments, by integer programming.

A column for each piece and each set of people who can take it; each piece at most once; the minutes of the evening;
everybody in their share of them. For the fewest instruments there is a column for the first, second, third … of each
kind, and a piece is only played where enough of them are. Seconds are whole, so a gap below one second is none.
"""

from collections.abc import Mapping, Sequence
from math import ceil
from typing import NamedTuple

from score.errors import RequestError
from score.integer_program import IntegerProgram, Solved
from score.library.library_reading import LibraryEntry
from score.library.score_facts import ScoreFacts
from score.library.shelf_casting import Person, cast, casts, check_people

LEAST_SHARE_OF_TIME = 0.9
"""Of the minutes, that a programme with the fewest instruments has to fill."""
_BELOW_ONE = 0.9
_OPEN = float("inf")


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


class ChosenPiece(NamedTuple):
    """One piece of the programme.

    Attributes:
        path: in the library.
        title: as printed.
        seconds: how long it lasts.
        cast: name of each player to the number of their part.
    """

    path: str
    title: str
    seconds: float
    cast: Mapping[str, int]


class ChosenPieces(NamedTuple):
    """A programme.

    Attributes:
        pieces: in the library's order; empty where none can be made.
        seconds: of music.
        instruments: how many of each kind have to be there.
        plays: name to the seconds they play.
        bound: no programme is longer, seconds; with the fewest instruments, none needs fewer.
        is_best: it reaches the bound.
        candidates: how many pieces these people can play with these instruments.
    """

    pieces: tuple[ChosenPiece, ...]
    seconds: float
    instruments: Mapping[str, int]
    plays: Mapping[str, float]
    bound: int
    is_best: bool
    candidates: int


class _Candidate(NamedTuple):
    path: str
    facts: ScoreFacts
    seconds: int
    casts: tuple[int, ...]


def choose_pieces(entries: Sequence[LibraryEntry], wish: ChoiceWish, seconds: float) -> ChosenPieces:
    """The best programme there is, or the best in time with its bound.

    Args:
        entries: of the library.
        wish: what is asked.
        seconds: to look for it at the most.

    Raises:
        RequestError: people, minutes or share that cannot be.
    """
    check_people(wish.people)
    if not (wish.seconds > 0 and 0 <= wish.share <= 1):
        raise RequestError("No programme", f"{wish.seconds / 60:g} minutes, a share of {wish.share:g}", "ask for more")
    candidates = _candidates(entries, wish)
    model = _ShelfModel(candidates, wish)
    solved = model.solved(seconds)
    return _chosen(candidates, model, solved, wish)


def _candidates(entries: Sequence[LibraryEntry], wish: ChoiceWish) -> list[_Candidate]:
    known: dict[tuple[tuple[str, ...], ...], tuple[int, ...]] = {}
    candidates = []
    for entry in entries:
        facts = entry.facts
        if facts is None or not 0 < facts.seconds <= wish.seconds or not _is_there(facts.needs, wish.stock):
            continue
        key = tuple(sorted(part.kinds for part in facts.parts))
        if key not in known:
            known[key] = tuple(sorted(casts(facts.parts, wish.people)))
        if known[key]:
            candidates.append(_Candidate(entry.path, facts, ceil(facts.seconds), casts=known[key]))
    return candidates


def _is_there(needs: Mapping[str, int], stock: Mapping[str, int] | None) -> bool:
    return stock is None or all(stock.get(kind, 0) >= count for kind, count in needs.items())


class _ShelfModel:
    """The integer program."""

    def __init__(self, candidates: Sequence[_Candidate], wish: ChoiceWish) -> None:
        self.program, self.wish, self.candidates = IntegerProgram(), wish, candidates
        worth = 0.0 if wish.fewest else 1.0
        self.columns = [
            {people: self.program.column(worth * each.seconds, 0, 1) for people in each.casts} for each in candidates
        ]
        self._times()
        self._shares()
        if wish.fewest and candidates:
            self._instruments()

    def solved(self, seconds: float) -> Solved:
        """Solve it; the fullest programme is exact where the gap is less than a second."""
        if not self.candidates:
            return Solved((), 0.0, bound=0.0)
        gap = 0.0 if self.wish.fewest else _BELOW_ONE / self.wish.seconds
        return self.program.solve(seconds, gap, presolve=False)

    def people_of(self, number: int, values: Sequence[float]) -> int | None:
        """Which people play a candidate in a solution; None where it is not played."""
        return next((people for people, column in self.columns[number].items() if values[column] > 0.5), None)

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
            self.program.row(factors, 0.0, _OPEN)

    def _instruments(self) -> None:
        needs = [each.facts.needs for each in self.candidates]
        most = {kind: max(each.get(kind, 0) for each in needs) for each in needs for kind in each}
        numbered = [(kind, number) for kind, count in most.items() for number in range(1, count + 1)]
        there = {each: self.program.column(-1.0, 0, 1) for each in numbered}
        self.program.row(dict.fromkeys(there.values(), 1.0), float(_least_needed(self.candidates, self.wish)), _OPEN)
        for (kind, n), column in there.items():
            if n > 1:
                self.program.row({there[kind, n - 1]: 1.0, column: -1.0}, 0.0, 1.0)
        for each, columns in zip(needs, self.columns, strict=True):
            for kind, count in each.items():
                played = dict.fromkeys(columns.values(), -1.0)
                self.program.row({there[kind, count]: 1.0, **played}, 0.0, 1.0)


def _least_needed(candidates: Sequence[_Candidate], wish: ChoiceWish) -> int:
    """Instruments that any programme needs: those of two pieces where no piece alone is long enough."""
    import numpy as np

    kinds = sorted({kind for each in candidates for kind in each.facts.needs})
    needs = np.array([[each.facts.needs.get(kind, 0) for kind in kinds] for each in candidates], dtype=np.int16)
    if max(each.seconds for each in candidates) >= LEAST_SHARE_OF_TIME * wish.seconds or len(candidates) < 2:
        return int(needs.sum(axis=1).min())
    rest = (np.maximum(needs[first + 1 :], needs[first]).sum(axis=1).min() for first in range(len(needs) - 1))
    return int(min(rest))


def _chosen(candidates: Sequence[_Candidate], model: _ShelfModel, solved: Solved, wish: ChoiceWish) -> ChosenPieces:
    pieces, instruments = [], dict[str, int]()
    plays = dict.fromkeys((person.name for person in wish.people), 0.0)
    for number, each in enumerate(candidates):
        people = model.people_of(number, solved.values) if solved.values else None
        if people is None:
            continue
        parts = cast(each.facts.parts, wish.people, people)
        pieces.append(ChosenPiece(each.path, each.facts.title, each.facts.seconds, cast=parts))
        for name in parts:
            plays[name] += each.facts.seconds
        for kind, count in each.facts.needs.items():
            instruments[kind] = max(instruments.get(kind, 0), count)
    bound = _bound(solved, wish) if candidates else 0
    carried, whole = sum(instruments.values()), sum(ceil(piece.seconds) for piece in pieces)
    return ChosenPieces(
        tuple(pieces),
        round(sum(piece.seconds for piece in pieces), 1),
        instruments=instruments,
        plays=plays,
        bound=bound,
        is_best=carried <= bound if wish.fewest else whole >= bound,
        candidates=len(candidates),
    )


def _bound(solved: Solved, wish: ChoiceWish) -> int:
    """In whole instruments, or whole seconds."""
    if abs(solved.bound) == _OPEN:
        return 0 if wish.fewest else int(wish.seconds)
    return ceil(-solved.bound - 1e-6) if wish.fewest else min(int(wish.seconds), int(solved.bound + 1e-6))
