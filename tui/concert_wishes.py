"""What a command or a screen asks of the concert's file, in words as they are typed, one edit after the other."""

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
    with_absence,
    with_changed,
    with_entry,
    with_hall,
    with_piece,
    with_top,
    without_entry,
    without_piece,
    without_rehearsal,
)
from score.errors import RequestError
from tui.score_paths import typed_path

_DAY = re.compile(r"(\d{4}-\d\d-\d\d(?:[T ]\d\d:\d\d)?):(.+)")


_LISTS = (
    "hands", "pieces", "people", "persons", "rehearsals", "missing", "late", "leaves", "instruments", "serves",
    "moving", "without", "without_rehearsal", "without_instrument", "anywhere",
)  # fmt: skip
TYPED = {
    "late": "late",
    "leaves": "leaves",
    "person": "persons",
    "instrument": "instruments",
    "serves": "serves",
    "moving": "moving",
    "hand": "hands",
    "first": "first",
    "last": "last",
    "anywhere": "anywhere",
    "title": "title",
    "visits": "visits",
    "set-up": "set_up",
    "temperature": "temperature",
    "without-rehearsal": "without_rehearsal",
    "without-instrument": "without_instrument",
}
"""The word a typed wish begins with, and what it asks for."""
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
    option, value = TYPED.get(word.lower().lstrip("-")), value.strip()
    if option is None or not value:
        raise RequestError("Not understood", f"{text!r} says nothing to change", f"begin with {', '.join(TYPED)}")
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
    if asked["hands"]:
        values["hands"] = list(asked["hands"])
    if values:
        yield with_hall(values)


def _pieces(path: Path, asked: dict[str, Any]) -> Iterator[Edit]:
    for name in asked["without"]:
        yield without_piece(name)
    for text in asked["pieces"]:
        score = typed_path(text)
        if not score.is_file():
            raise RequestError("No such score", f"{score} is not there", "correct its path")
        yield with_piece(path, score)
    for text in asked["people"]:
        name, names = _two(text, ":", "quartet:Ann,Ben,Cleo,Dan")
        yield changed_piece(name, {"people": _names(names)})
    for place in ("first", "last"):
        if asked[place]:
            yield placed(asked[place], place)
    for name in asked["anywhere"]:
        yield placed(name, None)
    if asked["order"]:
        yield in_order(_names(asked["order"]))
    for text in asked["persons"]:
        name, minutes = _two(text, ":", "Ann:40")
        yield with_changed("person", "name", name, {"minutes": int(_figure(minutes, text, "Ann:40"))})


def _evenings(asked: dict[str, Any]) -> Iterator[Edit]:
    for start in asked["without_rehearsal"]:
        yield without_rehearsal(start)
    for text in asked["rehearsals"]:
        when, minutes = _two(text, "/", "2027-03-02T19:00/120")
        length = int(_figure(minutes, text, "2027-03-02T19:00/120"))
        yield with_entry("rehearsal", {"at": _moment(when), "minutes": length})
    for key in ("missing", "late", "leaves"):
        for text in asked[key]:
            match = _DAY.fullmatch(text.strip())
            if match is None:
                example = "2027-03-02:Ann" if key == "missing" else "2027-03-02:Ann 19:30"
                raise RequestError("Not a date and a name", f"{text!r} cannot be used", f"write {example}")
            yield with_absence(match[1], key, match[2].strip())


def _instruments(asked: dict[str, Any]) -> Iterator[Edit]:
    for name in asked["without_instrument"]:
        yield without_entry("instrument", "name", name)
    for text in asked["instruments"]:
        name, rest = _two(text, "=", "old marimba=marimba,borrowed")
        kind, *source = _names(rest)
        yield with_changed("instrument", "name", name, {"kind": kind, "from": source[0] if source else "owned"})
    for text in asked["serves"]:
        name, rest = _two(text, "=", "old marimba=quartet,trio")
        yield with_changed("instrument", "name", name, {"pieces": _names(rest)})
    for text in asked["moving"]:
        kind, rest = _two(text, ":", "marimba:carriers=3")
        figure, number = _two(rest, "=", "marimba:carriers=3")
        yield with_changed("moving", "kind", kind, {figure: _plain(_figure(number, text, "marimba:carriers=3"))})


def _two(text: str, sign: str, example: str) -> tuple[str, str]:
    before, there, after = text.partition(sign)
    if not there or not before.strip() or not after.strip():
        raise RequestError("Not understood", f"{text!r} has no {sign!r} between two words", f"write {example}")
    return before.strip(), after.strip()


def _names(text: str) -> list[str]:
    return [name.strip() for name in text.split(",")]


def _figure(text: str, whole: str, example: str) -> float:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        raise RequestError("Not a number", f"{whole!r} cannot be used", f"write {example}") from None


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
