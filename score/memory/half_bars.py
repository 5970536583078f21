"""Passages that come again half a bar later: in bars of an even number of beats, with their bar lines elsewhere.

The second passage is cut into bars of its own, from middle to middle, and these are compared with the written ones as
`look_alikes` compares bars. A figure that is as long as half a bar comes again everywhere: it is left out.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from score.memory.bar_contents import Content, Contents
from score.memory.look_alikes import Kinds, LookAlike, Unlike, kinds_of, near_classes, worth_knowing
from score.piece import Bar, Piece, Player

_NONE = -1


def shifted_look_alikes(piece: Piece, player: Player) -> tuple[LookAlike, ...]:
    """Every pair of passages of two bars or more of which one begins in the middle of a bar, in score order.

    Args:
        piece: the piece.
        player: whose part.
    """
    contents = Contents(piece, player)
    from_middles = middle_bars(contents)
    kinds = kinds_of(contents)
    classes = _classes(contents, from_middles, kinds)
    near = near_classes(kinds)
    places: dict[int, list[int]] = defaultdict(list)
    for index, number in enumerate(classes):
        if number != _NONE and from_middles[index]:
            places[number].append(index)
    diagonals: dict[int, dict[int, Unlike]] = defaultdict(dict)
    for index, number in enumerate(contents.classes):
        for other, unlike in near.get(number, ()):
            for there in places.get(other, ()):
                diagonals[there - index][index] = unlike
    runs = (run for distance, cells in diagonals.items() for run in _runs(distance, cells))
    periodic = [is_same_half(content, bar) for content, bar in zip(contents.bars, piece.bars, strict=True)]
    return tuple(sorted(run for run in runs if not all(periodic[run.first : run.first + run.length])))


def shifted_worth_knowing(piece: Piece, player: Player) -> tuple[LookAlike, ...]:
    """Those of them that are long enough to be taken for one another."""
    contents = Contents(piece, player)
    return tuple(pair for pair in shifted_look_alikes(piece, player) if worth_knowing(contents, pair))


def middle_bars(contents: Contents) -> list[Content | None]:
    """For each bar what is struck from its middle to the middle of the next one, None where there is no such place."""
    bars = contents.piece.bars
    cut: list[Content | None] = []
    for index, bar in enumerate(bars):
        after = bars[index + 1] if index + 1 < len(bars) else None
        if after is None or after.length != bar.length or not _has_middle(bar):
            cut.append(None)
            continue
        half = bar.length / 2
        late = [(at - half, sounds) for at, sounds in contents.bars[index] if at >= half]
        early = [(at + half, sounds) for at, sounds in contents.bars[index + 1] if at < half]
        cut.append((*late, *early))
    return cut


def is_same_half(content: Content, bar: Bar) -> bool:
    """Whether both halves of a bar strike the same: such a bar is like itself half a bar later."""
    half = bar.length / 2
    halves = ({(at % half, sounds) for at, sounds in content if (at >= half) == late} for late in (False, True))
    return next(halves) == next(halves)


def _has_middle(bar: Bar) -> bool:
    """Whether a bar is whole and has an even number of beats."""
    beats = bar.length / (bar.meter.beat or Fraction(1))
    return bar.length == bar.meter.length and beats % 2 == 0


def _classes(contents: Contents, from_middles: Sequence[Content | None], kinds: Kinds) -> list[int]:
    """A number for each bar from a middle; new ones are entered among the kinds."""
    numbers: dict[tuple[Content, Fraction], int] = {kind: number for number, kind in kinds.items()}
    classes = []
    for content, bar in zip(from_middles, contents.piece.bars, strict=True):
        if content is None:
            classes.append(_NONE)
            continue
        number = numbers.setdefault((content, bar.length), len(numbers))
        kinds.setdefault(number, (content, bar.length))
        classes.append(number)
    return classes


def _runs(distance: int, cells: Mapping[int, Unlike]) -> Iterator[LookAlike]:
    """The longest runs of near bars on one diagonal; the two passages do not overlap."""
    done = -1
    for first in sorted(cells):
        if first <= done:
            continue
        done = first
        while done + 1 in cells:
            done += 1
        length = done - first + 1
        # In half bars the second begins 2 * distance + 1 after the first.
        if length >= 2 and 2 * length <= abs(2 * distance + 1):
            bars = [cells[index] for index in range(first, done + 1)]
            unlike, onsets = sum(bar.unlike for bar in bars), sum(bar.onsets for bar in bars)
            yield LookAlike(first, first + distance, length, unlike=unlike, onsets=onsets, is_shifted=True)
