"""The calendar: against every possible one of small cases, against planning piece by piece, and as a clock sees it."""

import random
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from itertools import combinations, pairwise, product

import pytest

from score.concert.block_shares import SET_UP, Blocks, idle_blocks, is_allowed, share_worth
from score.concert.evening_blocks import EveningBlocks, cut_evenings
from score.concert.evening_lines import Line
from score.concert.programme import ConcertEvening, Programme
from score.concert.programme_choice import SHORT, choice_allowed, minutes_of, piece_inputs, visits_allowed
from score.concert.programme_plan import EveningPlan, plan_programme
from score.concert.programme_solving import solve_programme
from score.concert.programme_texts import call_lines
from score.errors import RequestError
from score.plan.plan_tasks import PlanTask
from score.plan.rehearsal_choice import worth
from tests.concert.drawn_programmes import drawn_programme


def _small(seed: int, minutes: int) -> Programme:
    drawn = drawn_programme(seed, pieces=2, evenings=3, people=4, chunks=(2, 2), minutes=(minutes, minutes))
    return replace(drawn, set_up=5.0, visits=2)


def _ways(programme: Programme, cuts: tuple[EveningBlocks, ...], piece: int) -> list[tuple[list[int], float]]:
    """Every set of visits that keeps a piece's rules: minutes it needs in each rehearsal, and its worth."""
    tasks = programme.pieces[piece].tasks
    every = list(range(len(tasks)))
    days = [set(here) for count in range(len(tasks) + 1) for here in combinations(every, count)]
    ways = []
    for visits in product(days, repeat=len(cuts)):
        sorted_visits = tuple(tuple(sorted(here)) for here in visits)
        if visits_allowed(programme, cuts, piece, [10_000] * len(cuts), sorted_visits):
            minutes = [_minutes(tasks, here, cut) for here, cut in zip(sorted_visits, cuts, strict=True)]
            ways.append((minutes, worth(tasks, piece_inputs(programme, piece), sorted_visits)))
    return ways


def _minutes(tasks: tuple[PlanTask, ...], here: tuple[int, ...], cut: EveningBlocks) -> int:
    return sum(tasks[p].minutes for p in here if not (cut.run is not None and p == len(tasks) - 1))


def _best(programme: Programme) -> float:
    """The worth of the best of all calendars, by trying them."""
    cuts = cut_evenings(programme)
    ways = [_ways(programme, cuts, piece) for piece in range(len(programme.pieces))]
    shared = [
        [blocks for blocks in _blocks(programme, cut) if is_allowed(programme, evening, cut, blocks)]
        for evening, cut in zip(programme.evenings, cuts, strict=True)
    ]
    within: dict[tuple[int, tuple[int, ...]], float] = {}
    best = float("-inf")
    for blocks in product(*shared):
        total = sum(share_worth(programme, e, here) for e, here in zip(programme.evenings, blocks, strict=True))
        for piece in range(len(programme.pieces)):
            minutes = minutes_of(programme, cuts, blocks, piece)
            if (piece, minutes) not in within:
                fits = [w for needs, w in ways[piece] if all(n <= m for n, m in zip(needs, minutes, strict=True))]
                within[piece, minutes] = max(fits)
            runs = sum(cut.run is not None for cut in cuts)
            there = sum(piece in here for here, cut in zip(blocks, cuts, strict=True) if cut.run is None)
            total += within[piece, minutes] - SHORT * max(0, programme.visits - runs - there)
        best = max(best, total)
    return best


def _blocks(programme: Programme, cut: EveningBlocks) -> Iterator[Blocks]:
    yield from product((None, *range(len(programme.pieces))), repeat=cut.number)


@pytest.mark.parametrize(("seed", "minutes"), [(1, 60), (4, 75)])
def test_two_pieces_in_three_rehearsals_are_planned_as_well_as_by_trying_everything(seed: int, minutes: int) -> None:
    programme = _small(seed, minutes)
    solved = solve_programme(programme, 60.0, gap=0.0)
    assert choice_allowed(programme, solved.cuts, solved.choice)
    assert solved.worth == pytest.approx(_best(programme), abs=1e-6)
    assert solved.bound == pytest.approx(solved.worth, abs=1e-3)


