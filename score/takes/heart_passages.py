"""Passages that were lost by heart: where to come in before them, and what a pass says of their bars.

A bar in which strokes were lost in a pass by heart is kept as an answer that was wrong; each later pass by heart that
loses nothing there is one that was right. So it comes back as questions do (`score.memory.when_to_ask`). Players
recover at landmarks, so that is where one comes in (`score.memory.landmarks`).
"""

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from functools import cached_property
from typing import NamedTuple

from score.memory.bar_contents import Contents, onward, steady_bars
from score.memory.bar_keys import bar_keys
from score.memory.landmarks import landmarks
from score.piece import Piece, Player
from score.places import bar_name, bars_words
from score.takes.judged_pass import JudgedPass, StrokeState
from score.takes.live_pass import LEAST_STROKES
from score.takes.lost_runs import lost_runs, told_strokes

_BACK, _LISTENED = 4, 2
"""Bars at the most to a landmark to come in at, and those to listen to where there is none."""
_MOST_LOST = 8
"""Bars of one lost place that are kept as lost."""
_MOST_BARS = 16
"""Bars of a loop up to which it is made longer, so that there are strokes enough to be judged."""


class LostPassage(NamedTuple):
    """Bars that were lost by heart, and the bars to play so that they are found again.

    Attributes:
        bars: indices of the bars from the first lost one to the last.
        loop: from where to come in to one bar after them.
    """

    bars: range
    loop: range


class PartByHeart:
    """A part as whoever plays it by heart sees it.

    Args:
        piece: the piece.
        player: whose part.
        phrases: indices of the bars that phrases begin with.
    """

    def __init__(self, piece: Piece, player: Player, phrases: Collection[int] = ()) -> None:
        self.piece, self.player, self.phrases = piece, player, phrases
        self.contents = Contents(piece, player)
        self.keys = bar_keys(self.contents)

    def passages(self, bars: Iterable[int]) -> tuple[LostPassage, ...]:
        """Bars as passages: those with one other bar between them at the most are one.

        Args:
            bars: indices, in any order.
        """
        runs: list[list[int]] = []
        for bar in sorted(set(bars)):
            if runs and bar - runs[-1][-1] <= 2 and onward(self._steady, runs[-1][-1], bar):
                runs[-1].append(bar)
            else:
                runs.append([bar])
        return tuple(LostPassage(span, self._loop(span)) for span in (range(run[0], run[-1] + 1) for run in runs))

    def said(self, judged: JudgedPass, before: Collection[str]) -> dict[str, bool]:
        """What a pass by heart says of bars, by their keys: lost, or, of those lost before, not lost.

        Args:
            judged: the pass.
            before: keys of which something was said before.
        """
        gone, out = self.lost_bars(judged), {bar for run in lost_runs(judged) for bar in run.bars}
        told = Counter(stroke.bar for stroke in told_strokes(judged))
        unsure = Counter(stroke.bar for stroke in judged.strokes if stroke.state is StrokeState.UNSURE)
        # Where most strokes cannot be told, nothing is.
        clear = {bar for bar in told.keys() - out if told[bar] >= unsure[bar] and self.keys[bar] in before}
        return {self.keys[bar]: bar not in gone for bar in sorted(gone | clear)}

    def lost_bars(self, judged: JudgedPass) -> set[int]:
        """Indices of the bars a pass lost; of a long run the first ones: whoever is out shows nothing of the rest."""
        return {bar for run in lost_runs(judged) for bar in run.bars[:_MOST_LOST]}

    @cached_property
    def _steady(self) -> Sequence[bool]:
        return steady_bars(self.piece)

    @cached_property
    def _marks(self) -> frozenset[int]:
        return frozenset(place.bar for place in landmarks(self.piece, self.player, self.phrases))

    def _loop(self, bars: range) -> range:
        """From the landmark before some bars to one bar after them, with strokes enough to be judged."""
        back = [first for first in range(bars[0] - 1, bars[0] - 1 - _BACK, -1) if onward(self._steady, first, bars[0])]
        marks = [first for first in back if first in self._marks]
        first = marks[0] if marks else min([*back[:_LISTENED], bars[0]])
        last = bars[-1]
        while onward(self._steady, last, last + 1) and (last == bars[-1] or self._is_short(first, last)):
            last += 1
        while onward(self._steady, first - 1, first) and self._is_short(first, last):
            first -= 1
        return range(first, last + 1)

    def _is_short(self, first: int, last: int) -> bool:
        """Whether bars have too few strokes to be judged and there is room for more."""
        strokes = sum(len(bar) for bar in self.contents.bars[first : last + 1])
        return strokes < LEAST_STROKES and last - first + 1 < _MOST_BARS


def passage_words(piece: Piece, passage: LostPassage) -> str:
    """A passage as one would say it: "bars 17-18, come in at 15"."""
    return f"{bars_words(piece, passage.bars)}, come in at {bar_name(piece, passage.loop[0])}"


def passages_json(passages: Sequence[LostPassage]) -> list[dict[str, int]]:
    """Passages as values JSON can write, indices from 0: `bar` and `last_bar`, `enter` and `leave` of what to play."""
    return [
        {"bar": each.bars[0], "last_bar": each.bars[-1], "enter": each.loop[0], "leave": each.loop[-1]}
        for each in passages
    ]
