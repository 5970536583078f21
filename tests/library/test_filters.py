"""Trade words against predicates written out by hand, over an invented shelf."""

from collections.abc import Callable
from itertools import permutations

import pytest

from score.errors import RequestError
from score.library import library_filters
from score.library.library_filters import filtered, filters
from score.library.library_reading import LibraryEntry
from score.library.score_facts import ScoreFacts
from tests.library.shelves import shelf

SHELF = (*shelf(300, seed=1), LibraryEntry("bad.xml", None, refused="Not XML: bad.xml is not XML"))
MEANT: dict[str, Callable[[ScoreFacts], bool]] = {
    "4 players": lambda f: len(f.parts) == 4,
    "Quartet": lambda f: len(f.parts) == 4,
    "duos": lambda f: len(f.parts) == 2,
    "2 to 3 players": lambda f: len(f.parts) in (2, 3),
    "at least four players": lambda f: len(f.parts) >= 4,
    "under 8 minutes": lambda f: f.seconds <= 480,
    "over 200 seconds": lambda f: f.seconds >= 200,
    "5 to 8 minutes": lambda f: 300 <= f.seconds <= 480,
    # "About that long": a tenth more or less, common practice, no source.
    "10 minutes": lambda f: 540 <= f.seconds <= 660,
    "under 100 bars": lambda f: f.bars <= 100,
    "marimba": lambda f: f.needs.get("marimba", 0) >= 1,
    "2 marimbas": lambda f: f.needs.get("marimba", 0) >= 2,
    "two marimbas": lambda f: f.needs.get("marimba", 0) >= 2,
    "with vibes": lambda f: "vibraphone" in f.needs,
    "no glockenspiel": lambda f: "glockenspiel" not in f.needs,
    "without vibraphone": lambda f: "vibraphone" not in f.needs,
    "at most 1 marimba": lambda f: f.needs.get("marimba", 0) <= 1,
    "only marimba and vibraphone": lambda f: set(f.needs) <= {"marimba", "vibraphone"},
    # Lowest notes of marimbas: A2 (45) for 4.3 octaves, C2 (36) for five; makers' own figures.
    "4.3 octaves": lambda f: f.low is None or f.low >= 45,
    "5 octave marimba": lambda f: f.low is None or f.low >= 36,
    "yarn": lambda f: "medium yarn" in f.strikers,
    "snare drum": lambda f: "snare-drum" in f.needs,
    "no bow": lambda f: "bow" not in f.strikers,
    "struck with rubber": lambda f: "rubber mallets" in f.strikers,
    "easy alone": lambda f: max(p.own for p in f.parts) <= library_filters.EASY,
    "hard together": lambda f: f.together >= library_filters.HARD,
    "alone under 0.5": lambda f: max(p.own for p in f.parts) <= 0.5,
    "together over 0.5": lambda f: f.together >= 0.5,
    "called piece 17": lambda f: "Piece 17" in f.title,
    "warnings": lambda f: bool(f.warnings),
}


@pytest.mark.parametrize("words", list(MEANT))
def test_words_mean_what_they_say(words: str) -> None:
    taken = filtered(SHELF, filters(words))
    assert taken == tuple(entry for entry in SHELF if entry.facts is not None and MEANT[words](entry.facts))
    assert 0 < len(taken) < 300


def test_all_of_several_phrases_hold_in_any_order() -> None:
    phrases = ("4 players", "no glockenspiel", "under 12 minutes")
    expected = {
        e.path for e in SHELF if e.facts and all(MEANT.get(p, lambda f: f.seconds <= 720)(e.facts) for p in phrases)
    }
    for order in permutations(phrases):
        assert {entry.path for entry in filtered(SHELF, filters(", ".join(order)))} == expected


def test_what_was_refused_is_shown_when_asked_for_and_by_no_other_word() -> None:
    assert [entry.path for entry in filtered(SHELF, filters("refused"))] == ["bad.xml"]
    assert not any(entry.path == "bad.xml" for entry in filtered(SHELF, filters("under 1000 minutes")))
    assert filtered(SHELF, filters("")) == SHELF


@pytest.mark.parametrize("words", ["nonsense", "5 wobbles", "only marimba and wobble", "at most", "6.2 octaves"])
def test_what_is_not_understood_is_one_line(words: str) -> None:
    with pytest.raises(RequestError) as error:
        filters(words)
    assert "\n" not in error.value.line


def test_every_phrase_of_the_table_is_understood() -> None:
    table = [line.split("|")[1] for line in (library_filters.__doc__ or "").splitlines() if line.startswith("|")]
    phrases = [phrase for cell in table[2:] for phrase in cell.split(",")]
    assert len(phrases) > 20
    for phrase in phrases:
        assert filters(phrase)
