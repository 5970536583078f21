"""Every field of the concert's file can be set, and taken back, by what is typed: by the command and on the screen."""

from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest

from score.concert.concert_edit import edit_concert
from score.concert.concert_file import read_concert
from score.concert.concert_tables import LISTED, MOVING_FIGURES, SINGLE, VALUES
from score.concert.concert_values import Concert
from score.errors import ConcertFileError, RequestError
from tests.concert.conftest import SAMPLES
from tui.commands.concert_edit_command import edit as edit_command
from tui.concert_wishes import TYPED, concert_edits, typed_wish

# Field, the wish as it is typed on the screen (or the option of a key of its own), what the concert says then.
SET: dict[tuple[str, ...], tuple[str, Any]] = {
    ("title",): ("title Late spring", lambda concert: concert.title == "Late spring"),
    ("date",): ("day=2037-03-15", lambda concert: concert.day == date(2037, 3, 15)),
    ("visits",): ("visits 3", lambda concert: concert.visits == 3),
    ("set_up",): ("set-up 6.5", lambda concert: concert.set_up == 6.5),
    ("hall", "width"): ("hall=11x8", lambda concert: concert.hall.width == 11),
    ("hall", "depth"): ("hall=11x8", lambda concert: concert.hall.depth == 8),
    ("hall", "temperature"): ("temperature 26", lambda concert: concert.hall.temperature == 26),
    ("hall", "hands"): ("hand Kim", lambda concert: concert.hall.hands == ("Kim",)),
    ("piece", "score"): ("score study=other.musicxml", lambda concert: concert.pieces[1].name == "other"),
    ("piece", "people"): ("people=study:Eve,Dan", lambda concert: concert.pieces[1].people == ("Eve", "Dan")),
    ("piece", "place"): ("last study", lambda concert: concert.pieces[1].place == "last"),
    ("person", "name"): ("person Ann:30", lambda concert: [entry.name for entry in concert.people] == ["Ann"]),
    ("person", "minutes"): ("person Ann:30", lambda concert: concert.minutes_of("Ann") == 30),
    ("rehearsal", "at"): (
        "move 2037-02-01=2037-02-03T18:30",
        lambda concert: concert.rehearsals[0].start == datetime(2037, 2, 3, 18, 30),
    ),
    ("rehearsal", "minutes"): (
        "rehearsals=2037-02-01T19:00/90",
        lambda concert: [entry.minutes for entry in concert.rehearsals] == [90, 120, 120],
    ),
    ("rehearsal", "missing"): ("missing=2037-02-01:Eve", lambda concert: concert.rehearsals[0].missing == ("Eve",)),
    ("rehearsal", "late"): ("late 2037-02-01:Eve 19:20", lambda concert: concert.rehearsals[0].late == (("Eve", 20),)),
    ("rehearsal", "leaves"): (
        "leaves 2037-02-01:Eve 20:30",
        lambda concert: concert.rehearsals[0].leaves == (("Eve", 90),),
    ),
    ("instrument", "name"): ("instrument big=marimba,build", lambda concert: concert.instruments[-1].name == "big"),
    ("instrument", "kind"): ("instrument big=marimba,build", lambda concert: concert.instruments[-1].kind == "marimba"),
    ("instrument", "from"): ("instrument big=marimba,build", lambda concert: concert.instruments[-1].source == "build"),
    ("instrument", "pieces"): ("serves old=study", lambda concert: concert.instruments[0].pieces == ("study",)),
    ("instrument", "person"): ("played-by old=Ann", lambda concert: concert.instruments[0].person == "Ann"),
    ("moving", "kind"): ("moving gong:weight=9", lambda concert: list(concert.moving) == ["gong"]),
    **{
        ("moving", figure): (
            f"moving gong:{figure}=2",
            lambda concert, figure=figure: concert.moving == {"gong": {figure: 2}},
        )
        for figure in MOVING_FIGURES
    },
}
BACK = {
    "hand Kim": "without-hand Kim",
    "last study": "anywhere study",
    "person Ann:30": "without-person Ann",
    "missing=2037-02-01:Eve": "comes 2037-02-01:Eve",
    "late 2037-02-01:Eve 19:20": "comes 2037-02-01:Eve",
    "leaves 2037-02-01:Eve 20:30": "comes 2037-02-01 19:00:Eve",
    "instrument big=marimba,build": "without-instrument big",
    "serves old=study": "serves old=all",
    "played-by old=Ann": "played-by old=anybody",
    "moving gong:weight=9": "without-moving gong",
    "move 2037-02-01=2037-02-03T18:30": "move 2037-02-03=2037-02-01T19:00",
    "rehearsals=2037-02-01T19:00/90": "rehearsals=2037-02-01T19:00/120",
}
_LISTS = ("people", "rehearsals", "missing")


