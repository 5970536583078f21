"""Choosing among scores in trade words: "quartet, 2 marimbas, no chimes, under 8 minutes, easy together".

Phrases are separated by commas, and all of them hold. One table says what is understood; a test reads the same table.

| phrase | scores that |
|---|---|
| 4 players, 2 to 4 players, trio | have so many parts |
| under 8 minutes, over 90 seconds, 5 to 8 minutes | last so long |
| under 100 bars | are so long on paper |
| marimba, 2 marimbas, with triangle | need it, or so many at least |
| no vibraphone, without chimes | do not |
| at most 1 marimba | need no more |
| only marimba and vibraphone | need nothing else |
| 4.3 octaves | have no marimba note that a marimba of this size lacks |
| yarn, bow, no brushes, struck with cord | name, or need, what strikes so |
| easy alone, hard together, alone under 0.5 | ask so much, from 0 to 1 |
| called lantern | have this in the title |
| warnings, refused | had something repaired, or could not be read |
"""

import re
from collections.abc import Callable, Iterator
from typing import NamedTuple

from score.errors import RequestError
from score.instruments.percussion import fold, named
from score.library.library_reading import LibraryEntry
from score.library.score_facts import ScoreFacts
from score.setup.bar_geometry import MARIMBAS

EASY, HARD = 0.35, 0.6
"""Where "easy" ends and "hard" begins (common practice, no source)."""
_GROUPS = ("solo", "duo", "trio", "quartet", "quintet", "sextet", "septet", "octet")
_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_STRIKING_WORDS = (
    "yarn cord rubber felt plastic brass metal wood wooden leather wool stick sticks brush brushes rod rods bow bows "
    "mallet mallets beater beaters hammer hammers soft medium hard"
)
_STRIKERS = frozenset(_STRIKING_WORDS.split())
"""What is said of what strikes; anything else after "struck with"."""
_FIGURE = r"\d+(?:\.\d+)?"
_RANGE = re.compile(
    rf"(?:(under|up to|at most|over|at least) )?({_FIGURE})(?: (?:to|-) ({_FIGURE}))? "
    r"(players?|parts?|minutes?|min|seconds?|s|bars?)"
)
_OCTAVES = re.compile(rf"({_FIGURE})[ -]octaves?(?: marimbas?)?")
_ASKED = re.compile(rf"(?:(easy|hard) (alone|together))|(?:(alone|together) (under|over) ({_FIGURE}))")
_COUNTED = re.compile(r"(?:(no|without|with|at most|at least) )?(?:(\d+) )?(.+)")

Holds = Callable[[ScoreFacts], bool]


class Filter(NamedTuple):
    """One phrase.

    Attributes:
        words: as they were written.
        holds: whether a score that was read is meant.
        of_refused: it means those that were refused.
    """

    words: str
    holds: Holds
    of_refused: bool = False

    def takes(self, entry: LibraryEntry) -> bool:
        """Whether a score is meant."""
        if entry.facts is None:
            return self.of_refused
        return not self.of_refused and self.holds(entry.facts)


def filters(text: str) -> tuple[Filter, ...]:
    """What some words ask.

    Raises:
        RequestError: a phrase that is not understood.
    """
    phrases = [" ".join(phrase.split()) for phrase in text.split(",")]
    return tuple(_filter(phrase) for phrase in phrases if phrase)


def filtered(entries: tuple[LibraryEntry, ...], asked: tuple[Filter, ...]) -> tuple[LibraryEntry, ...]:
    """The scores for which every phrase holds."""
    return tuple(entry for entry in entries if all(each.takes(entry) for each in asked))


def _filter(phrase: str) -> Filter:
    words = _with_figures(phrase.lower())
    if words == "refused":
        return Filter(phrase, lambda _: False, of_refused=True)
    for ways in (_ways, _instrument_ways):
        for holds in ways(words):
            return Filter(phrase, holds)
    raise RequestError(
        "Not understood", f"{phrase!r}", 'write for example "quartet, 2 marimbas, no chimes, under 8 minutes"'
    )


