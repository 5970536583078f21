"""All players' cue-annotated parts, chosen, written and engraved on every core."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

from score.cues.sheet import CueSheet, Level
from score.group.group_file import CueWish
from score.parts.engraving_processes import Engravers
from score.parts.paper import PageOptions
from score.parts.part_jobs import FinishedPart, Job
from score.parts.print_record import PageChange
from score.parts.prints import Prints
from score.parts.source_signs import SourceSign
from score.piece import Piece
from score.places import bar_name, find_player
from score.plain_text import file_stem
from score.progress import ReportProgress
from score.reading.reading_result import Reading
from score.writing import write_atomically


@dataclass(frozen=True, slots=True)
class PartOptions:
    """What to write.

    Attributes:
        players: numbers of the players; empty for all.
        level: how much is cued.
        pages: paper, staff height and turns.
        curve: draw the tempo over bars that the group shapes.
        changed: write only parts that differ from the last print, and the pages that do as files of their own.
        both_sides: these pages with the other side of their sheet.
        anew: divide pages anew; else they begin where they began in the last print.
    """

    players: tuple[int, ...] = ()
    level: Level = Level.USUAL
    pages: PageOptions = field(default_factory=PageOptions)
    curve: bool = False
    changed: bool = False
    both_sides: bool = False
    anew: bool = False


class PartFiles(NamedTuple):
    """One player's part on disk.

    Attributes:
        player: number of the player.
        musicxml, pdf: the files written.
        sheet: the cues in it.
        page_count: its pages.
        warnings: what the player should know of them, one sentence each.
        signs: how many signs of the source were looked for on the pages.
        unprinted: those that are not there, each with its bar, one sentence each.
        changes: pages that differ from the last print beside which it was written.
        changed_pdf: these pages alone, where they were asked for.
    """

    player: int
    musicxml: Path
    pdf: Path
    sheet: CueSheet
    page_count: int
    warnings: tuple[str, ...]
    signs: int = 0
    unprinted: tuple[str, ...] = ()
    changes: tuple[PageChange, ...] = ()
    changed_pdf: Path | None = None


def cue_sheets(piece: Piece, options: PartOptions, wishes: Sequence[CueWish] = ()) -> tuple[CueSheet, ...]:
    """The cues of every player asked for.

    Raises:
        RequestError: a player the piece does not have.
        GroupFileError: a wish that cannot hold.
    """
    # Where workers choose the cues, as for files, this need not be loaded.
    from score.cues.cue_choice import choose_cues

    return tuple(choose_cues(piece, number, options.level, wishes) for number in players_asked(piece, options))


def players_asked(piece: Piece, options: PartOptions) -> tuple[int, ...]:
    """Numbers of the players whose parts are asked for.

    Raises:
        RequestError: a player the piece does not have.
    """
    for number in options.players:
        find_player(piece, number)
    return tuple(dict.fromkeys(options.players or (player.number for player in piece.players)))


class PartsPrinting:
    """Parts that are being made.

    Args:
        reading: the score.
        options: whose parts, how much is cued, the pages.
        folder: where to.
        workers: who engrave; they may have begun.
        job: what they need for it, without last prints.

    Attributes:
        options: as they were asked for.
        workers: who engrave.
        pickled: the piece as bytes.

    Raises:
        RequestError: a player the piece does not have.
    """

    def __init__(self, reading: Reading, options: PartOptions, folder: Path, workers: Engravers, job: Job) -> None:
        self.options, self.workers, self.pickled = options, workers, job.piece
        self._reading, self._folder = reading, folder
        self._numbers = numbers = players_asked(reading.piece, options)
        self._prints = prints = Prints(reading, folder, options.level, options.pages)
        workers.begin(reading.outline, numbers, options.level)
        asked = {"anew": options.anew, "both_sides": options.both_sides, "apart": options.changed}
        last = {number: prints.last(number, **asked) for number in numbers}
        self._parts = workers.make(job._replace(last=last), numbers)

    def write(self, progress: ReportProgress) -> tuple[PartFiles, ...]:
        """Write each as it is finished, as MusicXML and PDF, and the record of the print.

        Files are written whole or not at all; whatever else stands in the folder is left alone.

        Raises:
            GroupFileError: a wish that cannot hold.
            WritingError: the folder cannot be written, or a worker process was ended from outside.
        """
        files: dict[int, PartFiles] = {}
        for part in self._parts:
            number = part.sheet.player
            files[number] = write_part(self._reading, part, self._folder, self.options)
            self._prints.add(number, part.pages.printed)
            progress("engraving", len(files) / len(self._numbers))
        self._prints.write()
        return tuple(files[number] for number in self._numbers)


def write_part(reading: Reading, part: FinishedPart, folder: Path, options: PartOptions) -> PartFiles:
    """The part written; where only what changed is asked for, nothing but what did.

    Raises:
        WritingError: the folder cannot be written.
    """
    stem = part_stem(reading, part.sheet.player)
    changed = folder / f"{stem}-changed.pdf"
    if not options.changed:
        return save_part(reading, part, folder)
    if not part.pages.changes:
        return _files(reading, part, folder)
    write_atomically(changed, part.pages.changed_pdf)
    return save_part(reading, part, folder)._replace(changed_pdf=changed)


def part_stem(reading: Reading, player: int) -> str:
    """Name of a player's part without its ending: the score's stem and the player's number."""
    return f"{file_stem(reading.source.path)}-player-{player}"


def save_part(reading: Reading, part: FinishedPart, folder: Path) -> PartFiles:
    """Write one part that was made.

    Raises:
        WritingError: the folder cannot be written.
    """
    files = _files(reading, part, folder)
    write_atomically(files.musicxml, part.xml)
    write_atomically(files.pdf, part.pages.pdf)
    return files


def _files(reading: Reading, part: FinishedPart, folder: Path) -> PartFiles:
    sheet, pages = part.sheet, part.pages
    stem = part_stem(reading, sheet.player)
    return PartFiles(
        sheet.player,
        folder / f"{stem}.musicxml",
        folder / f"{stem}.pdf",
        sheet=sheet,
        page_count=pages.page_count,
        warnings=pages.warnings,
        signs=pages.signs,
        unprinted=tuple(_unprinted(reading.piece, sign) for sign in pages.unprinted),
        changes=pages.changes,
    )


def _unprinted(piece: Piece, sign: SourceSign) -> str:
    return f"bar {bar_name(piece, sign.bar)}: {sign.name} is not printed"