def typed(concert: Path, wish: str) -> Concert:
    """Do what is typed; "option=..." is asked for by a key of its own."""
    option, _, value = wish.partition("=")
    of_a_key = {option: [value] if option in _LISTS else value} if option in ("day", "hall", *_LISTS) else {}
    return edit_concert(concert, concert_edits(concert, **(of_a_key or typed_wish(wish))))[1]


@pytest.fixture
def spring(concert: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The concert where scores are looked for from its folder, with one instrument."""
    monkeypatch.chdir(concert.parent)
    (concert.parent / "other.musicxml").write_bytes((SAMPLES / "study.musicxml").read_bytes())
    concert.write_text(f'{concert.read_text()}\n[[instrument]]\nname = "old"\nkind = "gong"\n')
    return concert


def test_no_field_is_left_out() -> None:
    fields = {(name,) for name in VALUES} | {(t, f) for t, fs in {**SINGLE, **LISTED}.items() for f in fs}
    assert set(SET) == fields


@pytest.mark.parametrize("field", list(SET), ids=".".join)
def test_each_field_is_set_by_a_wish_and_taken_back(spring: Path, field: tuple[str, ...]) -> None:
    wish, holds = SET[field]
    before = read_concert(spring)
    assert not holds(before)
    assert holds(typed(spring, wish))
    if wish in BACK:
        assert typed(spring, BACK[wish]) == before


def test_every_typed_word_is_an_option_of_the_command() -> None:
    options = {option.removeprefix("--") for parameter in edit_command.params for option in parameter.opts}
    assert {word for word in TYPED if word not in options} == set()


def test_an_instrument_of_another_kind_keeps_where_it_comes_from(spring: Path) -> None:
    typed(spring, "instrument old=gong,borrowed")
    changed = typed(spring, "instrument old=tam-tam").instruments[0]
    assert (changed.kind, changed.source) == ("tam-tam", "borrowed")


@pytest.mark.parametrize("word", list(TYPED))
def test_the_example_of_each_word_can_be_typed(word: str) -> None:
    option, example = TYPED[word]
    asked = typed_wish(f"{word} {example}")
    assert list(asked) == [option]


def test_several_hands_carry_and_a_second_absence_keeps_the_first(spring: Path) -> None:
    typed(spring, "hand Kim")
    assert typed(spring, "hand Lee").hall.hands == ("Kim", "Lee")
    typed(spring, "missing=2037-02-15:Ben")
    assert typed(spring, "comes 2037-02-15:Dan").rehearsals[1].missing == ("Ben",)


@pytest.mark.parametrize(
    ("wish", "said"),
    [
        ("without-hand Lee", "[hall] has no hand Lee; there are none"),
        ("move 2037-02-01=soon", "'soon' is not a date and time; write 2027-03-02T19:00"),
        ("move 2037-02-01=2037-02-15T19:30", "goes on until 21:00, the next begins at 19:30; move one of them"),
        ("comes 2037-02-02:Dan", "no rehearsal begins on 2037-02-02; there are 2037-02-01 19:00"),
        ("score study=nowhere.musicxml", "nowhere.musicxml is not there; correct its path"),
        ("without-person Ann", "there is no [[person]]"),
        ("move", "move needs more; write move 2027-03-02=2027-03-03T19:00"),
        ("wings 2", "'wings 2' says nothing to change; begin with late, leaves"),
    ],
)
def test_what_cannot_be_is_said_in_one_line(spring: Path, wish: str, said: str) -> None:
    before = spring.read_bytes()
    with pytest.raises((ConcertFileError, RequestError)) as refused:
        typed(spring, wish)
    assert said in refused.value.line
    assert spring.read_bytes() == before