def _with_figures(words: str) -> str:
    """The phrase with "four" as "4"; "no" stays a word."""
    return " ".join(str(_NUMBERS.index(w)) if w in _NUMBERS[1:] else w for w in words.split())


def _ways(words: str) -> Iterator[Holds]:
    if words.rstrip("s") in _GROUPS:
        size = _GROUPS.index(words.rstrip("s")) + 1
        yield lambda facts: len(facts.parts) == size
    if words == "warnings":
        yield lambda facts: bool(facts.warnings)
    if words.startswith("struck with "):
        yield _struck(words.removeprefix("struck with "), wanted=True)
    if words.startswith("called "):
        called = fold(words.removeprefix("called "))
        yield lambda facts: called in fold(facts.title)
    if match := _RANGE.fullmatch(words):
        yield _between(*match.groups())
    if match := _OCTAVES.fullmatch(words):
        yield _fits_marimba(match[1])
    if match := _ASKED.fullmatch(words):
        yield _asks(match)


def _between(how: str | None, first: str, second: str | None, unit: str) -> Holds:
    low, high = float(first), float(second or first)
    if how in ("under", "up to", "at most"):
        low = 0.0
    elif how in ("over", "at least"):
        high = float("inf")
    elif second is None and unit[0] in "ms":
        # "8 minutes" is said of what lasts about that long.
        low, high = low * 0.9, high * 1.1
    return lambda facts: low <= _measured(facts, unit) <= high


def _measured(facts: ScoreFacts, unit: str) -> float:
    if unit[0] == "p":
        return float(len(facts.parts))
    if unit[0] == "b":
        return float(facts.bars)
    return facts.seconds / 60 if unit[0] == "m" else facts.seconds


def _fits_marimba(octaves: str) -> Holds:
    sizes = {float(size): low for size, low in MARIMBAS.items()}
    size = float(octaves)
    if size not in sizes:
        raise RequestError("No such marimba", f"{octaves} octaves", f"write {', '.join(MARIMBAS)} octaves")
    return lambda facts: facts.low is None or facts.low >= sizes[size]


def _asks(match: re.Match[str]) -> Holds:
    level, side, other_side, how, figure = match.groups()
    limit = float(figure) if figure else EASY if level == "easy" else HARD
    is_under = how == "under" or level == "easy"

    def holds(facts: ScoreFacts) -> bool:
        value = facts.own if (side or other_side) == "alone" else facts.together
        return value <= limit if is_under else value >= limit

    return holds


def _instrument_ways(words: str) -> Iterator[Holds]:
    if words.startswith("only "):
        kinds = set(map(_kind, re.split(r" and | or ", words.removeprefix("only "))))
        if all(kinds):
            yield lambda facts: bool(facts.needs) and facts.needs.keys() <= kinds
    match = _COUNTED.fullmatch(words)
    if match is None:
        return
    how, count, name = match.groups()
    if kind := _kind(name):
        yield _needs(kind, how, int(count) if count else 1)
    elif count is None and how != "at most" and set(name.split()) <= _STRIKERS:
        yield _struck(name, wanted=how not in ("no", "without"))


def _struck(name: str, *, wanted: bool) -> Holds:
    striker = re.compile(rf"\b{re.escape(fold(name).rstrip('s'))}")
    return lambda facts: any(striker.search(fold(each)) for each in facts.strikers) is wanted


def _needs(kind: str, how: str | None, count: int) -> Holds:
    if how in ("no", "without"):
        return lambda facts: not facts.needs.get(kind)
    if how == "at most":
        return lambda facts: facts.needs.get(kind, 0) <= count
    return lambda facts: facts.needs.get(kind, 0) >= count


def _kind(name: str) -> str:
    percussion = named(name)
    return percussion.key if percussion is not None else ""
