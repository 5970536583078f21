"""The calendar as an integer program: one way of sharing out the blocks a rehearsal, and visits within them.

Columns: a way of sharing a rehearsal (see `block_shares`), a visit (piece, task, rehearsal), a counted visit, two
visits running, rehearsals too few. Only the first two have to be whole: worth falls from visit to visit, so the rest
follows. Sharing a whole rehearsal at a time keeps waiting and setting up out of the rows, where halves of them would
cost nothing.
"""

from collections.abc import Mapping, Sequence

from score.concert.block_shares import Blocks, BlockShare, block_shares
from score.concert.evening_blocks import EveningBlocks
from score.concert.programme import Programme
from score.concert.programme_choice import (
    SHORT,
    ProgrammeChoice,
    Visits,
    has_run,
    piece_inputs,
    visits_of,
    wanted_visits,
)
from score.integer_program import IntegerProgram
from score.plan.plan_inputs import PlanInputs
from score.plan.plan_tasks import PlanTask, TaskKind
from score.plan.rehearsal_choice import IN_A_ROW, can_do, visit_worth

Room = Sequence[Mapping[int, float]]
"""For each rehearsal, columns to the minutes each of them gives a piece."""


class PieceColumns:
    """The columns and rows of one piece's visits.

    Args:
        program: to add them to.
        programme: the concert.
        piece: which.
        runs: for each rehearsal, whether it has the run of the programme.
    """

    def __init__(self, program: IntegerProgram, programme: Programme, piece: int, runs: Sequence[bool]) -> None:
        self.program, self.tasks = program, programme.pieces[piece].tasks
        self.inputs: PlanInputs = piece_inputs(programme, piece)
        self.runs, self.days = runs, len(programme.evenings)
        self.counted: dict[tuple[int, int], int] = {}
        self.running: dict[tuple[int, int], int] = {}
        self.visit = {
            (position, day): self._visit(task, position, day)
            for position, task in enumerate(self.tasks)
            for day in range(self.days)
        }
        for position, task in enumerate(self.tasks):
            self._count(position, task)
            self._follow(position, task)
            if task.kind is TaskKind.CHUNK and self.days > 2:
                self._running(position)

    def within(self, minutes: Sequence[int]) -> tuple[int, ...]:
        """No more in a rehearsal than these minutes; the rows that say so."""
        return tuple(self.program.row(self._taken(day), 0, minutes[day]) for day in range(self.days))

    def within_columns(self, room: Room) -> None:
        """No more in a rehearsal than what columns give; a task only with those that give enough for it."""
        for day in range(self.days):
            self.program.row({**self._taken(day), **{c: -minutes for c, minutes in room[day].items()}}, -1e6, 0)
            for position, task in enumerate(self.tasks):
                if not self._is_run(position, day) and can_do(task, self.inputs.rehearsals[day]):
                    enough = {c: -1.0 for c, minutes in room[day].items() if minutes >= task.minutes}
                    self.program.row({self.visit[position, day]: 1.0, **enough}, -1e6, 0)

    def visits(self, values: Sequence[float]) -> Visits:
        """The visits that values mean."""
        return tuple(
            tuple(p for p in range(len(self.tasks)) if values[self.visit[p, day]] > 0.5) for day in range(self.days)
        )

    def values(self, visits: Visits) -> dict[int, float]:
        """The values of all columns that mean these visits."""
        values = {column: float(position in visits[day]) for (position, day), column in self.visit.items()}
        counts = {position: sum(position in here for here in visits) for position in range(len(self.tasks))}
        values |= {column: float(number < counts[position]) for (position, number), column in self.counted.items()}
        both = {(p, day): p in visits[day] and p in visits[day + 1] for p, day in self.running}
        return values | {column: float(both[key]) for key, column in self.running.items()}

    def _visit(self, task: PlanTask, position: int, day: int) -> int:
        run = self._is_run(position, day)
        most = float(run or can_do(task, self.inputs.rehearsals[day]))
        return self.program.column(visit_worth(task, day, self.inputs), float(run), most)

    def _is_run(self, position: int, day: int) -> bool:
        return self.runs[day] and position == len(self.tasks) - 1

    def _taken(self, day: int) -> dict[int, float]:
        return {
            self.visit[position, day]: float(task.minutes)
            for position, task in enumerate(self.tasks)
            if not self._is_run(position, day)
        }

    def _count(self, position: int, task: PlanTask) -> None:
        row = {self.visit[position, day]: 1.0 for day in range(self.days)}
        for number, worth in enumerate(task.worth):
            self.counted[position, number] = self.program.column(worth, 0.0, 1.0, False)
            row[self.counted[position, number]] = -1.0
        self.program.row(row, 0, 0)

    def _follow(self, position: int, task: PlanTask) -> None:
        for day in range(self.days):
            for before in task.after if not self._is_run(position, day) else ():
                row = {self.visit[before, earlier]: 1.0 for earlier in range(day + 1)}
                self.program.row({**row, self.visit[position, day]: -1.0}, 0, float(self.days))

    def _running(self, position: int) -> None:
        for day in range(self.days - 1):
            both = self.running[position, day] = self.program.column(-IN_A_ROW, 0.0, 1.0, False)
            pair = self.visit[position, day], self.visit[position, day + 1]
            self.program.row({pair[0]: 1.0, pair[1]: 1.0, both: -1.0}, -1, 1)


