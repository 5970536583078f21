"""Programmes against a search through every possible one."""

import random
from itertools import combinations, product
from math import ceil

import pytest

from score.errors import RequestError
from score.library.library_reading import LibraryEntry
from score.library.score_facts import PartFacts
from score.library.shelf_casting import Person, cast, casts, person_of, stock_of
from score.library.shelf_choice import ChosenPieces, choose_pieces
from score.library.shelf_model import LEAST_SHARE_OF_TIME, ChoiceWish
from tests.library.shelves import KINDS, shelf

FEW = KINDS[:5]


def case(seed: int) -> tuple[tuple[LibraryEntry, ...], ChoiceWish]:
    chance = random.Random(seed)
    people = tuple(
        Person(name, None if chance.random() < 0.4 else frozenset(chance.sample(FEW, chance.randint(2, 5))))
        for name in ("Ida", "Jo", "Kim", "Lee")[: chance.randint(2, 4)]
    )
    stock = None if chance.random() < 0.3 else {kind: chance.randint(1, 3) for kind in FEW}
    share = chance.choice((0.0, 0.5, 0.75))
    return shelf(9, seed, FEW, most=3), ChoiceWish(chance.choice((900, 1200)), people, stock=stock, share=share)


def able(entry: LibraryEntry, wish: ChoiceWish) -> list[frozenset[int]]:
    """Sets of people, tried one by one, who can take a score's parts."""
    facts = entry.facts
    assert facts is not None
    if wish.stock is not None and any(count > wish.stock.get(kind, 0) for kind, count in facts.needs.items()):
        return []
    sets = set()
    for chosen in product(range(len(wish.people)), repeat=len(facts.parts)):
        kinds = [wish.people[person].kinds for person in chosen]
        fit = all(k is None or set(part.kinds) <= k for k, part in zip(kinds, facts.parts, strict=True))
        if len(set(chosen)) == len(chosen) and fit:
            sets.add(frozenset(chosen))
    return list(sets)


def every_programme(entries: tuple[LibraryEntry, ...], wish: ChoiceWish) -> list[tuple[int, int]]:
    """(seconds, instruments) of each programme in which everybody plays as much as they must."""
    options = [(entry, able(entry, wish)) for entry in entries]
    playable = [
        (entry, sets) for entry, sets in options if sets and entry.facts and entry.facts.seconds <= wish.seconds
    ]
    found = []
    for count in range(len(playable) + 1):
        for chosen in combinations(playable, count):
            seconds = [ceil(entry.facts.seconds) for entry, _ in chosen if entry.facts]
            if sum(seconds) > wish.seconds:
                continue
            needs: dict[str, int] = {}
            for entry, _ in chosen:
                for kind, number in entry.facts.needs.items() if entry.facts else ():
                    needs[kind] = max(needs.get(kind, 0), number)
            if any(_is_fair(seconds, casting, wish) for casting in product(*(sets for _, sets in chosen))):
                found.append((sum(seconds), sum(needs.values())))
    return found


def _is_fair(seconds: list[int], casting: tuple[frozenset[int], ...], wish: ChoiceWish) -> bool:
    least = wish.share * sum(seconds)
    own = [sum(s for s, people in zip(seconds, casting, strict=True) if p in people) for p in range(len(wish.people))]
    return all(each >= least - 1e-9 for each in own)


def holds(entries: tuple[LibraryEntry, ...], wish: ChoiceWish, chosen: ChosenPieces) -> None:
    """The programme is one that was asked for."""
    by_path = {entry.path: entry.facts for entry in entries}
    people = {person.name: person for person in wish.people}
    for piece in chosen.pieces:
        facts = by_path[piece.path]
        assert facts is not None
        parts = {part.number: part for part in facts.parts}
        assert sorted(piece.cast.values()) == sorted(parts)
        assert all(people[name].plays(parts[number]) for name, number in piece.cast.items())
        assert all(chosen.instruments[kind] >= count for kind, count in facts.needs.items())
    assert len({piece.path for piece in chosen.pieces}) == len(chosen.pieces)
    assert chosen.seconds <= wish.seconds
    assert all(seconds >= wish.share * chosen.seconds - len(chosen.pieces) for seconds in chosen.plays.values())


