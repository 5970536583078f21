"""The lines of one rehearsal with their times, and when it calls whom."""

from collections.abc import Iterator, Sequence
from math import ceil
from typing import NamedTuple

from score.concert.block_shares import Blocks, blocks_in_a_row, called_blocks, idle_between
from score.concert.evening_blocks import EveningBlocks, change_minutes
from score.concert.programme import ConcertEvening, Programme
from score.concert.programme_choice import has_run, piece_inputs
from score.concert.programme_solving import SolvedProgramme
from score.plan.plan import item_name
from score.plan.plan_inputs import PlanInputs, Rehearsal
from score.plan.plan_tasks import PlanTask, TaskKind
from score.plan.rehearsal_order import Item, day_order, visit_reason

SET_UP, CHANGE = "set-up", "change"
"""Kinds of lines beside those of `TaskKind`."""


class Line(NamedTuple):
    """One line of a rehearsal.

    Attributes:
        begins: minutes after its start.
        minutes: how long.
        piece: position of the piece, None for a break.
        kind: `SET_UP`, `CHANGE` or what `TaskKind` says.
        what: in words, without the piece's name.
        reason: why, in words.
    """

    begins: int
    minutes: int
    piece: int | None
    kind: str
    what: str
    reason: str = ""


class Call(NamedTuple):
    """When somebody has to be there: minutes after the start, and blocks of waiting in between."""

    person: int
    begins: int
    ends: int
    idle: int


class LinesOfEvening:
    """Makes the lines of rehearsal after rehearsal, in order of time: what came up before is remembered."""

    def __init__(self, programme: Programme, solved: SolvedProgramme) -> None:
        self.programme, self.solved = programme, solved
        self.inputs = tuple(piece_inputs(programme, piece) for piece in range(len(programme.pieces)))
        self._before: dict[tuple[int, int], int] = {}

    def lines(self, day: int) -> tuple[Line, ...]:
        """A rehearsal's lines in order."""
        cut, blocks = self.solved.cuts[day], self.solved.choice.blocks[day]
        lines: list[Line] = []
        inside = set()
        for piece, first, last in blocks_in_a_row(blocks):
            begins, ends = cut.begins[first], cut.ends[last]
            within = [pause for pause in cut.breaks if begins < pause[0] < ends]
            inside |= set(within)
            lines += self._worked(day, piece, begins, within)
        lines += [_pause(*pause) for pause in cut.breaks if pause not in inside]
        lines += _run(self.programme, cut)
        for piece, visits in enumerate(self.solved.choice.visits):
            for position in visits[day]:
                self._before[piece, position] = self._before.get((piece, position), 0) + 1
        return tuple(sorted(lines, key=lambda line: line.begins))

    def _worked(self, day: int, piece: int, begins: int, pauses: list[tuple[int, int]]) -> Iterator[Line]:
        """A piece's lines in its run of blocks; a break comes between the two tasks nearest to its time."""
        clock, waiting = begins, list(pauses)
        set_up = ceil(self.programme.set_up)
        if set_up:
            yield Line(clock, set_up, piece, kind=SET_UP, what="set up")
            clock += set_up
        for position in self._order(day, piece):
            task = self.programme.pieces[piece].tasks[position]
            while waiting and clock + task.minutes / 2 > waiting[0][0]:
                minutes = waiting.pop(0)[1]
                yield _pause(clock, minutes)
                clock += minutes
            what, reason = self._words(day, piece, position)
            yield Line(clock, task.minutes, piece, kind=task.kind.value, what=what, reason=reason)
            clock += task.minutes
        for at, minutes in waiting:
            yield _pause(max(clock, at), minutes)
            clock = max(clock, at) + minutes

    def _order(self, day: int, piece: int) -> list[int]:
        entry = self.programme.pieces[piece]
        here = self.solved.choice.visits[piece][day]
        if has_run(self.solved.cuts, day):
            here = tuple(position for position in here if position != len(entry.tasks) - 1)
        return day_order(entry.tasks, self.inputs[piece], here, day)

    def _words(self, day: int, piece: int, position: int) -> tuple[str, str]:
        """What is done, and why."""
        inputs, task = self.inputs[piece], self.programme.pieces[piece].tasks[position]
        evening, last = self.programme.evenings[day], day == len(self.programme.evenings) - 1
        everybody = Rehearsal(evening.start, evening.minutes)
        reason = visit_reason(task, inputs, everybody, self._before.get((piece, position), 0), last)
        missing = [self.programme.people[person] for person in sorted(task.needed & evening.missing)]
        return task_name(inputs, task), reason + (f", without {', '.join(missing)}" if missing else "")


def task_name(inputs: PlanInputs, task: PlanTask) -> str:
    """What is rehearsed, in words."""
    return item_name(inputs, Item(task.kind, task.first, task.last, minutes=task.minutes, begins=0, reason=""))


def calls_of(
    programme: Programme, evening: ConcertEvening, cut: EveningBlocks, blocks: Blocks, lines: Sequence[Line]
) -> tuple[Call, ...]:
    """Who has to be there from when to when; who has nothing left to do need not wait for the end of the block."""
    calls = []
    for person in range(len(programme.people)):
        called = called_blocks(programme, evening, blocks, person)
        begins = [cut.begins[index] for index in called[:1]]
        mine = [line for line in lines if line.piece is not None and person in programme.pieces[line.piece].people]
        ends = [max((line.begins + line.minutes for line in mine), default=cut.ends[index]) for index in called[-1:]]
        if cut.run is not None and any(person in piece.people for piece in programme.pieces):
            begins, ends = [*begins, cut.run], [cut.run + cut.run_minutes]
        if begins:
            calls.append(Call(person, begins[0], ends[0], idle=idle_between(called)))
    return tuple(calls)


def _pause(begins: int, minutes: int) -> Line:
    return Line(begins, minutes, None, kind=TaskKind.BREAK.value, what="break", reason="rest hands and ears")


def _run(programme: Programme, cut: EveningBlocks) -> Iterator[Line]:
    """The whole programme in the order of the concert, with its stage changes."""
    if cut.run is None:
        return
    clock, changes = cut.run, (*change_minutes(programme), 0)
    for index, piece in enumerate(programme.pieces):
        minutes = piece.tasks[-1].minutes
        kind, reason = TaskKind.WHOLE.value, "the run: play through, as in the concert"
        yield Line(clock, minutes, index, kind=kind, what="the whole", reason=reason)
        clock += minutes
        if index + 1 < len(programme.pieces) and changes[index]:
            what, reason = "change the stage", "as in the concert"
            yield Line(clock, changes[index], index + 1, kind=CHANGE, what=what, reason=reason)
            clock += changes[index]
