"""Look-alikes as a player learns them: a family a passage, a line an occurrence, a column where they part."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from score.beats import Place
from score.memory.bar_contents import Contents, Onset
from score.memory.look_alikes import LookAlike, look_alikes, worth_knowing
from score.piece import Piece, Player


class Occurrence(NamedTuple):
    """One of the passages.

    Attributes:
        first: index of its first bar.
        semitones: how much higher it is than the first one.
    """

    first: int
    semitones: int = 0


class Family(NamedTuple):
    """Passages that are nearly the same.

    Attributes:
        occurrences: in score order, two or more.
        length: bars of each.
        partings: bars, counted from the beginning of the passage, where not all are alike; the bar after the passage
            is among them where they go on in different ways.
    """

    occurrences: tuple[Occurrence, ...]
    length: int
    partings: tuple[int, ...]

    @property
    def meets_again(self) -> bool:
        """Whether they part inside and are together again before the end."""
        return any(bar < self.length for bar in self.partings)


def families(piece: Piece, player: Player, transposed: bool = False) -> tuple[Family, ...]:
    """Every family of a part worth knowing, by its first bar.

    Args:
        piece: the piece.
        player: whose part.
        transposed: also passages that are the same but higher or lower.
    """
    contents = Contents(piece, player)
    pairs = [pair for pair in look_alikes(piece, player, transposed) if worth_knowing(contents, pair)]
    gathered: list[Family] = []
    # The longest first: what it holds is not shown again as a shorter one.
    for anchor in sorted(pairs, key=lambda pair: (-pair.onsets, pair.first, pair.second)):
        if not any(_shown(anchor, family) for family in gathered):
            family = _family(contents, anchor, pairs)
            if family.partings:
                gathered.append(family)
    return tuple(sorted(gathered, key=lambda family: (family.occurrences[0].first, -family.length)))


def _family(contents: Contents, anchor: LookAlike, pairs: Sequence[LookAlike]) -> Family:
    """The passages of a pair, all that are near one of them over the whole length, all near one of those, and so on."""
    steps = {anchor.first: 0}
    waiting = [anchor.first]
    while waiting:
        here = waiting.pop()
        for there, semitones in _near(here, anchor.length, pairs):
            if there not in steps:
                steps[there] = steps[here] + semitones
                waiting.append(there)
    occurrences: list[Occurrence] = []
    for first in sorted(steps):
        # One that begins inside another is that other, a bar later.
        if not occurrences or first >= occurrences[-1].first + anchor.length:
            occurrences.append(Occurrence(first, steps[first]))
    lowest = occurrences[0].semitones
    occurrences = [passage._replace(semitones=passage.semitones - lowest) for passage in occurrences]
    return Family(tuple(occurrences), anchor.length, _partings(contents, occurrences, anchor.length))


def _near(first: int, length: int, pairs: Sequence[LookAlike]) -> Iterator[tuple[int, int]]:
    """(first bar, semitones up) of the passages near one over its whole length."""
    for pair in pairs:
        for mine, other, up in (
            (pair.first, pair.second, pair.semitones),
            (pair.second, pair.first, -pair.semitones),
        ):
            if mine <= first and first + length <= mine + pair.length:
                yield other + first - mine, up


def _partings(contents: Contents, occurrences: Sequence[Occurrence], length: int) -> tuple[int, ...]:
    if any(passage.semitones for passage in occurrences):
        return tuple(range(length))  # every bar is to be told apart by its pitch
    last = len(contents.bars)
    return tuple(
        bar
        for bar in range(length + 1)
        if len({_class(contents, passage.first + bar, last) for passage in occurrences}) > 1
    )


def _class(contents: Contents, bar: int, last: int) -> int:
    return contents.classes[bar] if bar < last else -1


def _shown(pair: LookAlike, family: Family) -> bool:
    """Whether two passages of a family hold those of a pair, both at the same place inside."""
    insides = [_insides(first, pair.length, family) for first in (pair.first, pair.second)]
    return any(place == other and spot != other_spot for spot, place in insides[0] for other_spot, other in insides[1])


def _insides(first: int, length: int, family: Family) -> list[tuple[int, int]]:
    """(first bar, bars into it) of the passages that hold more than half of some bars."""
    return [
        (passage.first, first - passage.first)
        for passage in family.occurrences
        if 2 * (min(first + length, passage.first + family.length) - max(first, passage.first)) > length
    ]


def branch_points(contents: Contents, family: Family) -> Iterator[Place]:
    """The first stroke of each passage in each bar in which not all passages of a family strike the same."""
    for parting in family.partings:
        shared = shared_onsets(contents, family, parting)
        for index in level_bars(contents, family, parting):
            first = next((at for at, sounds in contents.bars[index] if (at, sounds) not in shared), None)
            if first is not None:
                yield Place(index, first)


def level_bars(contents: Contents, family: Family, bar: int) -> list[int]:
    """Where a bar of the passages is in those that are not transposed; a passage may have none after it."""
    places = (passage.first + bar for passage in family.occurrences if not passage.semitones)
    return [index for index in places if index < len(contents.bars)]


def shared_onsets(contents: Contents, family: Family, bar: int) -> set[Onset]:
    """What all passages that are not transposed strike in one of their bars."""
    bars = [set(contents.bars[index]) for index in level_bars(contents, family, bar)]
    return set.intersection(*bars) if bars else set()


class Trap(NamedTuple):
    """One bar that comes a number of times here and another number of times there.

    Attributes:
        bar: index of the bar, where it comes first.
        times: (index of the first bar of a run, how many times it comes there), in score order.
    """

    bar: int
    times: tuple[tuple[int, int], ...]


def counting_traps(piece: Piece, player: Player) -> tuple[Trap, ...]:
    """Bars that come several times running, and not as often everywhere."""
    contents = Contents(piece, player)
    runs: dict[int, list[tuple[int, int]]] = defaultdict(list)
    first = 0
    for index in range(1, len(contents.bars) + 1):
        if index == len(contents.bars) or contents.classes[index] != contents.classes[first]:
            if contents.bars[first]:
                runs[contents.classes[first]].append((first, index - first))
            first = index
    traps = [
        Trap(places[0][0], tuple(places))
        for places in runs.values()
        if len({many for _, many in places}) > 1 and max(many for _, many in places) > 1
    ]
    return tuple(sorted(traps))
