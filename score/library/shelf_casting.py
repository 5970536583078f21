"""Who may play which part: people, what they play, and every set of people who can take a piece between them."""

import re
from collections.abc import Sequence
from typing import NamedTuple

from score.errors import RequestError
from score.instruments.percussion import named
from score.library.score_facts import PartFacts

MOST_PEOPLE = 12
_SEVERAL = re.compile(r"(?:(\d+)\s+)?(.+)")


class Person(NamedTuple):
    """Somebody who plays.

    Attributes:
        name: unlike the others'.
        kinds: keys of the instruments they play; None for all percussion.
    """

    name: str
    kinds: frozenset[str] | None = None

    def plays(self, part: PartFacts) -> bool:
        """Whether they play every instrument of a part."""
        return self.kinds is None or self.kinds >= set(part.kinds)


def person_of(text: str) -> Person:
    """Somebody from words: "Kim: marimba, vibraphone", or "Kim" who plays everything.

    Raises:
        RequestError: no name, or an instrument that is not known.
    """
    name, colon, rest = text.partition(":")
    if not name.strip():
        raise RequestError("Nobody", f"{text!r} names nobody", 'write "Kim: marimba, vibraphone"')
    return Person(" ".join(name.split()), frozenset(stock_of(rest)) if colon else None)


def check_people(people: Sequence[Person]) -> None:
    """Refuse what no programme can be made for.

    Raises:
        RequestError: nobody, too many, or one name twice.
    """
    names = [person.name for person in people]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise RequestError("One name twice", f"two people are called {twice}", "tell them apart")
    if not 0 < len(people) <= MOST_PEOPLE:
        raise RequestError("How many people", f"{len(people)} cannot be cast", f"name 1 to {MOST_PEOPLE}")


def stock_of(text: str) -> dict[str, int]:
    """How many there are of each instrument, by key: from "2 marimbas, vibraphone, 4 tom-toms".

    Raises:
        RequestError: an instrument that is not known.
    """
    stock: dict[str, int] = {}
    for phrase in filter(None, (" ".join(each.split()) for each in text.split(","))):
        match = _SEVERAL.fullmatch(phrase)
        percussion = named(match[2]) if match else None
        if match is None or percussion is None:
            raise RequestError("Instrument not known", f"{phrase!r}", 'write for example "2 marimbas, vibraphone"')
        stock[percussion.key] = stock.get(percussion.key, 0) + int(match[1] or 1)
    return stock


def casts(parts: Sequence[PartFacts], people: Sequence[Person]) -> frozenset[int]:
    """Every set of people who can take all the parts between them, one each: bits by position; empty where none can."""
    sets = {0}
    for part in parts:
        able = [1 << position for position, person in enumerate(people) if person.plays(part)]
        sets = {taken | person for taken in sets for person in able if not taken & person}
    return frozenset(sets)


def cast(parts: Sequence[PartFacts], people: Sequence[Person], chosen: int) -> dict[str, int]:
    """Name to the number of their part, for one set of people."""
    here = [person for position, person in enumerate(people) if chosen >> position & 1]
    taken: dict[str, int] = {}

    def deal(left: Sequence[PartFacts]) -> bool:
        if not left:
            return True
        for person in here:
            if person.name not in taken and person.plays(left[0]):
                taken[person.name] = left[0].number
                if deal(left[1:]):
                    return True
                del taken[person.name]
        return False

    deal(parts)
    return {person.name: taken[person.name] for person in here if person.name in taken}
