"""The pieces of a concert opened: each with its group's file, and who of the concert plays which of its parts."""

from collections.abc import Sequence
from dataclasses import dataclass

from score.concert.concert_file import check_names, people_named
from score.concert.concert_tables import wrong_entry
from score.concert.concert_values import Concert, PieceEntry
from score.concert.moving import OTHER_KINDS
from score.group.group_file import Group
from score.piece import Piece
from score.plain_text import several
from score.plan.from_group import group_minutes
from score.plan.plan_inputs import USUAL_MINUTES_A_DAY
from score.reading.reading_result import Reading
from score.setup.fittings import usual_fittings
from score.setup.kit_layout import kind_of


@dataclass(frozen=True, slots=True)
class ConcertPiece:
    """A piece of a concert.

    Attributes:
        entry: what the concert's file says of it.
        reading: its score.
        group: its group's file.
        people: (player's number, name) of everybody who plays in it.
    """

    entry: PieceEntry
    reading: Reading
    group: Group
    people: tuple[tuple[int, str], ...]

    @property
    def piece(self) -> Piece:
        """The score's music."""
        return self.reading.piece

    @property
    def name(self) -> str:
        """What the concert's file calls it."""
        return self.entry.name

    def person(self, number: int) -> str:
        """Who plays a part."""
        return dict(self.people)[number]


def concert_pieces(concert: Concert, opened: Sequence[tuple[Reading, Group]]) -> tuple[ConcertPiece, ...]:
    """The pieces with their people.

    Args:
        concert: its file.
        opened: reading and group's file of each piece, in its order.

    Raises:
        ConcertFileError: more or fewer people than parts, or a name that plays nothing.
    """
    pieces = tuple(
        ConcertPiece(entry, reading, group, people=_people(concert, entry, reading.piece))
        for entry, (reading, group) in zip(concert.pieces, opened, strict=True)
    )
    _check_kinds(concert, pieces)
    playing = playing_people(pieces)
    check_names(concert, (*playing, *people_named(concert)), playing)
    return pieces


def _check_kinds(concert: Concert, pieces: Sequence[ConcertPiece]) -> None:
    """Every instrument of the concert's file is one that is known, or that a score calls so."""
    kinds = {kind_of(each) for piece in pieces for player in piece.piece.players for each in player.instruments}
    entries = [("instrument", entry.kind) for entry in concert.instruments]
    for name, kind in [*entries, *(("moving", kind) for kind in concert.moving)]:
        if kind not in kinds and kind not in usual_fittings() and kind not in OTHER_KINDS:
            remedy = f"the scores have {', '.join(sorted(kinds))}"
            raise wrong_entry(concert.path, f'[[{name}]] kind = "{kind}" is not known', remedy)


def check_scores(concert: Concert) -> None:
    """Every score of the concert is there.

    Raises:
        ConcertFileError: the first that is not, or that there is none at all.
    """
    if not concert.pieces:
        raise wrong_entry(concert.path, "has no piece", 'add one: [[piece]] with score = "quartet.musicxml"')
    for entry in concert.pieces:
        if not entry.score.is_file():
            remedy = "correct its path in the file, or remove the piece"
            raise wrong_entry(concert.path, f'[[piece]] score = "{_written(concert, entry)}" is not there', remedy)


def _written(concert: Concert, entry: PieceEntry) -> str:
    """A score's path as it stands in the concert's file, or nearly so."""
    folder = concert.path.parent
    return (entry.score.relative_to(folder) if entry.score.is_relative_to(folder) else entry.score).as_posix()


def playing_people(pieces: Sequence[ConcertPiece]) -> tuple[str, ...]:
    """Everybody who plays, in the order in which the programme names them."""
    return tuple(dict.fromkeys(name for piece in pieces for _, name in piece.people))


def minutes_a_day(concert: Concert, pieces: Sequence[ConcertPiece], person: str) -> int:
    """Somebody's minutes of own work a day: as the concert's file says, else the most that a group's file does.

    Raises:
        GroupFileError: minutes that cannot be.
    """
    said = [
        dict(group_minutes(piece.group)).get(number)
        for piece in pieces
        for number, name in piece.people
        if name == person
    ]
    return concert.minutes_of(person, max((m for m in said if m is not None), default=USUAL_MINUTES_A_DAY))


def everybody(concert: Concert, pieces: Sequence[ConcertPiece]) -> tuple[str, ...]:
    """Everybody who can carry: who plays, who is named, and the hall's own hands."""
    return tuple(dict.fromkeys((*playing_people(pieces), *people_named(concert), *concert.hall.hands)))


def _people(concert: Concert, entry: PieceEntry, piece: Piece) -> tuple[tuple[int, str], ...]:
    if not entry.people:
        return tuple((player.number, player.name) for player in piece.players)
    if len(entry.people) != len(piece.players):
        what = f"[[piece]] {entry.name} has {several(len(piece.players), 'part')}, people names {len(entry.people)}"
        parts = ", ".join(f"{player.number} {player.name}" for player in piece.players)
        raise wrong_entry(concert.path, what, f"name one for each: {parts}")
    names = [name or player.name for name, player in zip(entry.people, piece.players, strict=True)]
    return tuple((player.number, name) for player, name in zip(piece.players, names, strict=True))
