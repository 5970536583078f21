"""What a command or a screen asks of the concert's file, in words as they are typed, one edit after the other."""

import math
import re
from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path
from typing import Any

from score.concert.concert_edit import (
    Edit,
    changed_piece,
    in_order,
    placed,
    score_text,
    with_changed,
    with_hall,
    with_hands,
    with_piece,
    with_top,
    without_entry,
    without_hand,
    without_piece,
)
from score.concert.rehearsal_edit import (
    changed_rehearsal,
    with_absence,
    with_rehearsal,
    without_absence,
    without_rehearsal,
)
from score.errors import RequestError
from tui.score_paths import typed_path

_DAY = re.compile(r"(\d{4}-\d\d-\d\d(?:[T ]\d\d:\d\d)?):(.+)")


_LISTS = (
    "hands", "pieces", "scores", "people", "persons", "rehearsals", "moves", "missing", "late", "leaves", "comes",
    "instruments", "serves", "played_by", "moving", "anywhere", "without", "without_hand", "without_person",
    "without_rehearsal", "without_instrument", "without_moving",
)  # fmt: skip
TYPED = {
    "late": ("late", "2027-03-02:Ann 19:30"),
    "leaves": ("leaves", "2027-03-02:Ann 20:30"),
    "comes": ("comes", "2027-03-02:Ann"),
    "move": ("moves", "2027-03-02=2027-03-03T19:00"),
    "person": ("persons", "Ann:40"),
    "instrument": ("instruments", "old marimba=marimba,borrowed"),
    "serves": ("serves", "old marimba=quartet,trio"),
    "played-by": ("played_by", "old marimba=Ann"),
    "moving": ("moving", "marimba:carriers=3"),
    "hand": ("hands", "Kim"),
    "first": ("first", "quartet"),
    "last": ("last", "quartet"),
    "anywhere": ("anywhere", "quartet"),
    "title": ("title", "Spring"),
    "visits": ("visits", "4"),
    "set-up": ("set_up", "8"),
    "temperature": ("temperature", "20"),
    "score": ("scores", "quartet=scores/quartet.musicxml"),
    "without-hand": ("without_hand", "Kim"),
    "without-person": ("without_person", "Ann"),
    "without-rehearsal": ("without_rehearsal", "2027-03-02"),
    "without-instrument": ("without_instrument", "old marimba"),
    "without-moving": ("without_moving", "marimba"),
}
"""The word a typed wish begins with: what it asks for, and an example of what follows."""
ALL_PIECES, ANYBODY = "all", "anybody"
"""What is typed where an instrument serves every piece, and where nobody has it for themselves."""
_SINGLE = ("title", "day", "hall", "temperature", "order", "first", "last", "visits", "set_up")


def concert_edits(path: Path, **wishes: Any) -> list[Edit]:
    """The edits that were asked for, in an order in which each finds what it changes.

    Args:
        path: the concert's file.
        wishes: as the options of `inbreath concert edit` call them; those of `_LISTS` are lists of texts.

    Raises:
        RequestError: a wish that does not say what it must.
    """
    asked = {**dict.fromkeys(_LISTS, ()), **dict.fromkeys(_SINGLE), **wishes}
    return [*_tops(asked), *_hall(asked), *_pieces(path, asked), *_evenings(asked), *_instruments(asked)]


def typed_wish(text: str) -> dict[str, Any]:
    """A wish typed in one line, "late 2027-03-02:Ann 19:30", as `concert_edits` takes it.

    Raises:
        RequestError: it begins with no word that says what to change.
    """
    word, _, value = text.strip().partition(" ")
    option, example = TYPED.get(word.lower().lstrip("-"), ("", ""))
    value = value.strip()
    if not option:
        raise RequestError("Not understood", f"{text!r} says nothing to change", f"begin with {', '.join(TYPED)}")
    if not value:
        raise RequestError("Not understood", f"{word} needs more", f"write {word} {example}")
    if option in _LISTS:
        return {option: [value]}
    if option in ("visits", "set_up", "temperature"):
        figure = _figure(value, text, f"{word} 4")
        return {option: int(figure) if option == "visits" else _plain(figure)}
    return {option: value}


def _tops(asked: dict[str, Any]) -> Iterator[Edit]:
    if asked["title"]:
        yield with_top("title", asked["title"])
    if asked["day"]:
        yield with_top("date", _date(asked["day"]))
    for name in ("visits", "set_up"):
        if asked[name] is not None:
            yield with_top(name, asked[name])


def _hall(asked: dict[str, Any]) -> Iterator[Edit]:
    values: dict[str, Any] = {}
    if asked["hall"]:
        width, _, depth = asked["hall"].lower().replace("×", "x").partition("x")
        values |= {"width": _figure(width, asked["hall"], "9x6"), "depth": _figure(depth, asked["hall"], "9x6")}
    if asked["temperature"] is not None:
        values["temperature"] = asked["temperature"]
    if values:
        yield with_hall(values)
    for name in asked["without_hand"]:
        yield without_hand(name)
    if asked["hands"]:
        yield with_hands(asked["hands"])


