"""All players' cue-annotated parts, chosen, written and engraved on every core."""

import multiprocessing
import os
import pickle
import signal
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, ThreadPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass, field
from multiprocessing.context import BaseContext
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from score.cues.choice import choose_cues
from score.cues.paper import PageOptions, PartPages, Word
from score.cues.sheet import CueSheet, Level
from score.errors import WritingError
from score.group import CueWish
from score.piece import Piece
from score.places import find_player
from score.reading.result import Outline, Reading
from score.writing import write_atomically

if TYPE_CHECKING:
    from score.cues.blank import Blank

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


class Engravers:
    """Worker processes that engrave, one a core.

    They load the engraver and set out the parts while the notes are still being read.
    """

    def __init__(self, pool: ProcessPoolExecutor, aside: ThreadPoolExecutor) -> None:
        self.pool = pool
        self._aside = aside
        self._begun: Future[Future[dict[int, Blank]]] | None = None

    def begin(self, outline: Outline, options: PartOptions) -> None:
        """Set out the parts of a score that is still being read."""
        numbers = options.players or tuple(number for number, _ in outline.players)
        # The first job waits until a worker has loaded; whoever reads the score must not.
        self._begun = self._aside.submit(self.pool.submit, _set_out, outline, numbers, options.level)

    def blank(self, player: int) -> "Blank":
        """A player's part that was begun.

        Raises:
            WritingError: a worker process was ended from outside.
        """
        assert self._begun is not None, "begin() comes first"
        return outcome(self._begun.result())[player]


@contextmanager
def engravers(also: Sequence[str] = ()) -> Iterator[Engravers]:
    """Worker processes that engrave.

    Processes, because engraving holds the interpreter's lock. They are never copies of this one, which may have
    threads: where the system can, they are copies of a server that holds nothing but the engraver.

    Args:
        also: other modules the workers will need.
    """
    pool = ProcessPoolExecutor(os.cpu_count() or 1, _context(also), initializer=_settle_in)
    aside = ThreadPoolExecutor(1)
    try:
        yield Engravers(pool, aside)
    except BaseException:
        aside.shutdown()
        pool.shutdown(wait=False, cancel_futures=True)
        for process in list((pool._processes or {}).values()):
            process.terminate()
        raise
    aside.shutdown()
    pool.shutdown()


def _context(also: Sequence[str]) -> BaseContext:
    """How workers come about; the server, where there is one, begins to load the engraver at once."""
    if "forkserver" not in multiprocessing.get_all_start_methods():
        return multiprocessing.get_context("spawn")
    from multiprocessing import forkserver

    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["score.cues.worker", *also])
    with _interrupts_held():
        forkserver.ensure_running()
    return context


@contextmanager
def _interrupts_held() -> Iterator[None]:
    """What is started inside never sees Ctrl-C, not even while it loads: the parent ends it."""
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
    sheets: Iterable[CueSheet],
    folder: Path,
    options: PageOptions,
    workers: Engravers,
    progress: ReportProgress,
    words: Callable[[], Mapping[int, Sequence[Word]]] = dict,
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
        words: gives the small words for the pages (a change that is tight) by player's number; asked for once.

    Raises:
        WritingError: the folder cannot be written, or a worker process was ended from outside.
    """
    progress("engraving", 0.0)
    piece = pickle.dumps(reading.piece)
    printed: Mapping[int, Sequence[Word]] | None = None
    jobs: dict[Future[tuple[bytes, PartPages]], CueSheet] = {}
    for sheet in sheets:
        printed = words() if printed is None else printed
        blank, here = workers.blank(sheet.player), printed.get(sheet.player, ())
        jobs[workers.pool.submit(_make_part, piece, sheet, blank, options, here)] = sheet
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


# What the workers run. The engraver is loaded in them and not here, where a score is read meanwhile.


def _settle_in() -> None:
    from score.cues.worker import settle_in

    settle_in()


def _set_out(outline: Outline, numbers: Sequence[int], level: Level) -> dict[int, "Blank"]:
    from score.cues.worker import set_out

    return set_out(outline, numbers, level)


def _make_part(
    piece: bytes, sheet: CueSheet, blank: "Blank", options: PageOptions, words: Sequence[Word]
) -> tuple[bytes, PartPages]:
    from score.cues.worker import make_part

    return make_part(piece, sheet, blank, options, words)
