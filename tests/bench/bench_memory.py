"""By heart: every question answered again, exactness and time of look-alikes, and when to ask against other ways.

Run by hand: python -m pytest tests/bench/bench_memory.py -s
"""

import math
import random
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path
from statistics import fmean

import music21
import pytest
from scipy.stats import chisquare

from score.memory.families import families
from score.memory.half_bars import shifted_look_alikes
from score.memory.look_alikes import look_alikes
from score.memory.question import Question
from score.memory.question_round import all_questions, question_round
from score.memory.when_to_ask import due_questions
from score.piece import Bar, Piece, Stroke
from score.reading import read_score
from tests.bench.cpu_time import cpu_seconds
from tests.memory.test_look_alikes import _every
from tests.memory.test_questions import Witness

SAMPLES = Path(__file__).parents[2] / "samples"
CORPUS = Path(music21.__file__).parent / "corpus"
MOVEMENTS = [
    *(CORPUS / "haydn" / "opus1no1" / f"movement{n}.mxl" for n in range(1, 6)),
    *(CORPUS / "haydn" / "opus74no1" / f"movement{n}.mxl" for n in range(1, 5)),
    *(CORPUS / "mozart" / "k80" / f"movement{n}.mxl" for n in range(1, 5)),
    *(CORPUS / "mozart" / "k155" / f"movement{n}.mxl" for n in range(1, 4)),
    *(CORPUS / "mozart" / "k156" / f"movement{n}.mxl" for n in range(1, 5)),
    CORPUS / "mozart" / "k458" / "movement3.mxl",
]


def pieces() -> Iterator[Piece]:
    for path in [*sorted(SAMPLES.glob("*.musicxml")), *MOVEMENTS]:
        yield read_score(path).piece


def test_twenty_thousand_questions_have_one_right_answer_each() -> None:
    count, kinds, places = 0, Counter[str](), Counter[int]()
    for piece in pieces():
        for player in piece.players:
            witness = Witness(piece, player)
            questions = all_questions(piece, player)
            for question in questions:
                assert witness.right(question) == [question.answer], question
                if len(question.choices) == 4:
                    places[question.choices.index(question.answer)] += 1
            count += sum(question.is_scored for question in questions)
            kinds.update(question.kind for question in questions)
            _check_round(piece, questions, question_round(piece, player, 30))
    chance = chisquare([places[place] for place in range(4)]).pvalue
    print(f"  {count} questions that are scored, each with one right answer: {dict(kinds)}")
    print(f"  the right one stands first to fourth {[places[place] for place in range(4)]} times: p = {chance:.3f}")
    assert count >= 20_000
    assert chance > 0.001


