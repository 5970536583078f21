"""All players' cue-annotated parts, chosen, written and engraved on every core."""

import multiprocessing
import os
import pickle
import signal
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass, field
from multiprocessing.context import BaseContext
from pathlib import Path
from typing import TypeVar

from score.cues.blank import Blank, blanks
from score.cues.choice import choose_cues
from score.cues.pages import PageOptions, PartPages, Word
from score.cues.sheet import CueSheet, Level
from score.errors import WritingError
from score.group import CueWish
from score.piece import Piece
from score.places import find_player
from score.reading.result import Outline, Reading
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


def cue_sheets(piece: Piece, options: PartOptions, wishes: Sequence[CueWish] = ()) -> tuple[CueSheet, ...]:
    """The cues of every player asked for.

    Raises:
        RequestError: a player the piece does not have.
        GroupFileError: a wish that cannot hold.
    """
    numbers = options.players or tuple(player.number for player in piece.players)
    for number in numbers:
        find_player(piece, number)
    return tuple(choose_cues(piece, number, options.level, wishes) for number in dict.fromkeys(numbers))


class Engravers:
    """Worker processes that engrave, one a core.

    They load the engraver and set out the parts while the notes are still being read.
    """

    def __init__(self, pool: ProcessPoolExecutor) -> None:
        self.pool = pool
        self._begun: Future[dict[int, Blank]] | None = None

    def begin(self, outline: Outline, options: PartOptions) -> None:
        """Set out the parts of a score that is still being read."""
        numbers = options.players or tuple(number for number, _ in outline.players)
        self._begun = self.pool.submit(blanks, outline, numbers, options.level)

    def blanks(self, reading: Reading, sheets: Sequence[CueSheet]) -> dict[int, Blank]:
        """The parts that were begun; those of these sheets if none were.

        Raises:
            WritingError: a worker process was ended from outside.
        """
        if self._begun is None and sheets:
            numbers = [sheet.player for sheet in sheets]
            self._begun = self.pool.submit(blanks, reading.outline, numbers, sheets[0].level)
        return outcome(self._begun) if self._begun is not None else {}


@contextmanager
def engravers() -> Iterator[Engravers]:
    """Worker processes that engrave.

    Processes, because engraving holds the interpreter's lock. They are never copies of this one, which may have
    threads: where the system can, they are copies of a server that holds nothing but the engraver.
    """
    count = os.cpu_count() or 1
    from score.cues.worker import get_ready, settle_in

    pool = ProcessPoolExecutor(count, _context(), initializer=settle_in)
    try:
        with _interrupts_held():
            for _ in range(count):
                pool.submit(get_ready)
        yield Engravers(pool)
    except BaseException:
        pool.shutdown(wait=False, cancel_futures=True)
        for process in list((pool._processes or {}).values()):
            process.terminate()
        raise
    pool.shutdown()


def _context() -> BaseContext:
    if "forkserver" not in multiprocessing.get_all_start_methods():
        return multiprocessing.get_context("spawn")
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["score.cues.worker"])
    return context


@contextmanager
def _interrupts_held() -> Iterator[None]:
    """Worker processes started inside never see Ctrl-C, not even while they load: the parent ends them."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def write_parts(
    reading: Reading,
    sheets: Sequence[CueSheet],
    folder: Path,
    options: PageOptions,
    workers: Engravers,
    progress: ReportProgress,
    words: Mapping[int, Sequence[Word]] | None = None,
) -> tuple[PartFiles, ...]:
    """Write each sheet's part as MusicXML and PDF into the folder.

    `words` are small words for the PDFs, by player's number (a change that is tight).

    Files are written whole or not at all; whatever else stands in the folder is left alone.

    Raises:
        WritingError: the folder cannot be written, or a worker process was ended from outside.
    """
    from score.cues.worker import make_part

    progress("engraving", 0.0)
    blank, piece = workers.blanks(reading, sheets), pickle.dumps(reading.piece)
    jobs = {
        workers.pool.submit(
            make_part, piece, sheet, blank[sheet.player], options, (words or {}).get(sheet.player, ())
        ): sheet
        for sheet in sheets
    }
    made: dict[int, PartFiles] = {}
    for job in as_completed(jobs):
        sheet = jobs[job]
        xml, pages = outcome(job)
        made[sheet.player] = _save(reading, sheet, folder, xml, pages)
        progress("engraving", len(made) / len(jobs))
    return tuple(made[sheet.player] for sheet in sheets)


def part_stem(reading: Reading, player: int) -> str:
    """Name of a player's part without its ending: the score's stem and the player's number."""
    return f"{reading.source.path.stem}-player-{player}"


_T = TypeVar("_T")


def outcome(job: "Future[_T]") -> _T:
    """What a worker made.

    Raises:
        WritingError: the worker was ended from outside.
    """
    try:
        return job.result()
    except BrokenProcessPool as error:
        raise WritingError(
            "Engraving stopped", "a worker process was ended from outside", "free some memory and try again"
        ) from error


def _save(reading: Reading, sheet: CueSheet, folder: Path, xml: bytes, pages: PartPages) -> PartFiles:
    stem = part_stem(reading, sheet.player)
    musicxml = write_atomically(folder / f"{stem}.musicxml", xml)
    pdf = write_atomically(folder / f"{stem}.pdf", pages.pdf)
    return PartFiles(sheet.player, musicxml, pdf, sheet, pages.page_count, pages.warnings)