@pytest.mark.parametrize("seed", range(12))
def test_the_fullest_programme_is_that_of_a_search_through_all(seed: int) -> None:
    entries, wish = case(seed)
    best = max(seconds for seconds, _ in every_programme(entries, wish))
    chosen = choose_pieces(entries, wish, 20)
    assert sum(ceil(piece.seconds) for piece in chosen.pieces) == best
    assert chosen.is_best == (chosen.bound == best)
    assert chosen.bound >= best
    holds(entries, wish, chosen)


@pytest.mark.parametrize("seed", range(12))
def test_the_fewest_instruments_are_those_of_a_search_through_all(seed: int) -> None:
    entries, wish = case(seed)
    wish = wish._replace(fewest=True)
    least = ceil(LEAST_SHARE_OF_TIME * wish.seconds)
    every = [instruments for seconds, instruments in every_programme(entries, wish) if seconds >= least]
    chosen = choose_pieces(entries, wish, 20)
    if not every:
        assert chosen.pieces == ()
        return
    assert sum(chosen.instruments.values()) == min(every)
    assert chosen.bound == min(every)
    assert chosen.is_best
    holds(entries, wish, chosen)


@pytest.mark.parametrize("seed", range(3))
def test_a_thousand_scores_fill_the_time_to_the_second(seed: int) -> None:
    entries = shelf(1000, seed)
    people = (Person("Ida"), Person("Jo", frozenset(KINDS[:25])), Person("Kim", frozenset(KINDS[:30])), Person("Lee"))
    wish = ChoiceWish(1200, people, stock=dict.fromkeys(KINDS[:30], 2))
    chosen = choose_pieces(entries, wish, 20)
    # As long as there is time: no programme is longer.
    assert sum(ceil(piece.seconds) for piece in chosen.pieces) == 1200 == chosen.bound
    assert chosen.is_best
    holds(entries, wish, chosen)


def test_people_and_instruments_are_understood_in_words() -> None:
    assert person_of("Kim: marimba, vibes") == Person("Kim", frozenset({"marimba", "vibraphone"}))
    assert person_of("Kim").kinds is None
    assert stock_of("2 marimbas, vibraphone, 4 tom-toms, marimba") == {"marimba": 3, "vibraphone": 1, "tom-toms": 4}
    for text in (": marimba", "Kim: wobble"):
        with pytest.raises(RequestError):
            person_of(text)


def test_parts_are_dealt_so_that_everybody_can_play_theirs() -> None:
    parts = [PartFacts(1, "1", ("marimba",), 0.1), PartFacts(2, "2", ("vibraphone",), 0.1)]
    people = [Person("Ida"), Person("Jo", frozenset({"marimba"})), Person("Kim", frozenset({"chimes"}))]
    assert casts(parts, people) == {0b011}
    assert cast(parts, people, 0b011) == {"Ida": 2, "Jo": 1}


@pytest.mark.parametrize(
    "wish",
    [
        ChoiceWish(600, ()),
        ChoiceWish(600, (Person("Kim"), Person("Kim"))),
        ChoiceWish(0, (Person("Kim"),)),
        ChoiceWish(600, (Person("Kim"),), share=1.5),
        ChoiceWish(600, tuple(Person(str(number)) for number in range(13))),
    ],
)
def test_what_cannot_be_asked_is_one_line(wish: ChoiceWish) -> None:
    with pytest.raises(RequestError):
        choose_pieces(shelf(3, 1), wish, 1)


def test_nothing_to_play_is_no_programme() -> None:
    chosen = choose_pieces((), ChoiceWish(600, (Person("Kim"),)), 1)
    assert (chosen.pieces, chosen.candidates, chosen.seconds) == ((), 0, 0.0)