class ProgrammeModel:
    """The whole calendar.

    Args:
        programme: the concert.
        cuts: its rehearsals' blocks.
    """

    def __init__(self, programme: Programme, cuts: Sequence[EveningBlocks]) -> None:
        self.programme, self.cuts = programme, cuts
        self.program = IntegerProgram()
        pairs = zip(programme.evenings, cuts, strict=True)
        self.shares = tuple(block_shares(programme, evening, cut) for evening, cut in pairs)
        self.share = tuple(
            tuple(self.program.column(share.worth, 0.0, 1.0) for share in shares) for shares in self.shares
        )
        for columns in self.share:
            self.program.row(dict.fromkeys(columns, 1.0), 1, 1)
        runs = [has_run(cuts, day) for day in range(len(cuts))]
        self.pieces = tuple(
            PieceColumns(self.program, programme, piece, runs) for piece in range(len(programme.pieces))
        )
        self.too_few = tuple(self._rooms(piece, columns) for piece, columns in enumerate(self.pieces))

    def choice(self, values: Sequence[float]) -> ProgrammeChoice:
        """What values mean."""
        return ProgrammeChoice(self.blocks(values), tuple(piece.visits(values) for piece in self.pieces))

    def blocks(self, values: Sequence[float]) -> tuple[Blocks, ...]:
        """How values share out the blocks."""
        return tuple(
            max(zip(columns, shares, strict=True), key=lambda pair: values[pair[0]])[1].blocks
            for columns, shares in zip(self.share, self.shares, strict=True)
        )

    def values(self, choice: ProgrammeChoice) -> list[float]:
        """The values of all columns that mean a choice, its blocks in the best order of each rehearsal."""
        values = [0.0] * len(self.program.worths)
        for columns, shares, blocks in zip(self.share, self.shares, choice.blocks, strict=True):
            # Ways are told apart by who has how many blocks.
            wanted = sorted(map(str, blocks))
            values[columns[next(i for i, share in enumerate(shares) if sorted(map(str, share.blocks)) == wanted)]] = 1.0
        for number, (piece, visits) in enumerate(zip(self.pieces, choice.visits, strict=True)):
            for column, value in piece.values(visits).items():
                values[column] = value
            short = wanted_visits(self.programme, self.cuts) - visits_of(choice, self.cuts, number)
            values[self.too_few[number]] = float(max(0, short))
        return values

    def _rooms(self, piece: int, columns: PieceColumns) -> int:
        room = [
            {c: float(dict(s.minutes)[piece]) for c, s in zip(here, shares, strict=True) if _has(s, piece)}
            for here, shares in zip(self.share, self.shares, strict=True)
        ]
        columns.within_columns(room)
        wanted = wanted_visits(self.programme, self.cuts)
        counted = (here for here, cut in zip(room, self.cuts, strict=True) if cut.run is None)
        short = self.program.column(-SHORT, 0.0, float(wanted), False)
        self.program.row({short: 1.0, **{c: 1.0 for here in counted for c in here}}, wanted, 1e6)
        return short


def _has(share: BlockShare, piece: int) -> bool:
    return piece in share.blocks