@pytest.mark.campaign
@pytest.mark.parametrize("seed", range(5, 13))
def test_more_small_programmes_are_planned_as_well_as_by_trying_everything(seed: int) -> None:
    programme = _small(seed, 60 + 5 * (seed % 4))
    solved = solve_programme(programme, 60.0, gap=0.0)
    assert solved.worth == pytest.approx(_best(programme), abs=1e-6)


@pytest.mark.parametrize("seed", range(3))
def test_a_calendar_is_never_worse_than_planning_piece_by_piece(seed: int) -> None:
    programme = drawn_programme(seed, pieces=3, evenings=4, people=5, chunks=(3, 5))
    solved = solve_programme(programme, 0.8)
    assert choice_allowed(programme, solved.cuts, solved.choice)
    assert solved.by_piece <= solved.worth <= solved.bound + 1e-6


def _check_lines(programme: Programme, seconds: float) -> None:
    """Lines follow each other within the rehearsal, and call only who is there for all of it."""
    plan = plan_programme(programme, seconds)
    assert choice_allowed(programme, plan.solved.cuts, plan.solved.choice)
    for evening in plan.evenings:
        clock = 0
        for line in evening.lines:
            assert line.begins >= clock
            clock = line.begins + line.minutes
            if line.piece is not None and evening.cut.run is None:
                for call in evening.calls:
                    if call.person in programme.pieces[line.piece].people:
                        assert call.begins <= line.begins
                        assert clock <= call.ends
        assert clock <= evening.evening.minutes
        _check_ends(programme, evening)
        for call in evening.calls:
            assert call.person not in evening.evening.missing
            assert evening.evening.is_there(call.person, call.begins, call.ends)


def _check_ends(programme: Programme, evening: EveningPlan) -> None:
    """Whoever is called goes when the last of what they play in is over."""
    for call in evening.calls if evening.cut.run is None else ():
        mine = [line for line in evening.lines if call.person in _people(programme, line)]
        assert call.ends == mine[-1].begins + mine[-1].minutes


def _people(programme: Programme, line: Line) -> frozenset[int]:
    return frozenset() if line.piece is None else programme.pieces[line.piece].people


@pytest.mark.parametrize("seed", range(2))
def test_lines_follow_each_other_and_call_only_who_is_there(seed: int) -> None:
    _check_lines(drawn_programme(seed + 20, pieces=4, evenings=5, people=6, chunks=(3, 6)), 0.8)


@pytest.mark.campaign
@pytest.mark.parametrize("seed", range(30))
def test_odd_programmes_are_planned_all_the_same(seed: int) -> None:
    """Rehearsals of minutes or of a whole day, setting up that takes nearly all of it, evenings without anybody."""
    chance = random.Random(seed)
    minutes = chance.choice((10, 30, 60, 90, 300)), chance.choice((12, 40, 60, 120, 400))
    drawn = drawn_programme(
        seed,
        pieces=chance.randint(1, 4),
        evenings=chance.randint(1, 5),
        people=chance.randint(2, 7),
        chunks=(1, chance.randint(1, 4)),
        minutes=minutes,
    )
    everybody = frozenset(range(len(drawn.people)))
    evenings = tuple(
        evening._replace(
            missing=everybody if chance.random() < 0.1 else evening.missing,
            leaves=tuple((person, max(0, left)) for person, left in evening.leaves),
        )
        for evening in drawn.evenings
    )
    set_up, visits = float(chance.choice((0, 3, 8, 20, 60))), chance.randint(1, 9)
    _check_lines(replace(drawn, evenings=evenings, set_up=set_up, visits=visits), 0.3)


def test_the_last_rehearsal_ends_with_the_programme_in_the_order_of_the_concert() -> None:
    programme = drawn_programme(3, pieces=4, evenings=3, people=6, chunks=(2, 3))
    plan = plan_programme(programme, 0.8)
    run = [line for line in plan.evenings[-1].lines if line.begins >= (plan.evenings[-1].cut.run or 0)]
    assert [line.piece for line in run if line.kind == "whole"] == [0, 1, 2, 3]
    # Three changes of 150 seconds: 7.5 minutes, said in whole ones.
    assert sum(line.minutes for line in run if line.kind == "change") == 8
    short = replace(programme, evenings=(*programme.evenings[:-1], programme.evenings[-1]._replace(minutes=20)))
    plan = plan_programme(short, 0.5)
    assert plan.evenings[-1].cut.run is None
    assert any("run of the programme" in line for line in plan.left_out)


