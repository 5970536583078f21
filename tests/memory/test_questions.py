"""Every question has one right answer: looked for again in the strokes themselves, every choice tried."""

from collections import Counter
from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import music21
import pytest
from scipy.stats import chisquare

from score.memory.bar_contents import bar_contents
from score.memory.bar_words import bar_words, sound_words
from score.memory.question import Question
from score.memory.question_round import MOST_OF_A_KIND, MOST_OF_AN_ANSWER, all_questions, question_round
from score.piece import MarkKind, Piece, Player, StrokeKind
from score.reading import read_score

SAMPLES = Path(__file__).parents[2] / "samples"
CORPUS = Path(music21.__file__).parent / "corpus"


def _size(path: Path) -> int:
    return path.stat().st_size


FEW = [SAMPLES / "quartet.musicxml", SAMPLES / "trio-ids.musicxml", CORPUS / "mozart" / "k80" / "movement3.mxl"]
MANY = sorted((path for name in ("haydn", "mozart") for path in (CORPUS / name).rglob("*.mxl")), key=_size)[2:20:4]
"""Every fourth of the shorter movements; all of the longer ones are in the bench."""
Strokes = dict[str, list[tuple[Fraction, Fraction]]]


class Witness:
    """What can be known of a piece from its strokes alone, in playing order."""

    def __init__(self, piece: Piece, player: Player) -> None:
        self.piece, self.player = piece, player
        self.strokes: Strokes = {
            other.name: [
                (piece.bars[s.bar].start + s.at, s.length) for s in other.strokes if s.kind is not StrokeKind.GRACE
            ]
            for other in piece.players
        }
        self.bars = {other.name: bar_contents(piece, other) for other in piece.players}
        self.lines = [
            bar_words(player, bar, content) for bar, content in zip(piece.bars, self.bars[player.name], strict=True)
        ]

    def right(self, question: Question) -> list[str]:
        """The choices that hold."""
        holds: Callable[[Question, str], bool] = getattr(self, "_" + question.kind.replace(" ", "_"))
        return [choice for choice in question.choices if holds(question, choice)]

    def _now(self, question: Question) -> Fraction:
        return self.piece.bars[question.bar].start + question.at

    def _next(self, name: str, now: Fraction) -> Fraction:
        return min((at for at, _ in self.strokes[name] if at > now), default=self.piece.length)

    def _moves(self, question: Question, choice: str) -> bool:
        now = self._now(question)
        until = self._next(self.player.name, now)
        others = [name for name in self.strokes if name not in (choice, self.player.name)]
        mine = self._next(choice, now)
        return mine < until and all(mine < self._next(name, now) for name in others)

    def _empty(self, bar: int) -> bool:
        return not self.bars[self.player.name][bar]

    def _waits(self, question: Question, choice: str) -> bool:
        rest, entry = range(question.bar, question.bar + int(choice)), question.bar + int(choice)
        return entry < len(self.piece.bars) and all(map(self._empty, rest)) and not self._empty(entry)

    def _leads_in(self, question: Question, choice: str) -> bool:
        beat = max(self.piece.bars[question.bar].meter.beat or Fraction(1), Fraction(1, 2))
        now = self._now(question)
        return any(now - 2 * beat <= at < now for at, _ in self.strokes[choice])

    def _enters(self, question: Question, choice: str) -> bool:
        at, sounds = self.bars[self.player.name][question.bar][0]
        return at == question.at and sound_words(self.player, sounds, self.piece.bars[question.bar].key) == choice

    def _instrument(self, question: Question, choice: str) -> bool:
        return any(
            self.player.instruments[s.instrument].name == choice
            for s in self.player.strokes
            if (s.bar, s.at) == (question.bar, question.at)
        )

    def _line(self, bar: int) -> str:
        return self.lines[bar]

    def _goes_on(self, question: Question, choice: str) -> bool:
        order, mine = self.piece.playing_order, self.bars[self.player.name]
        shown = (mine[question.bar - 2], mine[question.bar - 1])
        return any(
            (mine[a], mine[b]) == shown and self._line(c) == choice
            for a, b, c in zip(order, order[1:], order[2:], strict=False)
        )

    def _fork(self, question: Question, choice: str) -> bool:
        before = {b for a, b in pairwise(self.piece.playing_order) if a == question.bar - 1}
        return any(self._line(bar) == choice for bar in before)

    def _rhythm(self, question: Question, choice: str) -> bool:
        def rhythm(name: str, bar: int) -> list[Fraction]:
            return [at for at, _ in self.bars[name][bar]]

        asked = [rhythm(question.answer, question.bar), rhythm(question.answer, question.bar + 1)]
        last = len(self.piece.bars) - 1
        return any([rhythm(choice, bar), rhythm(choice, bar + 1)] == asked for bar in range(last))

    def _together(self, question: Question, choice: str) -> bool:
        bar = question.bar
        return [at for at, _ in self.bars[choice][bar]] == [at for at, _ in self.bars[self.player.name][bar]]

    def _times(self, question: Question, choice: str) -> bool:
        order, mine = self.piece.playing_order, self.bars[self.player.name]
        lengths = [bar.length for bar in self.piece.bars]
        at = order.index(question.bar)
        many = 0
        while at + many < len(order) and (
            mine[order[at + many]] == mine[question.bar] and lengths[order[at + many]] == lengths[question.bar]
        ):
            many += 1
        return int(choice) == many

    def _stops(self, question: Question, choice: str) -> bool:
        silent = self.piece.bars[question.bar].start + self.piece.bars[question.bar].length
        ends = {
            name: max((at + length for at, length in strokes if at < silent), default=Fraction(0))
            for name, strokes in self.strokes.items()
        }
        return all(ends[choice] > end for name, end in ends.items() if name != choice)

    def _dynamic(self, question: Question, choice: str) -> bool:
        return any(
            dynamic.mark == choice
            for dynamic in self.player.dynamics
            if (dynamic.bar, dynamic.at) == (question.bar, question.at)
        )

    def _where(self, question: Question, choice: str) -> bool:
        name = question.text.split(" plays ")[0]
        shown = self.bars[name][question.bar : question.bar + 2]
        mark = "the beginning"
        for bar in range(len(self.piece.bars) - 1):
            mark = self.piece.bars[bar].rehearsal_mark or mark
            if self.bars[name][bar : bar + 2] == shown and choice in (mark, f"bar {self.piece.bars[bar].label}"):
                return True
        return False

    def _mallets(self, question: Question, choice: str) -> bool:
        place = (question.bar, question.at)
        return any(m.kind is MarkKind.STICKS and (m.bar, m.at) == place and m.text == choice for m in self.player.marks)

    def _first(self, question: Question, choice: str) -> bool:
        order = self.piece.playing_order
        return choice == next(self._line(bar) for bar in order if self._line(bar) in question.choices)

    def _tune(self, question: Question, choice: str) -> bool:
        """No search can prove what an ear hears: it is only asked whether the question says that it does not count."""
        return not question.is_scored and choice == question.answer


