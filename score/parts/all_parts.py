"""The players' parts in one call: cues chosen, tight changes marked, pages engraved."""

import pickle
from dataclasses import replace
from functools import partial
from pathlib import Path

from score.activity.from_group import agreed_marks
from score.group.group_file import Group, agreed_only
from score.parts.cued_part import cue_name
from score.parts.engraving_processes import Engravers
from score.parts.part_jobs import Job
from score.parts.write_parts import PartFiles, PartOptions, PartsPrinting
from score.piece import Piece
from score.progress import ReportProgress
from score.reading.reading_result import Reading
from score.setup.player_notes import player_notes
from score.time.from_group import pulse_options


def write_all_parts(
    reading: Reading, group: Group, folder: Path, options: PartOptions, workers: Engravers, progress: ReportProgress
) -> tuple[PartFiles, ...]:
    """Write the players' parts; the workers may have begun them.

    Raises:
        InbreathError: a player, a wish of the group or the folder does not fit.
    """
    progress("engraving", 0.0)
    return begin_all_parts(reading, group, folder, options, workers).write(progress)


def begin_all_parts(
    reading: Reading, group: Group, folder: Path, options: PartOptions, workers: Engravers
) -> PartsPrinting:
    """Have the players' parts made; the workers may have begun them.

    Args:
        reading: the score.
        group: the group's file.
        folder: where to.
        options: of the parts.
        workers: who engrave.

    Raises:
        InbreathError: a player or a wish of the group does not fit.
    """
    pages = options.pages._replace(pulse=pulse_options(group, reading.piece))
    if options.curve:
        pages = pages._replace(curve=pulse_options(agreed_only(group), reading.piece))
    options = replace(options, pages=pages)
    return PartsPrinting(reading, options, folder, workers, part_job(reading.piece, group, options))


def part_job(piece: Piece, group: Group, options: PartOptions) -> Job:
    """What workers need for parts of a piece, without last prints.

    Raises:
        InbreathError: a wish of the group does not fit.
    """
    return Job(
        pickle.dumps(piece, pickle.HIGHEST_PROTOCOL),
        options.level,
        group.cues,
        pages=options.pages,
        notes=partial(player_notes, group=group, stickings=options.pages.stickings),
        marks=agreed_marks(group, piece, cue_name),
    )
