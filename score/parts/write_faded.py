"""Parts that fade, as files of their own beside the parts: the pages are those of the last print."""

from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

from score.chunks.division import divide
from score.chunks.from_group import chunk_edits
from score.group.group_file import Group
from score.memory.fade import Fade
from score.parts.all_parts import part_job
from score.parts.engraving_processes import Engravers
from score.parts.part_jobs import FinishedPart, Job
from score.parts.prints import Prints
from score.parts.write_parts import PartOptions, part_stem, players_asked
from score.progress import ReportProgress
from score.reading.reading_result import Reading
from score.time.from_group import pulse_options
from score.writing import write_atomically


class FadedPart(NamedTuple):
    """One player's faded part on disk.

    Attributes:
        player: number of the player.
        pdf: the file written.
        page_count: its pages.
    """

    player: int
    pdf: Path
    page_count: int


def write_faded(
    reading: Reading,
    group: Group,
    folder: Path,
    options: PartOptions,
    fade: Fade,
    workers: Engravers,
    progress: ReportProgress,
) -> tuple[FadedPart, ...]:
    """Write the players' parts with what a step hides taken out, as PDF; pages are divided as in the last print.

    Args:
        reading: the score.
        group: what the group has agreed.
        folder: where to.
        options: whose parts, how much is cued, the pages.
        fade: the step; its phrases are set here, from the group's chunks.
        workers: who engraves; they may have begun.
        progress: told how far it is.

    Raises:
        InbreathError: a player, a wish of the group or the folder does not fit.
    """
    numbers = players_asked(reading.piece, options)
    progress("engraving", 0.0)
    workers.begin(reading.outline, numbers, options.level)
    job = _job(reading, group, folder, options, fade)
    parts: dict[int, FadedPart] = {}
    for part in workers.make(job, numbers):
        parts[part.sheet.player] = _saved(reading, part, folder, fade)
        progress("engraving", len(parts) / len(numbers))
    return tuple(parts[number] for number in numbers)


def _job(reading: Reading, group: Group, folder: Path, options: PartOptions, fade: Fade) -> Job:
    """What workers need for the faded parts: among it the group's chunks as phrases, and the last print."""
    piece = reading.piece
    phrases = tuple(chunk.first for chunk in divide(piece, edits=chunk_edits(group, piece)))
    pages = options.pages._replace(pulse=pulse_options(group, piece), fade=fade._replace(phrases=phrases))
    prints = Prints(reading, folder, options.level, pages)
    last = {number: prints.last(number, anew=options.anew) for number in players_asked(piece, options)}
    return part_job(piece, group, replace(options, pages=pages))._replace(last=last)


def _saved(reading: Reading, part: FinishedPart, folder: Path, fade: Fade) -> FadedPart:
    cues = "" if fade.cues else "-no-cues"
    path = folder / f"{part_stem(reading, part.sheet.player)}-by-heart-{fade.step}{cues}.pdf"
    write_atomically(path, part.pages.pdf)
    return FadedPart(part.sheet.player, path, part.pages.page_count)
