"""The main job in one call: everything a group needs before its first rehearsal, in one folder."""

from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from score.cues.explain import explain_text
from score.cues.parts import PartFiles, PartOptions, ReportProgress, cue_sheets, write_parts
from score.group import Group
from score.reading.result import Reading
from score.reading.summary import piece_summary
from score.writing import write_atomically


@dataclass(frozen=True, slots=True)
class Prepared:
    """What was written.

    Attributes:
        folder: where everything is.
        parts: the players' parts.
        summary: what the score holds, as text.
        cues: every cue and why it is there, as text.
    """

    folder: Path
    parts: tuple[PartFiles, ...]
    summary: Path
    cues: Path


def prepare(
    reading: Reading,
    group: Group,
    folder: Path,
    options: PartOptions,
    pool: ProcessPoolExecutor,
    progress: ReportProgress,
) -> Prepared:
    """Write the parts, the list of cues with their reasons, and the summary of the score.

    Raises:
        InbreathError: a player, a wish of the group or the folder does not fit.
    """
    stem = reading.source.path.stem
    sheets = cue_sheets(reading.piece, options, group.cues)
    parts = write_parts(reading, sheets, folder, options.pages, pool, progress)
    reasons = "\n\n".join(explain_text(reading.piece, sheet) for sheet in sheets)
    return Prepared(
        folder,
        parts,
        write_atomically(folder / f"{stem}-score.txt", f"{piece_summary(reading.piece)}\n".encode()),
        write_atomically(folder / f"{stem}-cues.txt", f"{reasons}\n".encode()),
    )