def _check_round(piece: Piece, questions: Sequence[Question], asked: Sequence[Question]) -> None:
    wanted = min(30, len(piece.bars) // 2)
    pool = Counter(question.kind for question in questions)
    assert sum(min(many, max(1, wanted // 3)) for many in pool.values()) >= wanted
    assert len(pool) >= 4
    kinds = Counter(question.kind for question in asked)
    assert max(kinds.values()) * 3 <= len(asked)
    assert max(Counter((question.kind, question.answer) for question in asked).values()) <= 2


def thousand_bars() -> Piece:
    """Seven movements one after the other, their marks left out."""
    parts = [read_score(path).piece for path in [*MOVEMENTS[5:9], *MOVEMENTS[13:16]]]
    bars: list[Bar] = []
    order: list[int] = []
    strokes: defaultdict[int, list[Stroke]] = defaultdict(list)
    first, start = 0, Fraction(0)
    for piece in parts:
        bars += [replace(bar, index=bar.index + first, start=bar.start + start) for bar in piece.bars]
        order += [bar + first for bar in piece.playing_order]
        for player in piece.players:
            strokes[player.number] += [
                stroke._replace(
                    bar=stroke.bar + first,
                    instrument=0,
                    segments=tuple(segment._replace(bar=segment.bar + first) for segment in stroke.segments),
                )
                for stroke in player.strokes
            ]
        first, start = first + len(piece.bars), start + piece.length
    players = tuple(
        player._replace(strokes=tuple(strokes[player.number]), dynamics=(), rests=(), spans=(), marks=())
        for player in parts[0].players
    )
    return replace(parts[0], players=players, bars=tuple(bars), playing_order=tuple(order))


def test_a_thousand_bars_take_little() -> None:
    piece = thousand_bars()
    assert len(piece.bars) >= 1000
    reading = min(cpu_seconds(lambda: read_score(SAMPLES / "quartet.musicxml")) for _ in range(3))
    for player in piece.players:
        for name, most, work in (
            ("look-alikes", 1, lambda player=player: look_alikes(piece, player)),
            ("their families", 2, lambda player=player: families(piece, player)),
            ("half a bar later", 2, lambda player=player: shifted_look_alikes(piece, player)),
            ("questions", 10, lambda player=player: all_questions(piece, player)),
        ):
            seconds = cpu_seconds(work)
            times = seconds / reading
            print(f"  {len(piece.bars)} bars, {player.name}, {name}: {seconds:.2f} s, {times:.1f} x reading 116 bars")
            assert times < most


def test_look_alikes_are_those_of_every_pair_in_all_parts_up_to_130_bars() -> None:
    parts = 0
    for piece in pieces():
        if len(piece.bars) <= 130:
            for player in piece.players:
                ours = {(pair.first, pair.second, pair.length) for pair in look_alikes(piece, player)}
                assert ours == _every(piece, player)
                parts += 1
    print(f"  {parts} parts: the same look-alikes as by going through every pair")
    assert parts >= 60


# When to ask: two models of forgetting that contradict each other, four ways to ask, everything known on the day.

ITEMS, DAYS, A_DAY, GUESS = 150, 14, 60, 0.25
FIRST = date(2027, 3, 1)


class Activation:
    """Pavlik and Anderson, Cognitive Science 29, 2005: activation decays by power laws; parameters from memory."""

    def __init__(self, chance: random.Random) -> None:
        self._ease, self._times, self._decays = chance.gauss(0, 0.5), list[float](), list[float]()

    def _activation(self, now: float) -> float:
        total = 0.0
        for at, decay in zip(self._times, self._decays, strict=True):
            age = now - at
            total += max(1.0, age if age < 40_000 else 0.025 * age) ** -decay
        return math.log(total)

    def recall(self, now: float) -> float:
        if not self._times:
            return 0.0
        return 1 / (1 + math.exp(min(50.0, (-0.704 - self._ease - self._activation(now)) / 0.255)))

    def study(self, now: float, is_right: bool) -> None:
        decay = 0.177 + (0.217 * math.exp(self._activation(now)) if self._times else 0.0)
        self._times.append(now)
        self._decays.append(decay)


class Stability:
    """Power forgetting whose stability grows the more, the more was forgotten; made up, against the other."""

    def __init__(self, chance: random.Random) -> None:
        self._ease, self._days, self._last = math.exp(chance.gauss(0, 0.5)), 0.0, 0.0

    def recall(self, now: float) -> float:
        return (1 + (now - self._last) / 86400 / self._days) ** -0.7 if self._days else 0.0

    def study(self, now: float, is_right: bool) -> None:
        gone = 1 - self.recall(now)
        if not self._days:
            self._days = 0.8 * self._ease
        elif is_right:
            self._days *= 1 + 2.2 * self._ease * (math.exp(1.6 * gone) - 1)
        else:
            self._days = max(0.4 * self._ease, 0.4 * self._days)
        self._last = now


Answers = Mapping[str, list[tuple[date, bool]]]
Way = Callable[[Sequence[Question], Answers, date, random.Random], Sequence[Question]]


def boxes(questions: Sequence[Question], answers: Answers, day: date, chance: random.Random) -> Sequence[Question]:
    return due_questions(questions, answers, day, FIRST + timedelta(days=DAYS), A_DAY)


def bundle(questions: Sequence[Question], answers: Answers, day: date, chance: random.Random) -> Sequence[Question]:
    """As many new ones as fit into the days, over and over."""
    size = -(-len(questions) // DAYS)
    first = (day - FIRST).days * size
    new = questions[first : first + size]
    return [new[n % len(new)] for n in range(A_DAY)] if new else ()


def at_random(questions: Sequence[Question], answers: Answers, day: date, chance: random.Random) -> Sequence[Question]:
    return [chance.choice(questions) for _ in range(A_DAY)]


def in_turn(questions: Sequence[Question], answers: Answers, day: date, chance: random.Random) -> Sequence[Question]:
    first = (day - FIRST).days * A_DAY
    return [questions[(first + n) % len(questions)] for n in range(A_DAY)]


def known_on_the_day(model: type[Activation] | type[Stability], way: Way, seed: int) -> float:
    chance = random.Random(seed)
    questions = [
        Question(str(n), f"kind {n % 5}", n, Fraction(0), "?", choices=("a", "b"), answer="a") for n in range(ITEMS)
    ]
    minds = {question.id: model(chance) for question in questions}
    answers: defaultdict[str, list[tuple[date, bool]]] = defaultdict(list)
    for day in range(DAYS):
        now = day * 86400 + 64800.0
        today = FIRST + timedelta(days=day)
        for question in way(questions, answers, today, chance):
            known = minds[question.id].recall(now)
            is_right = chance.random() < known + (1 - known) * GUESS
            minds[question.id].study(now, is_right)
            answers[question.id].append((today, is_right))
            now += 10
    return fmean(mind.recall(DAYS * 86400 + 72000.0) for mind in minds.values())


@pytest.mark.parametrize("model", [Activation, Stability])
def test_boxes_leave_as_much_as_the_best_of_the_simple_ways(model: type[Activation] | type[Stability]) -> None:
    known = {way.__name__: fmean(known_on_the_day(model, way, seed) for seed in range(8)) for way in WAYS}
    print(f"  {model.__name__}: " + ", ".join(f"{name} {100 * share:.1f} %" for name, share in known.items()))
    assert known["boxes"] > known["bundle"] + 0.1
    assert known["boxes"] > known["at_random"]
    assert known["boxes"] > known["in_turn"] - 0.02


WAYS: tuple[Way, ...] = (boxes, bundle, at_random, in_turn)
