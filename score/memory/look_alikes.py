"""Passages that are nearly the same: where a player who knows both can still end up in the wrong one.

Bars are compared by what they strike, onset by onset; two bars are near where at most a third of their onsets differ.
On each diagonal of the table of bars against bars the near ones are joined, empty bars between them are passed over,
and what is as long as it can be is a look-alike: two bars or more, the ends near and not empty, and not longer than the
distance between the two (a figure that goes on and on is a trap of another kind, see `counting_traps`). The work grows
with the bars and the pairs of near bars; a test compares it with going through every pair of passages.
"""

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from score.memory.bar_contents import Content, Contents, Onset
from score.piece import Piece, Player

_LEAST_BARS, _LEAST_ONSETS, _SURE_ONSETS = 3, 6, 8


Kinds = dict[int, tuple[Content, Fraction]]
"""What the bars of a class hold and how long they are."""


class LookAlike(NamedTuple):
    """Two passages of a part.

    Attributes:
        first, second: indices of the bars they begin with, the earlier one first.
        length: bars.
        unlike: onsets that differ.
        onsets: onsets in either.
        semitones: how much higher the second is.
        is_shifted: the second stands half a bar later: it begins in the middle of its bar.
    """

    first: int
    second: int
    length: int
    unlike: int
    onsets: int
    semitones: int = 0
    is_shifted: bool = False


class Unlike(NamedTuple):
    """How two bars compare: onsets that differ, onsets in either, semitones from the first up to the second."""

    unlike: int
    onsets: int
    semitones: int


def look_alikes(piece: Piece, player: Player, transposed: bool = False) -> tuple[LookAlike, ...]:
    """Every look-alike of a part, in score order.

    Args:
        piece: the piece.
        player: whose part.
        transposed: also those that are the same but higher or lower.
    """
    contents = Contents(piece, player)
    near = near_classes(kinds_of(contents), transposed)
    bars_of: dict[int, list[int]] = defaultdict(list)
    for index, number in enumerate(contents.classes):
        bars_of[number].append(index)
    diagonals: dict[tuple[int, int], dict[int, Unlike]] = defaultdict(dict)
    for index, number in enumerate(contents.classes):
        for other, unlike in near.get(number, ()):
            for there in bars_of[other]:
                if there > index:
                    diagonals[there - index, unlike.semitones][index] = unlike
    runs = (run for place, cells in diagonals.items() for run in _runs(contents, place, cells))
    return tuple(sorted(runs))


def worth_knowing(contents: Contents, pair: LookAlike) -> bool:
    """Whether a pair is long enough to be taken for its other, and more than one bar over and over."""
    bars = contents.bars[pair.first : pair.first + pair.length]
    if pair.onsets < _LEAST_ONSETS or (len(set(bars)) == 1 and not pair.unlike):
        return False
    return pair.onsets >= _SURE_ONSETS or pair.length >= _LEAST_BARS


def kinds_of(contents: Contents) -> Kinds:
    """The classes of a player's bars by their numbers."""
    bars = zip(contents.classes, contents.bars, contents.piece.bars, strict=True)
    return {number: (content, bar.length) for number, content, bar in bars}


def near_classes(kinds: Kinds, transposed: bool = False) -> Mapping[int, list[tuple[int, Unlike]]]:
    """For each class of bars the classes near it, itself among them."""
    holders: dict[object, list[int]] = defaultdict(list)
    for number, (content, length) in kinds.items():
        for onset in content:
            holders[_token(onset, length, transposed)].append(number)
    return {
        number: list(_near(number, kinds, holders, transposed)) for number, (content, _) in kinds.items() if content
    }


def _token(onset: Onset, length: Fraction, transposed: bool) -> object:
    at, sounds = onset
    return (at, length, tuple(sound.length for sound in sounds) if transposed else sounds)


def _near(
    number: int,
    kinds: Kinds,
    holders: Mapping[object, Sequence[int]],
    transposed: bool,
) -> Iterator[tuple[int, Unlike]]:
    content, length = kinds[number]
    shared = Counter(other for onset in content for other in holders[_token(onset, length, transposed)])
    for other, many in shared.items():
        there = kinds[other][0]
        # Whole numbers: two thirds as a float would lose bars of three onsets.
        if 3 * many < 2 * max(len(content), len(there)):
            continue
        for semitones in _steps(content, there) if transposed else (0,):
            unlike, onsets = _compared(_moved(content, semitones), there)
            if 3 * unlike <= onsets:
                yield other, Unlike(unlike, onsets, semitones)


def _steps(content: Content, there: Content) -> list[int]:
    """The two intervals that most onsets of two bars have between their highest notes."""
    tops, others = dict(_tops(content)), dict(_tops(there))
    return [step for step, _ in Counter(others[at] - tops[at] for at in tops.keys() & others.keys()).most_common(2)]


def _tops(content: Content) -> Iterator[tuple[Fraction, int]]:
    for at, sounds in content:
        pitches = [pitch for sound in sounds for pitch in sound.pitches]
        if pitches:
            yield at, max(pitches)


def _moved(content: Content, semitones: int) -> Content:
    if not semitones:
        return content
    return tuple(
        (at, tuple(sound._replace(pitches=tuple(pitch + semitones for pitch in sound.pitches)) for sound in sounds))
        for at, sounds in content
    )


def _compared(content: Content, there: Content) -> tuple[int, int]:
    here, other = dict(content), dict(there)
    places = here.keys() | other.keys()
    return sum(here.get(at) != other.get(at) for at in places), len(places)


def _runs(contents: Contents, place: tuple[int, int], cells: Mapping[int, Unlike]) -> Iterator[LookAlike]:
    """The longest runs of near bars on one diagonal."""
    distance, semitones = place
    done = -1
    for first in sorted(cells):
        if first <= done:
            continue
        done = _run_end(contents, distance, cells, first)
        length = done - first + 1
        if 2 <= length <= distance:
            bars = [cells[index] for index in range(first, done + 1) if index in cells]
            unlike, onsets = sum(bar.unlike for bar in bars), sum(bar.onsets for bar in bars)
            yield LookAlike(first, first + distance, length, unlike=unlike, onsets=onsets, semitones=semitones)


def _run_end(contents: Contents, distance: int, cells: Mapping[int, Unlike], first: int) -> int:
    """The last near bar of the run that begins at a bar; bars that are empty in both passages do not end it."""
    last, index = first, first
    while (index := index + 1) + distance < len(contents.bars):
        if index in cells:
            last = index
        elif contents.bars[index] or contents.classes[index] != contents.classes[index + distance]:
            break
    return last
