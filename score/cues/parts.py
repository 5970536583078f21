"""All players' cue-annotated parts, chosen, written and engraved on every core."""

import pickle
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Future, as_completed
from dataclasses import dataclass, field
from pathlib import Path

from score.cues.choice import choose_cues
from score.cues.engravers import Engravers, make_part, outcome
from score.cues.paper import FindWords, PageOptions, PartPages
from score.cues.sheet import CueSheet, Level
from score.group import CueWish
from score.piece import Piece
from score.places import find_player
from score.reading.result import Reading
from score.writing import write_atomically

ReportProgress = Callable[[str, float], None]


@dataclass(frozen=True, slots=True)
class PartOptions:
    """What to write.

    Attributes:
        players: numbers of the players; empty for all.
        level: how much is cued.
        pages: paper, staff height and turns.
    """

    players: tuple[int, ...] = ()
    level: Level = Level.USUAL
    pages: PageOptions = field(default_factory=PageOptions)


@dataclass(frozen=True, slots=True)
class PartFiles:
    """One player's part on disk.

    Attributes:
        player: number of the player.
        musicxml, pdf: the files written.
        sheet: the cues in it.
        pages: what engraving found: page count, turns, warnings (the PDF's bytes are in the file).
    """

    player: int
    musicxml: Path
    pdf: Path
    sheet: CueSheet
    page_count: int
    warnings: tuple[str, ...]


def cue_sheets(piece: Piece, options: PartOptions, wishes: Sequence[CueWish] = ()) -> Iterator[CueSheet]:
    """The cues of every player asked for, each chosen when it is taken.

    Raises:
        RequestError: a player the piece does not have.
        GroupFileError: a wish that cannot hold.
    """
    numbers = options.players or tuple(player.number for player in piece.players)
    for number in numbers:
        find_player(piece, number)
    for number in dict.fromkeys(numbers):
        yield choose_cues(piece, number, options.level, wishes)


def write_parts(
    reading: Reading,
    sheets: Iterable[CueSheet],
    folder: Path,
    options: PageOptions,
    workers: Engravers,
    progress: ReportProgress,
    words: FindWords | None = None,
) -> tuple[PartFiles, ...]:
    """Write each sheet's part as MusicXML and PDF into the folder; the workers have begun it.

    Each part is given to a worker as soon as its cues are chosen. Files are written whole or not at all; whatever
    else stands in the folder is left alone.

    Args:
        reading: the score.
        sheets: the players' cues.
        folder: where to.
        options: of the pages.
        workers: who engraves.
        progress: told how far it is.
        words: finds the small words for the pages; a function that can go to another process.

    Raises:
        WritingError: the folder cannot be written, or a worker process was ended from outside.
    """
    progress("engraving", 0.0)
    piece = pickle.dumps(reading.piece)
    jobs: dict[Future[tuple[bytes, PartPages]], CueSheet] = {}
    for sheet in sheets:
        blank = workers.blank(sheet.player)
        jobs[workers.pool.submit(make_part, piece, sheet, blank, options, words)] = sheet
    made: dict[int, PartFiles] = {}
    for job in as_completed(jobs):
        sheet = jobs[job]
        xml, pages = outcome(job)
        made[sheet.player] = _save(reading, sheet, folder, xml, pages)
        progress("engraving", len(made) / len(jobs))
    return tuple(made[sheet.player] for sheet in jobs.values())


def part_stem(reading: Reading, player: int) -> str:
    """Name of a player's part without its ending: the score's stem and the player's number."""
    return f"{reading.source.path.stem}-player-{player}"


def _save(reading: Reading, sheet: CueSheet, folder: Path, xml: bytes, pages: PartPages) -> PartFiles:
    stem = part_stem(reading, sheet.player)
    musicxml = write_atomically(folder / f"{stem}.musicxml", xml)
    pdf = write_atomically(folder / f"{stem}.pdf", pages.pdf)
    return PartFiles(sheet.player, musicxml, pdf, sheet, pages.page_count, pages.warnings)
