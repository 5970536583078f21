"""The concert's own file, ``NAME.concert.toml``: read and checked once, frozen (its tables: `concert_tables`)."""

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from itertools import pairwise
from pathlib import Path

from score.concert.concert_tables import (
    MOVING_FIGURES,
    PLACES,
    SOURCES,
    ConcertTable,
    check_concert_tables,
    wrong_entry,
)
from score.concert.concert_values import (
    ENDING,
    USUAL_SET_UP,
    USUAL_VISITS,
    Concert,
    ConcertInstrument,
    Hall,
    PersonEntry,
    PieceEntry,
    RehearsalEntry,
)
from score.errors import ConcertFileError
from score.instruments.percussion import named
from score.plain_text import harmless
from score.plan.plan_inputs import DAY, USUAL_MINUTES_A_DAY


def concert_path(text: Path) -> Path:
    """The file a concert is kept in: ``spring`` and ``spring.concert.toml`` are the same."""
    return text if text.name.endswith(ENDING) else text.with_name(f"{text.name}{ENDING}")


def read_concert(path: Path) -> Concert:
    """Read a concert's file.

    Raises:
        ConcertFileError: it is not there, is not TOML, or says what cannot be.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        raise ConcertFileError("No such concert", f"{path} is not there", "correct the name, or begin one") from None
    except (OSError, UnicodeDecodeError) as error:
        raise unreadable(path, error) from error
    return concert_of(path, text)


def unreadable(path: Path, error: OSError | UnicodeDecodeError) -> ConcertFileError:
    """The error to raise for a file that is there and cannot be read as text."""
    if isinstance(error, UnicodeDecodeError):
        return ConcertFileError("Concert's file unreadable", f"{path.name} is not UTF-8 text", "save it as UTF-8")
    what = f"{path.name}: {error.strerror or error}"
    return ConcertFileError("Concert's file unreadable", what, "name a file that can be read")


def concert_of(path: Path, text: str) -> Concert:
    """The concert that a file's text says.

    Raises:
        ConcertFileError: it is not TOML, or says what cannot be.
    """
    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ConcertFileError("Concert's file is not TOML", f"{path.name}: {error}", "correct that line") from error
    check_concert_tables(path, tables)
    concert = Concert(
        path,
        harmless(str(tables.get("title") or path.name.removesuffix(ENDING))),
        _day(tables.get("date")),
        pieces=tuple(map(_piece, _listed(path, tables, "piece"))),
        people=tuple(map(_person, _listed(path, tables, "person"))),
        rehearsals=tuple(sorted(map(_rehearsal, _listed(path, tables, "rehearsal")), key=lambda entry: entry.start)),
        hall=_hall(ConcertTable(path, "hall", tables.get("hall", {}), single=True)),
        instruments=tuple(map(_instrument, _listed(path, tables, "instrument"))),
        moving=dict(map(_moving, _listed(path, tables, "moving"))),
        visits=int(tables.get("visits", USUAL_VISITS)),
        set_up=_set_up(path, tables.get("set_up", USUAL_SET_UP)),
    )
    _check(concert)
    return replace(concert, instruments=tuple(_with_pieces(concert, each) for each in concert.instruments))


def people_named(concert: Concert) -> tuple[str, ...]:
    """Everybody whom pieces and entries name, each once."""
    names = [name for piece in concert.pieces for name in piece.people]
    return tuple(dict.fromkeys(name for name in (*names, *(person.name for person in concert.people)) if name))


def piece_named(concert: Concert, text: str) -> int:
    """Position of a piece by its name or its number in the order.

    Raises:
        ConcertFileError: the concert has no such piece.
    """
    return piece_position(concert.path, [piece.name for piece in concert.pieces], text)


def piece_position(path: Path, names: Sequence[str], text: str) -> int:
    """Position among the names of a file's pieces, by one of them, its score's file or its number.

    Raises:
        ConcertFileError: there is no such piece.
    """
    stem = text if text in names else Path(text).stem
    if stem in names:
        return names.index(stem)
    if text.isdecimal() and 1 <= int(text) <= len(names):
        return int(text) - 1
    raise wrong_entry(path, f'has no piece "{text}"', f"there are {', '.join(names) or 'none yet'}")


def check_names(concert: Concert, allowed: Sequence[str], playing: Sequence[str]) -> None:
    """Refuse a rehearsal that names somebody who plays nothing.

    Args:
        concert: its file.
        allowed: who may be named.
        playing: whom the error proposes.

    Raises:
        ConcertFileError: the first name that is not allowed.
    """
    for entry in concert.rehearsals:
        for name in entry.names:
            if name not in allowed:
                what = f"[[rehearsal]] of {entry.start:%Y-%m-%d %H:%M} names {name}, who plays nothing"
                raise wrong_entry(concert.path, what, f"there are {', '.join(playing)}")


def _listed(path: Path, tables: Mapping[str, object], name: str) -> Iterator[ConcertTable]:
    entries = tables.get(name, [])
    assert isinstance(entries, list)
    return (ConcertTable(path, name, entry) for entry in entries)


def _day(value: object) -> date | None:
    if isinstance(value, datetime):
        return value.date()
    return value if isinstance(value, date) else None


def _set_up(path: Path, value: float) -> float:
    if not 0 <= value <= 120:
        raise wrong_entry(path, f"set_up = {value:g} is not minutes from 0 to 120", f"write set_up = {USUAL_SET_UP:g}")
    return float(value)


def _piece(table: ConcertTable) -> PieceEntry:
    text = table.text("score")
    if not text:
        raise table.wrong("has no score", 'write score = "quartet.musicxml"')
    people = table.texts("people")
    score = table.path.parent / text
    twice = next((name for name in people if name and people.count(name) > 1), None)
    if twice is not None:
        parts = " and ".join(str(number) for number, name in enumerate(people, 1) if name == twice)
        raise table.wrong(f"{score.stem}: {twice} has parts {parts} at once", "give one of them to somebody else")
    return PieceEntry(score, people, table.one_of("place", PLACES, ""))


def _person(table: ConcertTable) -> PersonEntry:
    return PersonEntry(_needed(table, "name", "Ann"), int(table.figure("minutes", USUAL_MINUTES_A_DAY, 0, DAY)))


def _needed(table: ConcertTable, name: str, example: str) -> str:
    text = table.text(name)
    if not text:
        raise table.wrong(f"has no {name}", f'write {name} = "{example}"')
    return text


def _rehearsal(table: ConcertTable) -> RehearsalEntry:
    moment = table.entry.get("at")
    start = datetime.fromisoformat(moment) if isinstance(moment, str) else moment
    if not isinstance(start, datetime):
        raise table.wrong("needs at as date and time", "write at = 2027-03-02T19:00:00")
    start, minutes = start.replace(tzinfo=None), int(table.figure("minutes", 90, 1, DAY))
    late = tuple(_at(table, text, start, minutes) for text in table.texts("late"))
    leaves = tuple(_at(table, text, start, minutes) for text in table.texts("leaves"))
    return RehearsalEntry(start, minutes, table.texts("missing"), late=late, leaves=leaves)


def _at(table: ConcertTable, text: str, start: datetime, minutes: int) -> tuple[str, int]:
    """(name, minutes after the start) of "Ann 19:30"."""
    name, _, clock = text.rpartition(" ")
    try:
        moment = datetime.combine(start.date(), time.fromisoformat(clock))
    except ValueError:
        raise table.wrong(f'"{text}" is not a name and a time', 'write "Ann 19:30"') from None
    after = moment - start if moment >= start else moment + timedelta(days=1) - start
    if after > timedelta(minutes=minutes):
        end = start + timedelta(minutes=minutes)
        raise table.wrong(f'"{text}" is not within {start:%H:%M} and {end:%H:%M}', "write a time in the rehearsal")
    return name.strip(), int(after.total_seconds() // 60)


def _hall(table: ConcertTable) -> Hall:
    return Hall(
        _measure(table, "width"),
        _measure(table, "depth"),
        table.figure("temperature", 20.0, -20.0, 50.0),
        hands=table.texts("hands"),
    )


def _measure(table: ConcertTable, side: str) -> float:
    """Metres of one side of the hall, 0 where the file does not give it: no hall measures 0."""
    return table.figure(side, 0.0, 1.0, 200.0) if side in table.entry else 0.0


def kind_named(text: str) -> str:
    """The key of an instrument by any of its names; the text itself where the table has none."""
    percussion = named(text)
    return percussion.key if percussion is not None else text


def _instrument(table: ConcertTable) -> ConcertInstrument:
    kind = _needed(table, "kind", "marimba")
    source, pieces = table.one_of("from", SOURCES, SOURCES[0]), table.texts("pieces")
    return ConcertInstrument(
        table.text("name") or kind, kind_named(kind), source, pieces=pieces, person=table.text("person")
    )


def _with_pieces(concert: Concert, entry: ConcertInstrument) -> ConcertInstrument:
    """The entry with its pieces by their names, whatever way they are written."""
    return entry._replace(pieces=tuple(concert.pieces[piece_named(concert, name)].name for name in entry.pieces))


def _moving(table: ConcertTable) -> tuple[str, Mapping[str, float]]:
    kind = kind_named(_needed(table, "kind", "marimba"))
    lows = {"carriers": 0.0, "cases": 0.0}
    highs = {"carriers": 12.0, "cases": 50.0, "weight": 2000.0}
    names = [name for name in MOVING_FIGURES if name in table.entry]
    return kind, {name: table.figure(name, 1, lows.get(name, 0.0), highs.get(name, 36000.0)) for name in names}


def _check(concert: Concert) -> None:
    """What only the whole file shows: names nobody has, pieces twice, rehearsals after the concert."""
    scores = [piece.score.resolve() for piece in concert.pieces]
    names = [piece.name for piece in concert.pieces]
    for piece, score in zip(concert.pieces, scores, strict=True):
        if scores.count(score) > 1 or names.count(piece.name) > 1:
            raise wrong_entry(concert.path, f"[[piece]] {piece.name} is there twice", "remove one of them")
    for place in PLACES:
        if sum(piece.place == place for piece in concert.pieces) > 1:
            raise wrong_entry(concert.path, f"two pieces have place = {place}", "leave it with one of them")
    for entry in concert.rehearsals:
        if concert.day is not None and entry.start.date() > concert.day:
            what = f"the rehearsal of {entry.start:%Y-%m-%d %H:%M} comes after the concert of {concert.day}"
            raise wrong_entry(concert.path, what, "correct one of the two dates")
    for before, after in pairwise(concert.rehearsals):
        if after.start < before.end:
            what = f"the rehearsal of {before.start:%Y-%m-%d %H:%M} goes on until {before.end:%H:%M}"
            raise wrong_entry(concert.path, f"{what}, the next begins at {after.start:%H:%M}", "move one of them")
    # Where people are called as the scores call them, that is checked when these are open.
    if any(piece.people for piece in concert.pieces):
        check_names(concert, people_named(concert), people_named(concert))
