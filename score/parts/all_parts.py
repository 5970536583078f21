"""The players' parts in one call: cues chosen, tight changes marked, pages engraved."""

from dataclasses import replace
from functools import partial
from pathlib import Path

from score.activity.from_group import agreed_marks
from score.group.group_file import Group, agreed_only
from score.parts.cued_part import cue_name
from score.parts.engraving_processes import Engravers
from score.parts.write_parts import PartFiles, PartOptions, write_parts
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
    pages = options.pages._replace(pulse=pulse_options(group, reading.piece))
    if options.curve:
        pages = pages._replace(curve=pulse_options(agreed_only(group), reading.piece))
    options = replace(options, pages=pages)
    marks = agreed_marks(group, reading.piece, cue_name)
    return write_parts(
        reading,
        options,
        group.cues,
        folder,
        workers,
        progress,
        partial(player_notes, group=group, stickings=options.pages.stickings),
        marks,
    )
