"""The calendar of a concert: every rehearsal's lines with clock times, whom they call, and everybody's own days."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from score.concert.block_shares import Blocks
from score.concert.evening_blocks import EveningBlocks, run_minutes
from score.concert.evening_lines import Call, Line, LinesOfEvening, calls_of, task_name
from score.concert.programme import ConcertEvening, Programme
from score.concert.programme_choice import has_run, piece_inputs, visits_of, wanted_visits
from score.concert.programme_own import merged_own_work
from score.concert.programme_solving import SECONDS, SolvedProgramme, solve_programme
from score.errors import RequestError
from score.plan.own_work import OwnWork
from score.progress import ReportProgress


@dataclass(frozen=True, slots=True)
class EveningPlan:
    """A rehearsal as it is planned.

    Attributes:
        evening: the rehearsal.
        cut: its blocks.
        blocks: the piece of each.
        lines: in order.
        calls: of everybody who is wanted.
    """

    evening: ConcertEvening
    cut: EveningBlocks
    blocks: Blocks
    lines: tuple[Line, ...]
    calls: tuple[Call, ...]


@dataclass(frozen=True, slots=True)
class ProgrammePlan:
    """The whole calendar.

    Attributes:
        programme: what it was made from.
        solved: the choice behind it, its worth and its bound.
        evenings: the rehearsals.
        own: each person's own work; chunks are counted through all pieces, see `chunk_of`.
        left_out: what found no time, in words.
    """

    programme: Programme
    solved: SolvedProgramme
    evenings: tuple[EveningPlan, ...]
    own: tuple[OwnWork, ...]
    left_out: tuple[str, ...]

    @property
    def idle_blocks(self) -> int:
        """Blocks of waiting between two others, summed over rehearsals and people."""
        return sum(call.idle for evening in self.evenings for call in evening.calls)

    @property
    def set_ups(self) -> int:
        """How often a piece is set up."""
        return sum(len({piece for piece in evening.blocks if piece is not None}) for evening in self.evenings)

    def chunk_of(self, position: int) -> tuple[int, int]:
        """(piece, position in it) of a chunk counted through all pieces."""
        for piece, entry in enumerate(self.programme.pieces):
            if position < len(entry.chunks):
                return piece, position
            position -= len(entry.chunks)
        raise IndexError(position)


def plan_programme(
    programme: Programme, seconds: float = SECONDS, progress: ReportProgress | None = None
) -> ProgrammePlan:
    """The best calendar in some seconds.

    Raises:
        RequestError: there is nothing to plan.
    """
    if not programme.evenings:
        raise RequestError("No rehearsals", "a plan needs one or more", "add one to the concert's file")
    if not programme.pieces:
        raise RequestError("No pieces", "a concert needs one or more", "add one to the concert's file")
    report = (lambda share: progress("planning", share)) if progress is not None else None
    solved = solve_programme(programme, seconds, report)
    own = merged_own_work(programme, solved.choice)
    maker = LinesOfEvening(programme, solved)
    evenings = tuple(_evening(programme, solved, day, maker.lines(day)) for day in range(len(solved.cuts)))
    plan = ProgrammePlan(programme, solved, evenings, own=own, left_out=())
    left = (*_no_run(programme, solved), *_seldom(programme, solved), *_left_out(programme, solved), *_no_day(plan))
    return replace(plan, left_out=left)


def _evening(programme: Programme, solved: SolvedProgramme, day: int, lines: tuple[Line, ...]) -> EveningPlan:
    evening, cut, blocks = programme.evenings[day], solved.cuts[day], solved.choice.blocks[day]
    return EveningPlan(evening, cut, blocks, lines=lines, calls=calls_of(programme, evening, cut, blocks, lines))


def _no_run(programme: Programme, solved: SolvedProgramme) -> Iterator[str]:
    if not has_run(solved.cuts, len(solved.cuts) - 1):
        last, length = programme.evenings[-1], run_minutes(programme)
        why = f"it has {last.minutes} minutes" if length > last.minutes else "not everybody is there for all of it"
        yield f"a run of the programme at the last rehearsal: it takes {length} minutes; {why}"


def _seldom(programme: Programme, solved: SolvedProgramme) -> Iterator[str]:
    wanted, runs = wanted_visits(programme, solved.cuts), sum(cut.run is not None for cut in solved.cuts)
    for piece, entry in enumerate(programme.pieces):
        count = visits_of(solved.choice, solved.cuts, piece)
        if count < wanted:
            yield f"{entry.name} in {wanted + runs} rehearsals: it comes up in {count + runs}"


def _left_out(programme: Programme, solved: SolvedProgramme) -> Iterator[str]:
    for piece, entry in enumerate(programme.pieces):
        seen = {position for here in solved.choice.visits[piece] for position in here}
        for position, task in enumerate(entry.tasks):
            if position not in seen:
                name = task_name(piece_inputs(programme, piece), task)
                yield f"{entry.name}, {name}: no time for its {task.minutes} minutes"


def _no_day(plan: ProgrammePlan) -> Iterator[str]:
    for work in plan.own:
        for chunk, minutes in work.left:
            name = plan.programme.people[work.player]
            yield f"{name}: no day left for {minutes} minutes of {chunk_name(plan, chunk)}"


def chunk_name(plan: ProgrammePlan, chunk: int) -> str:
    """A chunk with its piece, in words."""
    piece, position = plan.chunk_of(chunk)
    entry = plan.programme.pieces[piece]
    return f"{entry.name} {entry.chunks[position].name}"
