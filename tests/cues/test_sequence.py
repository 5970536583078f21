"""The sequence search against brute force: every sequence of a small task, valued by a count of its own."""

from itertools import groupby, product
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from score.cues.cue_sequence import Task, best_sequence
from score.cues.rules import Costs

COSTS = st.builds(Costs, *(st.integers(0, 60),) * 4)


@st.composite
def tasks(draw: st.DrawFn) -> Task:
    bars, sources = draw(st.integers(0, 6)), draw(st.integers(1, 3))

    def table(values: st.SearchStrategy[Any]) -> list[list[Any]]:
        return [[draw(values) for _ in range(sources)] for _ in range(bars)]

    choices = st.sets(st.sampled_from([None, *range(sources)]), min_size=1).map(frozenset)
    allowed = [draw(choices) for _ in range(bars)]
    return Task(
        table(st.integers(-60, 130)), allowed, table(st.booleans()), inside=table(st.booleans()), costs=draw(COSTS)
    )


def value_by_cues(task: Task, sequence: tuple[int | None, ...]) -> int:
    """Points of the bars shown, less what each cue pays; written from the rules' words, cue by cue."""
    cues = [(source, list(bars)) for source, bars in groupby(range(len(sequence)), key=lambda bar: sequence[bar])]
    total = sum(task.points[bar][source] for source, bars in cues if source is not None for bar in bars)
    for number, (source, bars) in enumerate(cues):
        before = cues[number - 1][0] if number else None
        if source is not None and before is None:
            total -= task.costs.start
        if source is not None and before is not None:
            total -= task.costs.change
            total -= task.costs.inside if task.inside[bars[0]][before] else 0
        if source is not None and len(bars) == 1 and task.goes_on[bars[0]][source]:
            total -= task.costs.single
    return total  # type: ignore[no-any-return]


def brute_force(task: Task) -> int:
    return max(value_by_cues(task, sequence) for sequence in product(*task.allowed))


@settings(max_examples=150, deadline=None)
@given(tasks())
def test_no_sequence_is_better(task: Task) -> None:
    found = best_sequence(task)
    assert all(source in allowed for source, allowed in zip(found, task.allowed, strict=True))
    assert value_by_cues(task, tuple(found)) == brute_force(task)


def test_what_is_not_allowed_is_not_chosen() -> None:
    task = Task([[5]], [frozenset({None})], [[False]], inside=[[False]], costs=Costs())
    assert best_sequence(task) == [None]


def test_of_equal_sources_the_first_is_kept() -> None:
    tie = Task(
        [[9, 9]] * 4, [frozenset({None, 0, 1})] * 4, [[True, True]] * 4, inside=[[True, True]] * 4, costs=Costs()
    )
    assert best_sequence(tie) == [0, 0, 0, 0]
