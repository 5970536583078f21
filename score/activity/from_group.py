"""What the group's file says to players: breaths, leads, looks, shapes, stops and words that are agreed.

[[breath]]
bar = "17"
beat = 1               # before this beat
player = 2             # who gives it
seconds = 0.8
players = [1, 3]       # who breathes with them; everybody who plays in the bar without it

[[lead]]
bars = "25-32"
beat = 3               # where in the first bar; its beginning without it
player = 3

[[look]]
bar = "88"
beat = 4
player = 1             # who looks; everybody else without it
at = 3                 # at whom

[[note]]
bar = "31"
player = 2             # to whom; to everybody without it
text = "breathe with 3"

Without seconds a breath lasts the beat before the entry.
Shapes and holds are read with the time (`score.time.from_group`). What is only tried is not printed.
"""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from fractions import Fraction

from score.activity.agreed_marks import AgreedMark, MarkSort
from score.activity.breath import Breath, beat_before
from score.beats import Place
from score.errors import InbreathError
from score.group.checked_table import Table
from score.group.entry_words import SHAPE_WORDS, figure
from score.group.group_file import Group, group_tables
from score.group.group_tables import AGREED_KINDS
from score.piece import Piece, Player
from score.places import find_bars, find_player
from score.time.beat_places import beat_place, find_span, place_of
from score.time.from_group import kept_tables

Called = Callable[[Player], str]
_NAME = re.compile(r"[^A-Za-z0-9_-]+")


def short_name(player: Player) -> str:
    """A player's short name."""
    return player.short


def agreed_marks(
    group: Group, piece: Piece, called: Called = short_name, *, tried: bool = False
) -> tuple[AgreedMark, ...]:
    """Every agreed mark, in the order of the piece.

    Args:
        group: the group's file.
        piece: the piece.
        called: how a player is called in the marks.
        tried: with what is only tried.

    Raises:
        GroupFileError: a bar, beat or player that is not there, a breath where nobody plays, a giver who rests, or two
            breaths at one place, in one line.
    """
    states = ("agreed", "tried") if tried else ("agreed",)
    marks = [mark for kind in AGREED_KINDS for mark in _of_kind(group, piece, kind, called, states)]
    return tuple(sorted(marks, key=lambda mark: (mark.bar, mark.at, list(MarkSort).index(mark.sort), mark.name)))


def check_marks(group: Group, piece: Piece) -> None:
    """Refuse what cannot hold, tried or agreed; what was dropped is nobody's concern.

    Raises:
        GroupFileError: as `agreed_marks`.
    """
    places: dict[Place, int] = {}
    for table in group_tables(group, "breath"):
        if table.text("state") != "dropped":
            place = _breath_place(table, piece)
            giver = table.entry.get("player", 0)
            is_agreed = table.text("state") in ("", "agreed")
            if is_agreed and places.setdefault(place, giver) != giver:
                raise table.wrong(f"is the second breath before {_where(table)}", "keep one of them")


def group_breaths(group: Group, piece: Piece) -> tuple[Breath, ...]:
    """The breaths that are agreed or tried, as they sound.

    Raises:
        GroupFileError: as `agreed_marks`.
    """
    check_marks(group, piece)
    breaths: dict[Fraction, Breath] = {}
    for table in kept_tables(group, "breath"):
        place = _breath_place(table, piece)
        entry, beat = piece.offset(place), beat_before(piece, place.bar)
        seconds = table.figure("seconds", 0.0, 0.0, 5.0)
        breaths.setdefault(entry, Breath(entry, beat, _player(table, piece) or None, seconds=seconds or None))
    return tuple(breaths[entry] for entry in sorted(breaths))


def settled_entries(group: Group, piece: Piece) -> frozenset[Fraction]:
    """Where a breath or a lead is agreed, tried or dropped, quarters from the beginning of the piece.

    What was dropped counts too: the group has decided that nobody is needed there.

    Raises:
        GroupFileError: a bar or beat that is not there.
    """
    places = [_place(table, piece) for table in group_tables(group, "breath")]
    places += [_in_bars(table, piece) for table in group_tables(group, "lead")]
    return frozenset(piece.offset(place) for place in places)


def _of_kind(group: Group, piece: Piece, kind: str, called: Called, states: Sequence[str]) -> Iterator[AgreedMark]:
    if kind == "breath":
        check_marks(group, piece)
    names: set[str] = set()
    for number, table in enumerate(group_tables(group, kind), start=1):
        state = table.text("state") or "agreed"
        if state in states:
            name = _NAME.sub("-", table.text("id")) or f"{kind}-{number}"
            if name not in names:
                # Two sides of a conflict have one id: the first holds until it is settled.
                names.add(name)
                yield _MARKS[kind](table, piece, called)._replace(name=name, tried=state == "tried")


def _breath(table: Table, piece: Piece, called: Called) -> AgreedMark:
    place = _breath_place(table, piece)
    giver = _player(table, piece)
    asked = set(table.numbers("players")) & _everybody(piece)
    players = (asked or _playing(piece, place.bar)) | ({giver} if giver else set())
    text = called(piece.player(giver)) if giver else ""
    return _mark(table, piece, MarkSort.BREATH, text=text, place=place, players=players)._replace(
        does=giver, own_text="you"
    )


