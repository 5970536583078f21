"""All players' cue-annotated parts, chosen, written and engraved on every core."""

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass, field
from multiprocessing.process import BaseProcess
from pathlib import Path

from score.cues.choice import choose_cues
from score.cues.pages import PageOptions, PartPages, Word, part_pages
from score.cues.part import part_xml
from score.cues.sheet import CueSheet, Level
from score.errors import InbreathError, WritingError
from score.group import CueWish
from score.piece import Piece
from score.places import find_player
from score.reading.result import Reading, Source
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


@contextmanager
def engravers() -> Iterator[ProcessPoolExecutor]:
    """Worker processes that engrave, one a core; they load the engraver while the score is being read.

    Processes, because engraving holds the interpreter's lock; started afresh ("spawn") on every system,
    so that they behave the same everywhere.
    """
    count = os.cpu_count() or 1
    pool = ProcessPoolExecutor(count, multiprocessing.get_context("spawn"), initializer=_settle_in)
    try:
        with _interrupts_held():
            for _ in range(count):
                pool.submit(_load_engraver)
        yield pool
    except BaseException:
        pool.shutdown(wait=False, cancel_futures=True)
        for process in list((pool._processes or {}).values()):
            process.terminate()
        raise
    pool.shutdown()


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


def _settle_in() -> None:
    """In a worker: leave Ctrl-C to the parent, and go when the parent is gone, however it went."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_go_with, args=(parent,), daemon=True).start()


def _go_with(parent: BaseProcess) -> None:
    parent.join()
    os._exit(1)


def write_parts(
    reading: Reading,
    sheets: Sequence[CueSheet],
    folder: Path,
    options: PageOptions,
    pool: ProcessPoolExecutor,
    progress: ReportProgress,
    words: Mapping[int, Sequence[Word]] | None = None,
) -> tuple[PartFiles, ...]:
    """Write each sheet's part as MusicXML and PDF into the folder.

    `words` are small words for the PDFs, by player's number (a change that is tight).

    Files are written whole or not at all; whatever else stands in the folder is left alone.

    Raises:
        WritingError: the folder cannot be written, or a worker process was ended from outside.
    """
    progress("engraving", 0.0)
    jobs = {
        pool.submit(_make, reading.source, reading.piece, sheet, options, (words or {}).get(sheet.player, ())): sheet
        for sheet in sheets
    }
    made: dict[int, PartFiles] = {}
    for job in as_completed(jobs):
        sheet = jobs[job]
        xml, pages = _outcome(job)
        made[sheet.player] = _save(reading, sheet, folder, xml, pages)
        progress("engraving", len(made) / len(jobs))
    return tuple(made[sheet.player] for sheet in sheets)


def part_stem(reading: Reading, player: int) -> str:
    """Name of a player's part without its ending: the score's stem and the player's number."""
    return f"{reading.source.path.stem}-player-{player}"


def _outcome(job: "Future[tuple[bytes, PartPages]]") -> tuple[bytes, PartPages]:
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


def _make(
    source: Source, piece: Piece, sheet: CueSheet, options: PageOptions, words: Sequence[Word] = ()
) -> tuple[bytes, PartPages]:
    xml = part_xml(source, piece, sheet)
    return xml, part_pages(xml, piece, sheet, options, words)


def _load_engraver() -> None:
    """Load what a worker needs while the score is still being read: engraver, page maker, fonts."""
    import gc

    import typst
    import verovio

    from score.cues.fonts import font_folder

    if not (typst and verovio and font_folder()):
        raise InbreathError("Engraver missing", "verovio or typst cannot be loaded", "install Inbreath again")
    # A worker lives for a few seconds and keeps what it makes: collecting would only take time.
    gc.disable()