def _pieces(path: Path, asked: dict[str, Any]) -> Iterator[Edit]:
    for name in asked["without"]:
        yield without_piece(name)
    for text in asked["pieces"]:
        yield with_piece(path, _score(text))
    for text in asked["scores"]:
        name, score = _two(text, "=", "quartet=scores/quartet.musicxml")
        yield changed_piece(name, {"score": score_text(path, _score(score))})
    for text in asked["people"]:
        name, names = _two(text, ":", "quartet:Ann,Ben,Cleo,Dan")
        yield changed_piece(name, {"people": names_of(names)})
    for place in ("first", "last"):
        if asked[place]:
            yield placed(asked[place], place)
    for name in asked["anywhere"]:
        yield placed(name, None)
    if asked["order"]:
        yield in_order(names_of(asked["order"]))
    for name in asked["without_person"]:
        yield without_entry("person", "name", name)
    for text in asked["persons"]:
        name, minutes = _two(text, ":", "Ann:40")
        yield with_changed("person", "name", name, {"minutes": int(_figure(minutes, text, "Ann:40"))})


def _evenings(asked: dict[str, Any]) -> Iterator[Edit]:
    for start in asked["without_rehearsal"]:
        yield without_rehearsal(start)
    for text in asked["rehearsals"]:
        when, minutes = _two(text, "/", "2027-03-02T19:00/120")
        length = int(_figure(minutes, text, "2027-03-02T19:00/120"))
        yield with_rehearsal(_moment(when), length)
    for text in asked["comes"]:
        yield without_absence(*_day_and_name(text, "2027-03-02:Ann"))
    for text in asked["moves"]:
        when, later = _two(text, "=", "2027-03-02=2027-03-03T19:00")
        yield changed_rehearsal(when, {"at": _moment(later)})
    for key in ("missing", "late", "leaves"):
        for text in asked[key]:
            start, who = _day_and_name(text, "2027-03-02:Ann" if key == "missing" else "2027-03-02:Ann 19:30")
            yield with_absence(start, key, who)


def _instruments(asked: dict[str, Any]) -> Iterator[Edit]:
    for name in asked["without_instrument"]:
        yield without_entry("instrument", "name", name)
    for text in asked["instruments"]:
        name, rest = _two(text, "=", "old marimba=marimba,borrowed")
        kind, *source = names_of(rest)
        yield with_changed("instrument", "name", name, {"kind": kind, **({"from": source[0]} if source else {})})
    for text in asked["serves"]:
        name, rest = _two(text, "=", "old marimba=quartet,trio")
        yield with_changed("instrument", "name", name, {"pieces": None if rest == ALL_PIECES else names_of(rest)})
    for text in asked["played_by"]:
        name, person = _two(text, "=", "old marimba=Ann")
        yield with_changed("instrument", "name", name, {"person": None if person == ANYBODY else person})
    for kind in asked["without_moving"]:
        yield without_entry("moving", "kind", kind)
    for text in asked["moving"]:
        kind, rest = _two(text, ":", "marimba:carriers=3")
        figure, number = _two(rest, "=", "marimba:carriers=3")
        yield with_changed("moving", "kind", kind, {figure: _plain(_figure(number, text, "marimba:carriers=3"))})


def _score(text: str) -> Path:
    score = typed_path(text)
    if not score.is_file():
        raise RequestError("No such score", f"{score} is not there", "correct its path")
    return score


def _day_and_name(text: str, example: str) -> tuple[str, str]:
    match = _DAY.fullmatch(text.strip())
    if match is None:
        raise RequestError("Not a date and a name", f"{text!r} cannot be used", f"write {example}")
    return match[1], match[2].strip()


def _two(text: str, sign: str, example: str) -> tuple[str, str]:
    before, there, after = text.partition(sign)
    if not there or not before.strip() or not after.strip():
        raise RequestError("Not understood", f"{text!r} has no {sign!r} between two words", f"write {example}")
    return before.strip(), after.strip()


def names_of(text: str) -> list[str]:
    """Names that are typed with commas between them."""
    return [name.strip() for name in text.split(",")]


def _figure(text: str, whole: str, example: str) -> float:
    try:
        figure = float(text.replace(",", "."))
    except ValueError:
        figure = math.nan
    if not math.isfinite(figure):
        raise RequestError("Not a number", f"{whole!r} cannot be used", f"write {example}")
    return figure


def _plain(figure: float) -> float:
    return int(figure) if figure.is_integer() else figure


def _date(text: str) -> date:
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise RequestError("Not a date", f"{text!r} is not a date", "write 2027-03-14") from None


def _moment(text: str) -> datetime:
    try:
        return datetime.fromisoformat(text.strip()).replace(tzinfo=None)
    except ValueError:
        raise RequestError("Not a moment", f"{text!r} is not a date and time", "write 2027-03-02T19:00") from None
