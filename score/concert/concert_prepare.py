"""Everything for a concert in one folder: a folder for every person, one page for the group, pages for the stage."""

from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from score.activity.from_group import group_breaths
from score.chunks.division import divide
from score.chunks.from_group import chunk_edits
from score.concert.concert_pieces import ConcertPiece, playing_people
from score.concert.concert_setup import ConcertSetup
from score.concert.concert_values import Concert
from score.concert.group_page import group_page
from score.concert.person_folders import PIECES, copies_before, folders_of, in_order, numbered_anew, remove_copies
from score.concert.person_sheet import part_number, person_sheet
from score.concert.programme_calendar import programme_calendar
from score.concert.programme_files import write_programme
from score.concert.programme_plan import ProgrammePlan
from score.concert.stage_sheet import write_stage_sheet
from score.parts.all_parts import write_all_parts
from score.parts.engraving_processes import Engravers
from score.parts.write_parts import PartFiles, PartOptions
from score.plain_text import file_name_part
from score.playback.tracks import TrackOptions, chunk_passages, whole_passage, write_tracks
from score.progress import ReportProgress
from score.time.from_group import pulse_options
from score.writing import write_atomically

Workers = Callable[[], AbstractContextManager[Engravers]]
"""Starts processes that engrave one score."""


@dataclass(frozen=True, slots=True)
class ConcertWishes:
    """What is written.

    Attributes:
        folder: where to.
        parts: how parts are made; its players are not asked.
        tracks: endings of practice tracks, as in `TrackOptions`; empty for none.
        stamp: when, with a zone.
    """

    folder: Path
    parts: PartOptions
    tracks: tuple[str, ...]
    stamp: datetime


@dataclass(frozen=True, slots=True)
class PersonFolder:
    """What somebody takes home.

    Attributes:
        person: their name.
        folder: where it is.
        sheet: their own pages.
        parts: their parts in the order of the concert.
        calendar: their rehearsals, None where there are none.
        tracks: their practice tracks.
    """

    person: str
    folder: Path
    sheet: Path
    parts: tuple[Path, ...]
    calendar: Path | None
    tracks: tuple[Path, ...]


@dataclass(frozen=True, slots=True)
class PreparedConcert:
    """What was written.

    Attributes:
        folder: where everything is.
        people: everybody's folder.
        group: one page for everybody.
        stage: pages for the stage hands.
        calendar: the calendar's files, none where it has none.
        warnings: what players should know of their parts, a line each.
    """

    folder: Path
    people: tuple[PersonFolder, ...]
    group: Path
    stage: Path
    calendar: tuple[Path, ...]
    warnings: tuple[str, ...]


def prepare_concert(
    concert: Concert,
    pieces: Sequence[ConcertPiece],
    setup: ConcertSetup,
    plan: ProgrammePlan | None,
    wishes: ConcertWishes,
    workers: Workers,
    progress: ReportProgress,
) -> PreparedConcert:
    """Write everybody's folder, the group's page, the stage's pages and the calendar.

    Args:
        concert: its file.
        pieces: opened.
        setup: its stages.
        plan: its calendar, None where it has none yet.
        wishes: where to and what.
        workers: who engrave.
        progress: told how far it is.

    Raises:
        InbreathError: a wish of a group does not fit, or the folder cannot be written.
    """
    folders = folders_of(playing_people(pieces), wishes.folder)
    before = copies_before(wishes.folder, folders.values())
    parts = [_parts(piece, wishes, workers, progress) for piece in pieces]
    people = tuple(
        _person(concert, pieces, setup, plan, wishes, parts, person, folder, progress)
        for person, folder in folders.items()
    )
    remove_copies(before - {path for person in people for path in person.parts})
    return PreparedConcert(
        wishes.folder,
        people,
        _group_page(concert, pieces, setup, plan, wishes.folder),
        stage=write_stage_sheet(concert, setup, wishes.folder),
        calendar=write_programme(plan, wishes.folder, concert.stem, wishes.stamp) if plan is not None else (),
        warnings=tuple(_warnings(pieces, parts)),
    )