def _breath_place(table: Table, piece: Piece) -> Place:
    """Where a breath leads to, if somebody plays there, and the one who gives it."""
    place, giver = _place(table, piece), _player(table, piece)
    striking = _striking(piece, place)
    if not striking:
        raise table.wrong(f"before {_where(table)}: nobody plays there", "name the beat they enter on")
    if giver and giver not in striking:
        who = ", ".join(map(str, sorted(striking)))
        raise table.wrong(f"before {_where(table)}: player {giver} rests there", f"let one of {who} give it")
    return place


def _lead(table: Table, piece: Piece, called: Called) -> AgreedMark:
    giver = table.number("player")
    name = called(piece.player(_player(table, piece)))
    place = _in_bars(table, piece)
    mark = _mark(table, piece, MarkSort.LEAD, text=f"{name} leads", place=place, players=_everybody(piece))
    return mark._replace(does=giver, own_text="you lead")


def _look(table: Table, piece: Piece, called: Called) -> AgreedMark:
    looks, at = _player(table, piece), table.number("at")
    name = called(_known(table, piece, at))
    players = {looks} if looks else _everybody(piece) - {at}
    mark = _mark(table, piece, MarkSort.LOOK, text=name, place=_place(table, piece), players=players)
    return mark._replace(does=looks)


def _shape(table: Table, piece: Piece, called: Called) -> AgreedMark:
    leader = _player(table, piece)
    words = SHAPE_WORDS.get(table.text("kind"), ("", table.text("kind")))[1]
    text = f"{called(piece.player(leader))}: {words}" if leader else words
    try:
        start, _ = find_span(piece, find_bars(piece, table.text("bars")), table.text("beats"))
    except InbreathError as error:
        raise table.wrong(error.what, error.remedy) from error
    mark = _mark(table, piece, MarkSort.SHAPE, text=text, place=place_of(piece, start), players=_everybody(piece))
    return mark._replace(does=leader, own_text=words)


def _hold(table: Table, piece: Piece, called: Called) -> AgreedMark:
    kind = table.text("kind") or "hold"
    seconds = f" {figure(table.entry['seconds'])} s" if table.entry.get("seconds") else ""
    text = {"wait": f"wait{seconds}", "short": "short"}.get(kind, f"hold{seconds}")
    return _mark(table, piece, MarkSort.HOLD, text=text, place=_place(table, piece), players=_everybody(piece))


def _note(table: Table, piece: Piece, called: Called) -> AgreedMark:
    who = table.entry.get("player", "all")
    players = _everybody(piece) if who == "all" else {_player(table, piece)}
    return _mark(table, piece, MarkSort.NOTE, text=table.text("text"), place=_place(table, piece), players=players)


_MARKS: Mapping[str, Callable[[Table, Piece, Called], AgreedMark]] = {
    "breath": _breath,
    "lead": _lead,
    "look": _look,
    "shape": _shape,
    "hold": _hold,
    "note": _note,
}


def _mark(table: Table, piece: Piece, sort: MarkSort, *, text: str, place: Place, players: set[int]) -> AgreedMark:
    return AgreedMark(sort, place.bar, place.at, text=" ".join(text.split()), players=frozenset(players), name="")


def _place(table: Table, piece: Piece) -> Place:
    try:
        bars = find_bars(piece, table.text("bar"))
        return beat_place(piece, bars[0], table.figure("beat", 1.0, 1.0, 99.0))
    except InbreathError as error:
        raise table.wrong(error.what, error.remedy) from error


def _in_bars(table: Table, piece: Piece) -> Place:
    """Where a run of bars begins: at its beat, where one is named."""
    try:
        bars = find_bars(piece, table.text("bars"))
        return beat_place(piece, bars[0], table.figure("beat", 1.0, 1.0, 99.0))
    except InbreathError as error:
        raise table.wrong(error.what, error.remedy) from error


def _player(table: Table, piece: Piece) -> int:
    """The player a table names, 0 for nobody in particular."""
    if table.entry.get("player", "all") == "all":
        return 0
    number = table.number("player")
    _known(table, piece, number)
    return number


def _known(table: Table, piece: Piece, number: int) -> Player:
    try:
        return find_player(piece, number)
    except InbreathError as error:
        raise table.wrong(error.what, error.remedy) from error


def _everybody(piece: Piece) -> set[int]:
    return {player.number for player in piece.players}


def _striking(piece: Piece, place: Place) -> set[int]:
    return {p.number for p in piece.players if any(s.bar == place.bar and s.at == place.at for s in p.strokes)}


def _playing(piece: Piece, bar: int) -> set[int]:
    return {player.number for player in piece.players if any(stroke.bar == bar for stroke in player.strokes)}


def _where(table: Table) -> str:
    beat = f", beat {figure(table.entry['beat'])}" if "beat" in table.entry else ""
    return f"bar {table.text('bar')}{beat}"