@pytest.mark.parametrize("path", [*FEW, *(pytest.param(p, marks=pytest.mark.campaign) for p in MANY)], ids=str)
def test_every_question_has_one_right_answer(path: Path) -> None:
    piece = read_score(path).piece
    for player in piece.players:
        witness = Witness(piece, player)
        for question in all_questions(piece, player):
            assert witness.right(question) == [question.answer], question


def test_no_position_of_the_right_answer_is_likelier() -> None:
    piece = read_score(FEW[0]).piece
    places: Counter[int] = Counter()
    for player in piece.players:
        for question in all_questions(piece, player):
            if len(question.choices) == 4:
                places[question.choices.index(question.answer)] += 1
    assert chisquare([places[place] for place in range(4)]).pvalue > 0.001


@pytest.mark.parametrize("path", FEW, ids=lambda path: path.stem)
def test_a_round_mixes_kinds_and_asks_nothing_too_often(path: Path) -> None:
    piece = read_score(path).piece
    for player in piece.players:
        chosen = question_round(piece, player, 30)
        kinds = Counter(question.kind for question in chosen)
        answers = Counter((question.kind, question.answer) for question in chosen)
        assert len(kinds) >= 4
        assert max(kinds.values()) <= MOST_OF_A_KIND
        assert max(answers.values()) <= MOST_OF_AN_ANSWER
        pool = Counter(question.kind for question in all_questions(piece, player))
        wanted = min(30, len(piece.bars) // 2)
        third = max(1, wanted // 3)
        assert sum(min(many, third) for many in pool.values()) >= wanted
        assert question_round(piece, player, 30) == chosen
        assert question_round(piece, player, 30, lap=2) != chosen


def test_one_corrected_note_leaves_all_questions_but_its_own(tmp_path: Path) -> None:
    text = FEW[0].read_text()
    place = text.index("<octave>4", len(text) // 2)
    changed = tmp_path / "changed.musicxml"
    changed.write_text(text[:place] + "<octave>5" + text[place + 9 :])
    before, after = read_score(FEW[0]).piece, read_score(changed).piece
    for player in before.players:
        old = {question.id: question for question in all_questions(before, player)}
        new = {question.id for question in all_questions(after, after.player(player.number))}
        edited = edited_bars(before, after)
        assert old.keys() & new
        for question in (question for id_, question in old.items() if id_ not in new):
            assert any(is_about(before, question, bar) for bar in edited), question


def edited_bars(before: Piece, after: Piece) -> list[tuple[str, int]]:
    edited = []
    for player in before.players:
        old, new = bar_contents(before, player), bar_contents(after, after.player(player.number))
        edited += [(player.name, bar) for bar in range(len(old)) if old[bar] != new[bar]]
    assert len(edited) == 1
    return edited


def is_about(piece: Piece, question: Question, edited: tuple[str, int]) -> bool:
    """Whether a question is about the edited bar, or about one that was the same: within three bars of it."""
    bars = bar_contents(piece, next(each for each in piece.players if each.name == edited[0]))
    alike = [other for other, content in enumerate(bars) if content == bars[edited[1]]]
    return any(abs(question.bar - other) <= 3 for other in alike)


@pytest.mark.parametrize("path", FEW, ids=lambda path: path.stem)
def test_ids_are_told_apart_and_answers_are_choices(path: Path) -> None:
    piece = read_score(path).piece
    for player in piece.players:
        questions = all_questions(piece, player)
        assert len({question.id for question in questions}) == len(questions)
        assert all(question.answer in question.choices for question in questions)
        assert all(len(set(question.choices)) == len(question.choices) >= 2 for question in questions)
