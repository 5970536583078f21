"""The best calendar in some seconds, with how much better it could be at the most.

First every piece for itself in blocks that go round; then the blocks shared out as if everything could be cut, which
says nearly all, and better (`block_search`), and every piece for itself within them; then all of it at once, begun from
the better of the two.
"""

from collections.abc import Callable, Sequence
from queue import Empty, SimpleQueue
from threading import Thread
from time import monotonic
from typing import NamedTuple

from score.concert.block_search import BlockSearch
from score.concert.block_shares import Blocks, BlockShare
from score.concert.evening_blocks import EveningBlocks, cut_evenings
from score.concert.programme import Programme
from score.concert.programme_choice import ProgrammeChoice, choice_worth, has_run, minutes_of
from score.concert.programme_model import PieceColumns, ProgrammeModel
from score.integer_program import IntegerProgram, Solved

SECONDS, GAP = 10.0, 0.002
_TELL = 0.2
"""Seconds between two reports while the solver works."""
_SEARCH_SHARE, _PIECE_SHARE = 0.3, 0.03
"""Shares of the time until the blocks are shared out, and for each piece within its own."""


class SolvedProgramme(NamedTuple):
    """What came out.

    Attributes:
        cuts: the rehearsals' blocks.
        choice: the calendar.
        worth: of it.
        bound: none can be worth more; infinite where the seconds were too few to say.
        by_piece: what planning piece by piece is worth.
    """

    cuts: tuple[EveningBlocks, ...]
    choice: ProgrammeChoice
    worth: float
    bound: float
    by_piece: float

    @property
    def gap(self) -> float:
        """By which share of its worth the calendar could be better at the most."""
        return max(0.0, self.bound - self.worth) / self.worth if self.worth > 0 else 0.0


def solve_programme(
    programme: Programme, seconds: float = SECONDS, progress: Callable[[float], None] | None = None, gap: float = GAP
) -> SolvedProgramme:
    """The best calendar of a programme, or the best in time.

    Args:
        programme: the concert.
        seconds: at the most, or a little more.
        progress: told the share of the seconds that has passed, between steps.
        gap: share of the worth that may be left before the seconds are over.
    """
    begun = monotonic()

    def left() -> float:
        passed = monotonic() - begun
        if progress is not None:
            progress(min(1.0, passed / seconds))
        return seconds - passed

    cuts = cut_evenings(programme)
    model = ProgrammeModel(programme, cuts)
    turns = _in_turn(programme, model)
    by_piece = _by_piece(programme, cuts, turns, seconds)
    first = choice_worth(programme, cuts, by_piece)
    shared, most = _as_if_cut(model, seconds)
    search = BlockSearch(programme, cuts, model.shares)
    blocks = search.search(shared or turns, lambda: left() - (1 - _SEARCH_SHARE) * seconds)
    second = _by_piece(programme, cuts, blocks, seconds)
    start = max((by_piece, second), key=lambda choice: choice_worth(programme, cuts, choice))
    time_left, values = left(), model.values(start)
    last = _watched(lambda: model.program.solve(time_left, gap, values), left)
    ends = (start, model.choice(last.values)) if last.values else (start,)
    best = max(ends, key=lambda choice: choice_worth(programme, cuts, choice))
    return SolvedProgramme(cuts, best, choice_worth(programme, cuts, best), bound=min(most, last.bound), by_piece=first)


def _watched(solve: Callable[[], Solved], left: Callable[[], float]) -> Solved:
    """The solver beside this thread, which goes on saying how far it is and can be stopped meanwhile."""
    answers: SimpleQueue[Solved | BaseException] = SimpleQueue()

    def work() -> None:
        try:
            answers.put(solve())
        except BaseException as error:
            answers.put(error)

    # A daemon: whoever stops waiting need not wait for the solver.
    Thread(target=work, daemon=True).start()
    while True:
        try:
            answer = answers.get(timeout=_TELL)
        except Empty:
            left()
            continue
        if isinstance(answer, BaseException):
            raise answer
        return answer


def _by_piece(
    programme: Programme, cuts: Sequence[EveningBlocks], blocks: tuple[Blocks, ...], seconds: float
) -> ProgrammeChoice:
    """Every piece for itself within its blocks."""
    visits = []
    runs = [has_run(cuts, day) for day in range(len(cuts))]
    for piece in range(len(programme.pieces)):
        program = IntegerProgram()
        columns = PieceColumns(program, programme, piece, runs)
        columns.within(minutes_of(programme, cuts, blocks, piece))
        solved = program.solve(seconds * _PIECE_SHARE, GAP)
        # Without an answer nothing but what must be.
        visits.append(columns.visits(solved.values or program.least))
    return ProgrammeChoice(blocks, tuple(visits))


def _as_if_cut(model: ProgrammeModel, seconds: float) -> tuple[tuple[Blocks, ...], float]:
    """Each rehearsal as most of it would be shared out if visits and blocks could be cut, and what that is worth."""
    solved = model.program.solve(seconds * _SEARCH_SHARE, GAP, cut=True)
    return model.blocks(solved.values) if solved.values else (), solved.bound


def _in_turn(programme: Programme, model: ProgrammeModel) -> tuple[Blocks, ...]:
    """Blocks that go round: each rehearsal goes on with the piece after the last one's."""
    following, blocks = 0, []
    for shares, cut in zip(model.shares, model.cuts, strict=True):
        count = len(programme.pieces)
        wanted = [(following + index) % count for index in range(cut.number)]
        share = min(shares, key=lambda each: (_unlike(each, wanted), each.blocks.count(None), -each.worth))
        following = (following + cut.number) % count
        blocks.append(share.blocks)
    return tuple(blocks)


def _unlike(share: BlockShare, wanted: Sequence[int]) -> int:
    """How many blocks a way of sharing gives to others than wanted."""
    pieces = {*wanted, *(p for p in share.blocks if p is not None)}
    return sum(abs(share.blocks.count(piece) - wanted.count(piece)) for piece in pieces)
