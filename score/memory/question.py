"""What a question is, and the facts of a piece that questions are made from."""

import hashlib
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import lcm
from typing import NamedTuple

from score.memory.bar_contents import Contents, onward, steady_bars
from score.memory.bar_words import bar_words
from score.piece import Piece, Player, StrokeKind
from score.places import bar_name

START = Fraction(0)


class Question(NamedTuple):
    """A question about a piece with one right answer.

    Attributes:
        id: follows from the player, the kind, what is asked and what is right, so that a note corrected elsewhere in
            the score leaves it as it was.
        kind: what sort of question.
        bar: index of the bar it is about.
        at: offset in that bar, quarters.
        text: the question.
        choices: possible answers, one of them right, in an order that says nothing.
        answer: the right one.
        is_scored: whether an answer counts; where it does not, what is right is our own opinion.
        heard: what can be heard with it: number of the player who sounds, and first and last bar; None for nothing.
    """

    id: str
    kind: str
    bar: int
    at: Fraction
    text: str
    choices: tuple[str, ...]
    answer: str
    is_scored: bool = True
    heard: tuple[int, int, int] | None = None


class QuestionFacts:
    """A piece as one player's questions see it; times are whole ticks.

    Args:
        piece: the piece.
        player: who is asked.
    """

    def __init__(self, piece: Piece, player: Player) -> None:
        self.piece, self.me = piece, player
        self.others = [other for other in piece.players if other.number != player.number]
        self.contents = {other.number: Contents(piece, other) for other in piece.players}
        self.mine = self.contents[player.number]
        self.steady = steady_bars(piece)
        self._ticks = _resolution(piece)
        self.starts = [self.tick(bar.start) for bar in piece.bars]
        self.onsets = {other.number: self._onsets(other) for other in piece.players}

    def tick(self, quarters: Fraction) -> int:
        """A time in ticks."""
        return int(quarters * self._ticks)

    def beat(self, bar: int) -> int:
        """A beat of a bar, ticks; an eighth at least, so that very fast units are not asked about."""
        return self.tick(max(self.piece.bars[bar].meter.beat or Fraction(1), Fraction(1, 2)))

    def onward(self, first: int, last: int) -> bool:
        """Whether these bars follow one another however the piece is played."""
        return onward(self.steady, first, last)

    def quarters(self, ticks: int) -> Fraction:
        """Ticks as quarters."""
        return Fraction(ticks, self._ticks)

    def bar_at(self, tick: int) -> int:
        """Index of the bar that holds a moment."""
        return bisect_right(self.starts, tick) - 1

    def called(self, index: int) -> str:
        """A bar as a player would call it."""
        return f"bar {bar_name(self.piece, index)}"

    def line(self, index: int) -> str:
        """What the player has in a bar, in words."""
        return bar_words(self.me, self.piece.bars[index], self.mine.bars[index])

    def rests(self, least: int) -> Iterator[tuple[int, int]]:
        """(first empty bar, bar of the entry after it), after something was played, for so many empty bars or more."""
        first = None
        for index, content in enumerate(self.mine.bars):
            if content:
                if first is not None and index - first >= least and first > 0:
                    yield first, index
                first = None
            elif first is None:
                first = index

    def _onsets(self, player: Player) -> list[int]:
        return sorted(
            {
                self.starts[stroke.bar] + self.tick(stroke.at)
                for stroke in player.strokes
                if stroke.kind is not StrokeKind.GRACE
            }
        )


def _resolution(piece: Piece) -> int:
    """Ticks a quarter in which every onset, length and bar is whole."""
    parts = {bar.start.denominator for bar in piece.bars} | {bar.length.denominator for bar in piece.bars}
    parts |= {bar.meter.beat.denominator for bar in piece.bars}
    for player in piece.players:
        for stroke in player.strokes:
            parts |= {stroke.at.denominator, stroke.length.denominator}
    return 2 * lcm(*parts)


def asked(
    facts: QuestionFacts,
    kind: str,
    place: tuple[int, Fraction],
    text: str,
    choices: Sequence[str],
    answer: str,
    about: object,
) -> Question:
    """A question with its choices in an order drawn from its own id.

    Args:
        facts: the piece.
        kind: what sort of question.
        place: bar index and quarters in it.
        text: the question.
        choices: the possible answers, the right one among them, each once.
        answer: the right one.
        about: what the question follows from, beside its answer.
    """
    named = hashlib.sha256(repr((facts.me.number, kind, about, answer)).encode()).hexdigest()[:16]
    shuffled = sorted(choices, key=lambda choice: hashlib.sha256(f"{named}{choice}".encode()).digest())
    return Question(named, kind, place[0], at=place[1], text=text, choices=tuple(shuffled), answer=answer)


def number_choices(right: int, about: object) -> list[str]:
    """Four numbers running with the right one anywhere among them, from one on."""
    lowest = max(1, right - hashlib.sha256(repr((about, right)).encode()).digest()[0] % 4)
    return [str(number) for number in range(lowest, lowest + 4)]
