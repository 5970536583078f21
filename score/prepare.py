"""The main job in one call: everything a group needs before its first rehearsal, in one folder."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

from score.chunks.chunk import Chunk, ChunkDemands, ChunkEdits
from score.chunks.demands import demands
from score.chunks.division import divide
from score.chunks.explain import chunks_text
from score.chunks.from_group import chunk_edits
from score.cues.explain import explain_text
from score.errors import InbreathError, WritingError
from score.group.group_file import Group
from score.parts.score_jobs import ScoreOptions
from score.parts.write_parts import PartFiles, PartsPrinting
from score.parts.write_score import ScoreFile, ScorePrinting, score_beside
from score.plain_text import file_stem
from score.plan.from_group import group_concert, group_minutes, group_rehearsals
from score.plan.plan_material import material
from score.plan.plan_of_piece import plan_of_chunks, write_plan
from score.progress import ReportProgress
from score.reading.reading_result import Reading
from score.reading.score_summary import piece_summary
from score.setup.setup_check import check
from score.setup.setup_texts import write_setup
from score.writing import write_atomically


@dataclass(frozen=True, slots=True)
class Prepared:
    """What was written.

    Attributes:
        folder: where everything is.
        parts: the players' parts.
        summary: what the score holds, as text.
        cues: every cue and why it is there, as text.
        chunks: where the score divides and what each chunk asks, as text.
        plan: the plan's files where the group's file gives rehearsals and a concert; else none.
        setup: what the set-up check found, and what to carry.
        division: the chunks.
        score: the score for all players, or why there is none.
    """

    folder: Path
    parts: tuple[PartFiles, ...]
    summary: Path
    cues: Path
    chunks: Path
    plan: tuple[Path, ...] = ()
    setup: tuple[Path, ...] = ()
    division: tuple[Chunk, ...] = ()
    score: ScoreFile | str = ""


def prepare(
    reading: Reading, group: Group, folder: Path, printing: PartsPrinting, progress: ReportProgress, now: datetime
) -> Prepared:
    """Write the parts, the cues with their reasons, the chunks, the plan, and the summary of the score.

    Args:
        reading: the score.
        group: the group's file.
        folder: where to.
        printing: the parts, which are being made by workers with one for the score.
        progress: told how far it is.
        now: today is the first day of own practice; with a zone.

    Raises:
        InbreathError: a player, a wish of the group or the folder does not fit.
    """
    edits = chunk_edits(group, reading.piece)
    chunks = divide(reading.piece, edits=edits)
    score = score_beside(printing, reading, group, ScoreOptions(printing.options.pages.paper), chunks)
    # All that no part is needed for is done while they are engraved.
    texts = _write_texts(reading, group, chunks, edits, folder, now)
    parts = printing.write(progress)
    cues = _write_cues(reading, parts, folder)
    return Prepared(folder, parts, **texts._asdict(), cues=cues, division=chunks, score=_printed(score, folder))


class _Texts(NamedTuple):
    """Files that need no part."""

    summary: Path
    chunks: Path
    plan: tuple[Path, ...]
    setup: tuple[Path, ...]


def _write_texts(
    reading: Reading, group: Group, chunks: tuple[Chunk, ...], edits: ChunkEdits, folder: Path, now: datetime
) -> _Texts:
    piece, stem = reading.piece, file_stem(reading.source.path)
    report, asks = check(piece, group), demands(piece, chunks, edits)
    return _Texts(
        _text(folder / f"{stem}-score.txt", piece_summary(piece)),
        _text(folder / f"{stem}-chunks.txt", chunks_text(piece, chunks, asks)),
        _write_plan(reading, group, chunks, asks, folder, now),
        setup=write_setup(piece, report, folder, stem),
    )


def _write_cues(reading: Reading, parts: Sequence[PartFiles], folder: Path) -> Path:
    reasons = "\n\n".join(explain_text(reading.piece, part.sheet) for part in parts)
    return _text(folder / f"{file_stem(reading.source.path)}-cues.txt", reasons)


def _text(path: Path, text: str) -> Path:
    return write_atomically(path, f"{text}\n".encode())


def _printed(printing: ScorePrinting, folder: Path) -> ScoreFile | str:
    """The score for all; why there is none where the engraver makes nothing of it, for the parts are there."""
    try:
        return printing.write(folder)
    except WritingError:
        raise
    except InbreathError as error:
        return error.line


def prepare_tracks(
    reading: Reading,
    group: Group,
    chunks: Sequence[Chunk],
    folder: Path,
    players: Sequence[int],
    progress: ReportProgress,
) -> tuple[Path, ...]:
    """Practice tracks of these chunks for these players, compressed, at the written tempo with a click.

    Raises:
        InbreathError: a wish of the group or the folder does not fit.
    """
    from score.activity.from_group import group_breaths
    from score.playback.tracks import TrackOptions, chunk_passages, write_tracks
    from score.time.from_group import pulse_options

    piece = reading.piece
    passages = chunk_passages(piece, chunks)
    pulse, breaths = pulse_options(group, piece), group_breaths(group, piece)
    files: list[Path] = []
    for number in players or tuple(player.number for player in piece.players):
        options = TrackOptions(number, kinds=("mp3",), pulse=pulse, breaths=breaths)
        files += write_tracks(piece, passages, folder, file_stem(reading.source.path), options, progress)
    return tuple(files)


def _write_plan(
    reading: Reading, group: Group, chunks: tuple[Chunk, ...], asks: Sequence[ChunkDemands], folder: Path, now: datetime
) -> tuple[Path, ...]:
    rehearsals, concert = group_rehearsals(group), group_concert(group)
    if not rehearsals or concert is None:
        return ()
    materials = material(reading.piece, chunks, asks)
    plan = plan_of_chunks(
        reading.piece, chunks, materials, rehearsals, concert, now.date(), minutes_a_day=group_minutes(group)
    )
    return write_plan(plan, reading.piece, folder, file_stem(reading.source.path), now)
