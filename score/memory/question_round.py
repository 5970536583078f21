"""All questions of a player, and a round of them: kinds mixed, none of them asked too often."""

import hashlib
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Sequence

from score.memory.hearing_questions import tune, where
from score.memory.own_questions import (
    dynamics,
    enters,
    firsts,
    forks,
    goes_on,
    instruments,
    mallets,
    times,
    waits,
)  # fmt: skip
from score.memory.question import Question, QuestionFacts
from score.memory.who_questions import leads_in, moves, rhythms, stops, together
from score.piece import Piece, Player

KINDS: tuple[Callable[[QuestionFacts], Iterator[Question]], ...] = (
    moves, waits, leads_in, enters, instruments, mallets, goes_on, forks, rhythms, together, times, stops, where,
    firsts, tune, dynamics,
)  # fmt: skip
"""In the order in which a round goes through them."""

MOST_OF_A_KIND, MOST_OF_AN_ANSWER = 6, 2
"""How many questions of a round may be of one kind, and how many of a kind may have one answer."""


def all_questions(piece: Piece, player: Player) -> tuple[Question, ...]:
    """Every question that can be put to a player, kind by kind, each with an id of its own."""
    facts = QuestionFacts(piece, player)
    seen: Counter[str] = Counter()
    questions: list[Question] = []
    for kind in KINDS:
        for question in kind(facts):
            seen[question.id] += 1
            again = seen[question.id]
            # The same is asked of two places that nothing tells apart: they are told apart by their order.
            questions.append(question._replace(id=f"{question.id}-{again}") if again > 1 else question)
    return tuple(questions)


def question_round(piece: Piece, player: Player, many: int, lap: int = 0) -> tuple[Question, ...]:
    """A round of questions, drawn evenly from the kinds.

    Args:
        piece: the piece.
        player: who is asked.
        many: how many at the most; fewer where the piece gives no more that are worth asking together.
        lap: another number draws another round.
    """
    waiting: dict[str, list[Question]] = defaultdict(list)
    for question in sorted(all_questions(piece, player), key=lambda question: _drawn(question, lap)):
        waiting[question.kind].append(question)
    chosen: list[Question] = []
    answers: Counter[tuple[str, str]] = Counter()
    for _ in range(MOST_OF_A_KIND):
        for kind, open_ones in waiting.items():
            fresh = (each for each in open_ones if answers[kind, each.answer] < MOST_OF_AN_ANSWER)
            chosen_one = next(fresh, None)
            if chosen_one is not None and len(chosen) < many:
                open_ones.remove(chosen_one)
                answers[kind, chosen_one.answer] += 1
                chosen.append(chosen_one)
    return _mixed(chosen)


def _mixed(chosen: Sequence[Question]) -> tuple[Question, ...]:
    """None of the kinds more than a third, where there are four or more: the last ones of the commonest go."""
    left = list(chosen)
    while left:
        kind, many = Counter(question.kind for question in left).most_common(1)[0]
        if 3 * many <= len(left) or len({question.kind for question in left}) < 4:
            break
        del left[max(place for place, question in enumerate(left) if question.kind == kind)]
    return tuple(left)


def _drawn(question: Question, lap: int) -> bytes:
    return hashlib.sha256(f"{lap} {question.id}".encode()).digest()


def questions_json(questions: tuple[Question, ...]) -> list[dict[str, object]]:
    """Questions as values JSON can write: `id`, `kind`, `bar` (index from 0), `at`, `text`, `choices`, `answer`."""
    return [
        {
            "id": question.id,
            "kind": question.kind,
            "bar": question.bar,
            "at": str(question.at),
            "text": question.text,
            "choices": list(question.choices),
            "answer": question.answer,
        }
        for question in questions
    ]
