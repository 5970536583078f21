"""Programmes drawn at random."""

import random
from datetime import date, datetime, timedelta

from score.concert.programme import ConcertEvening, Programme, ProgrammePiece
from score.plan.plan_inputs import Material
from score.plan.plan_tasks import tasks_of


def drawn_programme(
    seed: int,
    pieces: int = 5,
    evenings: int = 12,
    people: int = 8,
    chunks: tuple[int, int] = (6, 11),
    minutes: tuple[int, int] = (120, 150),
) -> Programme:
    """Pieces for two to five of the people; 12 % are missing, 15 % come late, 15 % leave early; all are at the last."""
    chance = random.Random(seed)
    return Programme(
        f"Drawn {seed}",
        tuple("ABCDEFGHIJKL"[:people]),
        tuple(_piece(chance, number, people, chunks) for number in range(pieces)),
        evenings=tuple(_evening(chance, day, evenings, people, minutes) for day in range(evenings)),
        concert=date(2027, 4, 1),
        today=date(2027, 1, 1),
        minutes_a_day=(45,) * people,
        changes=(150.0,) * (pieces - 1),
    )


def _piece(chance: random.Random, number: int, people: int, chunks: tuple[int, int]) -> ProgrammePiece:
    who = chance.sample(range(people), min(people, chance.choice((2, 3, 4, 4, 5))))
    drawn = tuple(
        Material(
            f"{number}.{index}",
            chance.uniform(15, 60),
            chance.uniform(0.1, 0.95),
            own=tuple((person, chance.random()) for person in who),
            needed=tuple(sorted(chance.sample(who, chance.randint(min(2, len(who)), len(who))))),
        )
        for index in range(chance.randint(*chunks))
    )
    return ProgrammePiece(f"piece {number}", drawn, tasks_of(drawn), people=frozenset(who))


def _evening(chance: random.Random, day: int, evenings: int, people: int, minutes: tuple[int, int]) -> ConcertEvening:
    last = day == evenings - 1
    length = minutes[day >= evenings - 3]
    start = datetime(2027, 1, 4, 19) + timedelta(days=7 * day)
    if last:
        return ConcertEvening(start, length)
    missing = frozenset(person for person in range(people) if chance.random() < 0.12)
    late = tuple((p, 30 * chance.randint(1, 2)) for p in range(people) if chance.random() < 0.15)
    leaves = tuple((p, length - 30 * chance.randint(1, 2)) for p in range(people) if chance.random() < 0.15)
    return ConcertEvening(start, length, missing, late=late, leaves=leaves)
