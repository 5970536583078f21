"""What this computer's history says of a person in a concert: who they are, how far with chunks, what by heart."""

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from score.concert.concert_pieces import ConcertPiece
from score.concert.concert_values import Concert
from score.concert.person_sheet import part_number
from score.concert.programme_of_concert import NOTHING_KNOWN, OwnState
from score.takes.readiness import Standing
from tui.session import StandChunk, chunks_of

if TYPE_CHECKING:
    from score.concert.concert_today import ConcertHeart
    from score.takes.history import History

Chunks = Sequence[Sequence[StandChunk]]
"""The chunks of each piece."""
Standings = Mapping[tuple[int, int], Standing]
"""(piece, chunk) to where one stands with it, where it was practised."""


def person_here(history: "History", path: Path) -> str:
    """Who practises here in the concert of a file, "" while that was not said."""
    return history.recall(_name(path))


def keep_person(history: "History", path: Path, person: str) -> None:
    """Remember who practises here."""
    history.remember(_name(path), person)


def _name(path: Path) -> str:
    return f"person of {path.resolve()}"


def chunks_of_concert(pieces: Sequence[ConcertPiece]) -> Chunks:
    """The chunks of each piece.

    Raises:
        InbreathError: a wish of a group's file does not fit its score.
    """
    return tuple(chunks_of(piece.piece, piece.group) for piece in pieces)


def standings_of_concert(pieces: Sequence[ConcertPiece], chunks: Chunks, history: "History", person: str) -> Standings:
    """Where a person stands with every chunk that they have practised here."""
    standings = {}
    for position, (piece, parts) in enumerate(zip(pieces, chunks, strict=True)):
        number = part_number(piece, person)
        if number is None:
            continue
        for index, part in enumerate(parts):
            standing = history.standing(piece.piece.digest, number, part.chunk.bars)
            if standing is not None:
                standings[position, index] = standing
    return standings


def own_state(pieces: Sequence[ConcertPiece], chunks: Chunks, history: "History", person: str) -> OwnState:
    """How far a person is, and the minutes that a calendar sets aside for what they learn by heart."""
    ready: dict[str, dict[int, float]] = {}
    for (piece, chunk), standing in standings_of_concert(pieces, chunks, history, person).items():
        ready.setdefault(pieces[piece].name, {})[chunk] = standing.readiness.share
    return OwnState(ready, {person: minutes_by_heart(pieces, history, person)})


def minutes_by_heart(pieces: Sequence[ConcertPiece], history: "History", person: str) -> int:
    """Minutes of a day that go to what a person learns by heart: the same for several pieces as for one."""
    from score.takes.heart_day import planned_minutes

    parts = [(piece.piece, part_number(piece, person)) for piece in pieces]
    return max((planned_minutes(piece, number, history) for piece, number in parts if number is not None), default=0)


def own_state_here(concert: Concert, pieces: Sequence[ConcertPiece]) -> OwnState:
    """How far whoever practises on this computer is, as commands ask for it.

    Raises:
        InbreathError: the history cannot be opened, or a wish of a group's file does not fit its score.
    """
    from tui.own_history import own_history

    with own_history() as history:
        person = person_here(history, concert.path) if history is not None else ""
        if history is None or not person:
            return NOTHING_KNOWN
        return own_state(pieces, chunks_of_concert(pieces), history, person)


def heart_today(
    concert: Concert, pieces: Sequence[ConcertPiece], chunks: Chunks, history: "History", person: str, today: date
) -> "ConcertHeart":
    """What a person has to do by heart today in the pieces they learn by heart; takes up to some seconds."""
    from score.concert.concert_today import concert_heart
    from score.takes.heart_day import HeartDay, heart_day, planned_minutes
    from score.takes.heart_passages import PartByHeart

    days: dict[int, HeartDay] = {}
    for position, (piece, parts) in enumerate(zip(pieces, chunks, strict=True)):
        number = part_number(piece, person)
        if number is not None and planned_minutes(piece.piece, number, history):
            part = PartByHeart(piece.piece, piece.piece.player(number), [each.chunk.first for each in parts])
            days[position] = heart_day(part, history, today, concert.day)
    return concert_heart(days)