def write_pages(
    concert: Concert,
    pieces: Sequence[ConcertPiece],
    setup: ConcertSetup,
    plan: ProgrammePlan | None,
    folder: Path,
    stamp: datetime,
) -> tuple[Path, ...]:
    """Everything but parts and tracks: pages of the group, the stage and everybody, and the calendar.

    Args:
        concert: its file.
        pieces: opened.
        setup: its stages.
        plan: its calendar, None where it has none yet.
        folder: where to.
        stamp: when, with a zone.

    Raises:
        WritingError: the folder cannot be written.
    """
    files = [_group_page(concert, pieces, setup, plan, folder)]
    files.append(write_stage_sheet(concert, setup, folder))
    files += write_programme(plan, folder, concert.stem, stamp) if plan is not None else ()
    for person, own in folders_of(playing_people(pieces), folder).items():
        files.append(_sheet(concert, pieces, setup, plan, person, own))
        calendar = _calendar(plan, person, own, stamp)
        files += [calendar] if calendar is not None else []
    return tuple(files)


def _parts(
    piece: ConcertPiece, wishes: ConcertWishes, workers: Workers, progress: ReportProgress
) -> tuple[PartFiles, ...]:
    """All parts of a piece, in a folder of the piece, where they can be printed again and only what changed."""
    folder = wishes.folder / PIECES / file_name_part(piece.name)

    def told(step: str, share: float) -> None:
        progress(f"{piece.name}: {step}", share)

    with workers() as engravers:
        return write_all_parts(piece.reading, piece.group, folder, wishes.parts, engravers, told)


def _person(
    concert: Concert,
    pieces: Sequence[ConcertPiece],
    setup: ConcertSetup,
    plan: ProgrammePlan | None,
    wishes: ConcertWishes,
    parts: Sequence[tuple[PartFiles, ...]],
    person: str,
    folder: Path,
    progress: ReportProgress,
) -> PersonFolder:
    """One person's folder; names begin with numbers, so that they lie in the order of the concert."""
    copies: list[Path] = []
    tracks: list[Path] = []
    for index, (piece, files) in enumerate(zip(pieces, parts, strict=True), 1):
        number = part_number(piece, person)
        if number is None:
            continue
        pdf = next(file.pdf for file in files if file.player == number)
        name = in_order(index, len(pieces), piece.name)
        copies.append(write_atomically(folder / f"{name}.pdf", pdf.read_bytes()))
        own = numbered_anew(folder / "tracks" / name)
        if wishes.tracks:
            progress(f"{person}: tracks", (index - 1) / len(pieces))
            tracks += _tracks(piece, number, own, wishes.tracks)
    return PersonFolder(
        person,
        folder,
        _sheet(concert, pieces, setup, plan, person, folder),
        parts=tuple(copies),
        calendar=_calendar(plan, person, folder, wishes.stamp),
        tracks=tuple(tracks),
    )


def _group_page(
    concert: Concert,
    pieces: Sequence[ConcertPiece],
    setup: ConcertSetup,
    plan: ProgrammePlan | None,
    folder: Path,
) -> Path:
    return write_atomically(folder / f"{concert.stem}-group.pdf", group_page(concert, pieces, setup, plan))


def _sheet(
    concert: Concert,
    pieces: Sequence[ConcertPiece],
    setup: ConcertSetup,
    plan: ProgrammePlan | None,
    person: str,
    folder: Path,
) -> Path:
    sheet = person_sheet(concert, pieces, setup, plan, person)
    return write_atomically(folder / f"0-{file_name_part(person)}.pdf", sheet)


def _calendar(plan: ProgrammePlan | None, person: str, folder: Path, stamp: datetime) -> Path | None:
    if plan is None:
        return None
    number = plan.programme.people.index(person)
    return write_atomically(folder / f"{file_name_part(person)}.ics", programme_calendar(plan, stamp, number))


def _tracks(piece: ConcertPiece, number: int, folder: Path, kinds: tuple[str, ...]) -> tuple[Path, ...]:
    """A track of every chunk and of the whole, at the written tempo with a click."""
    chunks = divide(piece.piece, edits=chunk_edits(piece.group, piece.piece))
    passages = (*chunk_passages(piece.piece, chunks), whole_passage(piece.piece))
    pulse, breaths = pulse_options(piece.group, piece.piece), group_breaths(piece.group, piece.piece)
    options = TrackOptions(number, kinds=kinds, pulse=pulse, breaths=breaths)
    return write_tracks(piece.piece, passages, folder, file_name_part(piece.name), options, _untold)


def _untold(step: str, share: float) -> None:
    """Chunk by chunk is more than anybody wants to be told."""


def _warnings(pieces: Sequence[ConcertPiece], parts: Sequence[tuple[PartFiles, ...]]) -> list[str]:
    return [
        f"{piece.name}, {piece.person(file.player)}: {warning}"
        for piece, files in zip(pieces, parts, strict=True)
        for file in files
        for warning in (*file.warnings, *file.unprinted)
    ]
