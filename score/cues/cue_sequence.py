"""The best sequence of sources over all bars, found exactly.

Each bar shows one source or none. A sequence's value is the sum of its bars' points minus what it pays for
starting, changing and one-bar cues (`score.cues.rules.Costs`). Dynamic programming over bars: the state is
nothing, a source in the first bar of its cue, or a source in a later bar of it; time is linear in bars
times sources. Points are whole numbers, so the result is exact; of several sequences of the same value the
same one is found every time.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from score.cues.rules import Costs

Source = int | None


@dataclass(frozen=True)
class Task:
    """What to choose from.

    Attributes:
        points: ``[bar][source]``, of showing a source in a bar.
        allowed: ``[bar]``: the sources (None: no cue) that may stand there; never empty.
        goes_on: ``[bar][source]``: the source strikes in this bar and the next.
        inside: ``[bar][source]``: a phrase of the source runs over the barline before this bar.
        costs: of the sequence.
    """

    points: Sequence[Sequence[int]]
    allowed: Sequence[frozenset[Source]]
    goes_on: Sequence[Sequence[bool]]
    inside: Sequence[Sequence[bool]]
    costs: Costs


def best_sequence(task: Task) -> list[Source]:
    """The allowed sequence of the highest value."""
    search = _Search(task)
    for bar in range(len(task.points)):
        search.step(bar)
    return search.trace()


@dataclass(slots=True)
class _Best:
    """The best way to one state: its value, and the state of the bar before."""

    value: int
    before: tuple[Source, bool] | None = None


# A state is (source, kept): kept is False in the first bar of a cue, and without a cue.
_State = tuple[Source, bool]
_NOTHING: _State = (None, False)


@dataclass(slots=True)
class _Leaving:
    """The best ways out of one bar into something else.

    Attributes:
        nothing: without a cue there, if that is allowed.
        sources: from the sources there, each paying for a cue of one bar.
        change: the best of them (source and way) that also pays for going straight to another source. One
            is enough: whoever it is, keeping on is worth more to it than any other's change to it.
    """

    nothing: _Best | None
    sources: dict[int, _Best]
    change: tuple[int, _Best] | None

    def best(self) -> _Best:
        """The best way into a bar without a cue."""
        ways = [*([self.nothing] if self.nothing else []), *self.sources.values()]
        return max(ways, key=lambda way: way.value)


class _Search:
    def __init__(self, task: Task) -> None:
        self.task = task
        self.columns: list[dict[_State, _Best]] = []

    def step(self, bar: int) -> None:
        """Add the best ways to each state of one more bar."""
        leaving = self._leaving(bar) if bar else _Leaving(_Best(0), {}, None)
        column: dict[_State, _Best] = {}
        for source in sorted(self.task.allowed[bar], key=lambda source: -1 if source is None else source):
            if source is None:
                column[_NOTHING] = leaving.best()
                continue
            points = self.task.points[bar][source]
            ways = ((False, self._start(source, leaving)), (True, self._keep(bar, source)))
            for kept, way in ways:
                if way:
                    column[source, kept] = _Best(way.value + points, way.before)
        self.columns.append(column)

    def _leaving(self, bar: int) -> _Leaving:
        column, costs, inside = self.columns[-1], self.task.costs, self.task.inside
        sources: dict[int, _Best] = {}
        for (source, kept), best in column.items():
            if source is None:
                continue
            single = not kept and self.task.goes_on[bar - 1][source]
            value = best.value - costs.single * single
            if source not in sources or value > sources[source].value:
                sources[source] = _Best(value, (source, kept))
        changes = [
            (source, _Best(way.value - costs.change - costs.inside * inside[bar][source], way.before))
            for source, way in sources.items()
            if bar < len(self.task.points)
        ]
        change = max(changes, key=lambda item: item[1].value, default=None)
        nothing = column.get(_NOTHING)
        return _Leaving(_Best(nothing.value, _NOTHING) if nothing else None, sources, change)

    def _start(self, source: int, leaving: _Leaving) -> _Best | None:
        """The best way into the first bar of a cue of this source."""
        ways = [leaving.change[1]] if leaving.change and leaving.change[0] != source else []
        if leaving.nothing:
            ways.append(_Best(leaving.nothing.value - self.task.costs.start, leaving.nothing.before))
        return max(ways, key=lambda way: way.value, default=None)

    def _keep(self, bar: int, source: int) -> _Best | None:
        """The best way on from the bar before in a cue of this source."""
        states: tuple[_State, ...] = ((source, True), (source, False)) if bar else ()
        ways = [_Best(self.columns[-1][state].value, state) for state in states if state in self.columns[-1]]
        return max(ways, key=lambda way: way.value, default=None)

    def trace(self) -> list[Source]:
        """The best sequence, read back from the last bar."""
        sources: list[Source] = []
        state = self._leaving(len(self.columns)).best().before if self.columns else None
        for column in reversed(self.columns):
            if state is not None:
                sources.append(state[0])
                state = column[state].before
        return sources[::-1]
