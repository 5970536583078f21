"""A programme chosen from the library: the fullest one, or the one with the fewest instruments, with its bound."""

from collections.abc import Mapping, Sequence
from math import ceil
from time import monotonic
from typing import NamedTuple

from score.errors import RequestError
from score.library.library_reading import LibraryEntry
from score.library.shelf_casting import cast, casts, check_people
from score.library.shelf_check import ProgrammeCheck, together
from score.library.shelf_filling import Offer, filled
from score.library.shelf_model import LEAST_SHARE_OF_TIME, OPEN, Candidate, ChoiceWish, ShelfModel
from score.library.shelf_unions import Needed, fewest_needed, rich_union

_RICH_SHARE, _UNIONS_SHARE = 0.5, 0.8
"""Of the time, to look for few instruments by what pieces need together; of the rest, whether there are fewer."""


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


class _BestPlayed(NamedTuple):
    """Position of each candidate that is played to its people, and the bound in whole seconds or instruments."""

    played: Mapping[int, int]
    bound: int


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
    if not candidates:
        return _chosen(candidates, _BestPlayed({}, 0), wish)
    find = _fewest if wish.fewest else _fullest
    return _chosen(candidates, find(candidates, wish, seconds), wish)


def _candidates(entries: Sequence[LibraryEntry], wish: ChoiceWish) -> list[Candidate]:
    sets: dict[tuple[tuple[str, ...], ...], tuple[int, ...]] = {}
    candidates = []
    for entry in entries:
        facts = entry.facts
        if facts is None or not 0 < facts.seconds <= wish.seconds or not _is_there(facts.needs, wish.stock):
            continue
        key = tuple(sorted(part.kinds for part in facts.parts))
        if key not in sets:
            sets[key] = tuple(sorted(casts(facts.parts, wish.people)))
        if sets[key]:
            candidates.append(Candidate(entry.path, facts, ceil(facts.seconds), casts=sets[key]))
    return candidates


def _is_there(needs: Mapping[str, int], stock: Mapping[str, int] | None) -> bool:
    return stock is None or all(stock.get(kind, 0) >= count for kind, count in needs.items())


def _fullest(candidates: Sequence[Candidate], wish: ChoiceWish, seconds: float) -> _BestPlayed:
    most = int(wish.seconds)
    offers = [Offer(each.seconds, each.casts) for each in candidates]
    played = filled(offers, most, len(wish.people), wish.share)
    if played is not None:
        return _BestPlayed(played, most)
    model = ShelfModel(candidates, wish, count=False)
    solved = model.solved(seconds)
    bound = most if abs(solved.bound) == OPEN else min(most, int(solved.bound + 1e-6))
    return _BestPlayed(model.played(solved.values), bound)


def _fewest(candidates: Sequence[Candidate], wish: ChoiceWish, seconds: float) -> _BestPlayed:
    """By unions: a small one first, then whether there is a smaller; by an integer program where there was none."""
    check, shelf = ProgrammeCheck(candidates, wish), _needed(candidates, wish)
    least = ceil(LEAST_SHARE_OF_TIME * int(wish.seconds))
    until = monotonic() + seconds
    rich_union(shelf, least, wish.share, check, _RICH_SHARE * seconds)
    left = _UNIONS_SHARE * (until - monotonic())
    smallest = fewest_needed(shelf, least, wish.share, check, left, most=check.carried)
    bound = min(smallest.bound, check.unsure)
    if check.played or smallest.pieces == ():
        return _BestPlayed(check.played, bound)
    model = ShelfModel(candidates, wish, count=True, least=bound)
    solved = model.solved(max(0.1, until - monotonic()))
    proven = 0 if abs(solved.bound) == OPEN else ceil(-solved.bound - 1e-6)
    return _BestPlayed(model.played(solved.values), max(bound, proven))


def _needed(candidates: Sequence[Candidate], wish: ChoiceWish) -> Needed:
    import numpy as np

    kinds = sorted({kind for each in candidates for kind in each.facts.needs})
    people = range(len(wish.people))
    plays = [[each.seconds * any(cast >> p & 1 for cast in each.casts) for p in people] for each in candidates]
    return Needed(
        np.array([[each.facts.needs.get(kind, 0) for kind in kinds] for each in candidates], dtype=np.int16),
        np.array([each.seconds for each in candidates]),
        np.array(plays),
    )


def _chosen(candidates: Sequence[Candidate], best: _BestPlayed, wish: ChoiceWish) -> ChosenPieces:
    plays = dict.fromkeys((person.name for person in wish.people), 0.0)
    pieces = []
    for at, people in sorted(best.played.items()):
        each = candidates[at]
        parts = cast(each.facts.parts, wish.people, people)
        pieces.append(ChosenPiece(each.path, each.facts.title, each.facts.seconds, cast=parts))
        for name in parts:
            plays[name] += each.facts.seconds
    instruments = together(candidates[at].facts.needs for at in sorted(best.played))
    carried, whole = sum(instruments.values()), sum(candidates[at].seconds for at in best.played)
    return ChosenPieces(
        tuple(pieces),
        round(sum(piece.seconds for piece in pieces), 1),
        instruments=instruments,
        plays=plays,
        bound=best.bound,
        is_best=carried <= best.bound if wish.fewest else whole >= best.bound,
        candidates=len(candidates),
    )
