"""Which task of which piece in which rehearsal, and who has which block: what is allowed, and what it is worth.

The rules of a piece are those of `score.plan.rehearsal_choice`; over them:

- a piece is worked on only in its run of blocks, and no longer than these less the time to set up;
- each piece comes up in as many rehearsals as the concert's file asks, or there are, the run of the
  programme counted; a rehearsal too few takes `SHORT`;
- where the last rehearsal has a run of the programme, every whole is in it, whatever its piece's blocks hold.
"""

from collections.abc import Sequence
from typing import NamedTuple

from score.concert.block_shares import Blocks, is_allowed, piece_minutes, share_worth
from score.concert.evening_blocks import EveningBlocks
from score.concert.programme import Programme
from score.plan.plan_inputs import PlanInputs, Rehearsal
from score.plan.plan_tasks import PlanTask
from score.plan.rehearsal_choice import can_do, worth

SHORT = 2.0
"""What each rehearsal takes from a plan's worth by which a piece comes up too seldom; no unit, a heuristic."""

Visits = tuple[tuple[int, ...], ...]
"""For each rehearsal, positions of a piece's tasks, ascending."""


class ProgrammeChoice(NamedTuple):
    """A choice: for each rehearsal the pieces of its blocks, for each piece its visits."""

    blocks: tuple[Blocks, ...]
    visits: tuple[Visits, ...]


def choice_worth(programme: Programme, cuts: Sequence[EveningBlocks], choice: ProgrammeChoice) -> float:
    """What a choice is worth: the objective that is maximised."""
    shares = zip(programme.evenings, choice.blocks, strict=True)
    total = sum(share_worth(programme, evening, blocks) for evening, blocks in shares)
    wanted = wanted_visits(programme, cuts)
    for piece, visits in enumerate(choice.visits):
        total += worth(programme.pieces[piece].tasks, piece_inputs(programme, piece), visits)
        total -= SHORT * max(0, wanted - visits_of(choice, cuts, piece))
    return total


def choice_allowed(programme: Programme, cuts: Sequence[EveningBlocks], choice: ProgrammeChoice) -> bool:
    """Whether a choice keeps every rule."""
    for evening, cut, blocks in zip(programme.evenings, cuts, choice.blocks, strict=True):
        if len(blocks) != cut.number or not is_allowed(programme, evening, cut, blocks):
            return False
    return all(
        visits_allowed(programme, cuts, piece, minutes_of(programme, cuts, choice.blocks, piece), visits)
        for piece, visits in enumerate(choice.visits)
    )


def visits_allowed(
    programme: Programme, cuts: Sequence[EveningBlocks], piece: int, minutes: Sequence[int], visits: Visits
) -> bool:
    """Whether a piece's visits keep its rules within its minutes in each rehearsal."""
    tasks, rehearsals = programme.pieces[piece].tasks, piece_inputs(programme, piece).rehearsals
    done: set[int] = set()
    for day, (rehearsal, here) in enumerate(zip(rehearsals, visits, strict=True)):
        run = len(tasks) - 1 if has_run(cuts, day) else None
        if run is not None and run not in here:
            return False
        if sum(tasks[position].minutes for position in here if position != run) > minutes[day]:
            return False
        done |= set(here)
        if not all(_can_visit(tasks[p], rehearsal, done) for p in here if p != run):
            return False
    counts = [sum(position in here for here in visits) for position in range(len(tasks))]
    return all(count <= len(task.worth) for count, task in zip(counts, tasks, strict=True))


def minutes_of(
    programme: Programme, cuts: Sequence[EveningBlocks], blocks: Sequence[Blocks], piece: int
) -> tuple[int, ...]:
    """Minutes to work on a piece in each rehearsal."""
    pairs = zip(cuts, blocks, strict=True)
    return tuple(dict(piece_minutes(programme, cut, here)).get(piece, 0) for cut, here in pairs)


def has_run(cuts: Sequence[EveningBlocks], day: int) -> bool:
    """Whether a rehearsal has the run of the programme."""
    return cuts[day].run is not None


def wanted_visits(programme: Programme, cuts: Sequence[EveningBlocks]) -> int:
    """In how many rehearsals each piece is to have a block; the run of the programme is a visit to all of them."""
    runs = sum(cut.run is not None for cut in cuts)
    return max(0, min(programme.visits, len(programme.evenings)) - runs)


def visits_of(choice: ProgrammeChoice, cuts: Sequence[EveningBlocks], piece: int) -> int:
    """In how many rehearsals a piece has a block, but for the one that runs it anyway."""
    return sum(piece in blocks for blocks, cut in zip(choice.blocks, cuts, strict=True) if cut.run is None)


def piece_inputs(programme: Programme, piece: int) -> PlanInputs:
    """One piece as `score.plan` sees it, its players being people."""
    return PlanInputs(
        programme.pieces[piece].name,
        programme.pieces[piece].chunks,
        tuple(evening.rehearsal for evening in programme.evenings),
        concert=programme.concert,
        today=programme.today,
    )


def _can_visit(task: PlanTask, rehearsal: Rehearsal, done: set[int]) -> bool:
    return can_do(task, rehearsal) and set(task.after) <= done
