"""From a piece to a plan and its files in one call."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from score.chunks.chunk import Chunk
from score.chunks.demands import demands
from score.chunks.division import divide
from score.chunks.from_group import chunk_edits
from score.group.group_file import Group
from score.piece import Piece
from score.plan.plan import Plan, make_plan
from score.plan.plan_inputs import Material, Rehearsal
from score.plan.plan_material import inputs_of, material
from score.writing import write_atomically


@dataclass(frozen=True, slots=True)
class MadePlan:
    """A plan and the chunks it counts.

    Attributes:
        plan: the plan.
        chunks: the piece's chunks, in order.
    """

    plan: Plan
    chunks: tuple[Chunk, ...]


def plan_of(
    piece: Piece,
    group: Group,
    rehearsals: Sequence[Rehearsal],
    concert: date,
    today: date,
    minutes_a_day: Sequence[tuple[int, int]] = (),
    ready: Mapping[int, float] | None = None,
    by_heart: Sequence[tuple[int, int]] = (),
) -> MadePlan:
    """The best plan for a piece.

    Args:
        piece: the piece.
        group: the group's file, for chunks and leads.
        rehearsals: in any order.
        concert: its day.
        today: the first day of own practice.
        minutes_a_day: (player, minutes).
        ready: chunk index to how far the group is with it, 0 to 1.
        by_heart: (player, minutes a day that go to what is learnt by heart).

    Raises:
        InbreathError: dates, minutes or wishes that cannot be.
    """
    edits = chunk_edits(group, piece)
    chunks = divide(piece, edits=edits)
    materials = material(piece, chunks, demands(piece, chunks, edits), ready)
    return plan_of_chunks(piece, chunks, materials, rehearsals, concert, today, minutes_a_day, by_heart)


def plan_of_chunks(
    piece: Piece,
    chunks: tuple[Chunk, ...],
    materials: Sequence[Material],
    rehearsals: Sequence[Rehearsal],
    concert: date,
    today: date,
    minutes_a_day: Sequence[tuple[int, int]] = (),
    by_heart: Sequence[tuple[int, int]] = (),
) -> MadePlan:
    """`plan_of` a piece that is divided already.

    Args:
        piece: the piece.
        chunks: its chunks.
        materials: what each chunk asks of whom.
        rehearsals: in any order.
        concert: its day.
        today: the first day of own practice.
        minutes_a_day: (player, minutes).
        by_heart: (player, minutes a day that go to what is learnt by heart).

    Raises:
        InbreathError: dates or minutes that cannot be.
    """
    inputs = inputs_of(piece, materials, rehearsals, concert, today, minutes_a_day, by_heart)
    return MadePlan(make_plan(inputs), chunks)


def write_plan(planned: MadePlan, piece: Piece, folder: Path, stem: str, stamp: datetime) -> tuple[Path, ...]:
    """Write the plan as Markdown, CSV, iCalendar and a PDF sheet.

    Args:
        planned: the plan and its chunks.
        piece: the piece.
        folder: where to.
        stem: how the files' names begin.
        stamp: when, with a zone.

    Raises:
        WritingError: the folder cannot be written.
    """
    from score.plan.calendar_file import plan_calendar
    from score.plan.plan_texts import plan_csv, plan_markdown
    from score.plan.sheet import plan_sheet

    return (
        write_atomically(folder / f"{stem}-plan.md", plan_markdown(planned.plan).encode()),
        write_atomically(folder / f"{stem}-plan.csv", plan_csv(planned.plan).encode()),
        write_atomically(folder / f"{stem}-plan.ics", plan_calendar(planned.plan, stamp)),
        write_atomically(folder / f"{stem}-plan.pdf", plan_sheet(planned.plan, piece, planned.chunks)),
    )