def test_before_the_run_of_a_long_day_breaks_come_between_the_blocks_too() -> None:
    drawn = drawn_programme(3, pieces=3, evenings=2, people=6, chunks=(2, 3))
    programme = replace(drawn, evenings=(drawn.evenings[0], drawn.evenings[1]._replace(minutes=300)))
    cut = cut_evenings(programme)[-1]
    assert cut.run is not None
    assert sum(minutes for _, minutes in cut.breaks) == 40
    assert all(minutes <= 20 for _, minutes in cut.breaks)
    times = sorted([*zip(cut.begins, cut.ends, strict=True), *((at, at + length) for at, length in cut.breaks)])
    assert all(before[1] == after[0] for before, after in pairwise(times))
    assert times[-1][1] <= cut.run <= times[-1][1] + cut.number
    assert cut.run + cut.run_minutes == 300
    _check_lines(programme, 0.5)


def test_a_wait_between_two_blocks_is_counted_for_who_comes() -> None:
    programme = drawn_programme(0, pieces=2, evenings=1, people=4, chunks=(2, 2))
    pieces = tuple(
        replace(piece, people=people)
        for piece, people in zip(programme.pieces, (frozenset({0, 1}), frozenset({1, 2})), strict=True)
    )
    programme = replace(programme, pieces=pieces)
    evening = ConcertEvening(datetime(2027, 1, 4, 19), 120)
    assert idle_blocks(programme, evening, (0, 1, 0)) == 1
    assert idle_blocks(programme, evening, (0, None, 1)) == 1
    assert idle_blocks(programme, evening._replace(missing=frozenset({0, 1})), (0, 1, 0)) == 0
    assert share_worth(programme, evening, (0, 0, 1)) == pytest.approx(-2 * SET_UP)
    cut, _ = cut_evenings(replace(programme, evenings=(evening, *programme.evenings)))
    # A piece is set up once: its blocks are one run; who comes after the first block cannot be in it.
    assert not is_allowed(programme, evening, cut, (0, 1, 0))
    late = evening._replace(late=((0, cut.ends[0]),))
    assert not is_allowed(programme, late, cut, (0, 0, 1))
    assert is_allowed(programme, late, cut, (1, 0, 0))


@pytest.mark.parametrize(
    ("minutes", "blocks", "breaks"), [(25, 1, 0), (55, 2, 0), (90, 3, 1), (150, 3, 2), (360, 5, 5)]
)
def test_blocks_and_breaks_fill_a_rehearsal(minutes: int, blocks: int, breaks: int) -> None:
    programme = drawn_programme(0, pieces=2, evenings=2, people=4, chunks=(2, 2))
    evening = ConcertEvening(datetime(2027, 1, 4, 19), minutes)
    cut, _ = cut_evenings(replace(programme, evenings=(evening, programme.evenings[1])))
    assert cut.number == blocks
    assert sum(length for _, length in cut.breaks) == 10 * breaks
    times = sorted([*zip(cut.begins, cut.ends, strict=True), *((at, at + length) for at, length in cut.breaks)])
    assert times[0][0] == 0
    assert all(before[1] == after[0] for before, after in pairwise(times))
    assert minutes - blocks < times[-1][1] <= minutes


def test_nobody_comes_later_than_need_be_and_an_evening_without_anybody_is_said() -> None:
    programme = drawn_programme(0, pieces=1, evenings=6, people=3, chunks=(2, 2))
    free = tuple(ConcertEvening(evening.start, evening.minutes) for evening in programme.evenings)
    plan = plan_programme(replace(programme, evenings=free, visits=2), 1.0)
    # There is less to do than time: what is worth nothing any more is left out, what is left stands at the beginning.
    idle = [evening for evening in plan.evenings if not evening.calls]
    assert idle
    assert all(list(call_lines(plan, evening)) == ["nobody is called"] for evening in idle)
    assert all(call.begins == 0 for evening in plan.evenings[:-1] for call in evening.calls)


def test_nothing_to_plan_is_said() -> None:
    programme = drawn_programme(0, pieces=2, evenings=2, people=4, chunks=(2, 2))
    with pytest.raises(RequestError, match="No rehearsals"):
        plan_programme(replace(programme, evenings=()))
    with pytest.raises(RequestError, match="No pieces"):
        plan_programme(replace(programme, pieces=()))
