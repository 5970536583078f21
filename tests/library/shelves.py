"""Invented shelves of scores: facts only, from seeds."""

import random
from collections.abc import Sequence

from score.instruments.percussion import all_percussion
from score.library.library_reading import LibraryEntry
from score.library.score_facts import PartFacts, ScoreFacts

KINDS = tuple(all_percussion())[:40]
_WEIGHTS = [1 / (1 + place) for place in range(40)]


def shelf(count: int, seed: int, kinds: Sequence[str] = KINDS, most: int = 5) -> tuple[LibraryEntry, ...]:
    """So many scores for two to `most` players; the first kinds are asked for most often."""
    chance = random.Random(seed)
    return tuple(_entry(number, chance, kinds, most) for number in range(count))


def _entry(number: int, chance: random.Random, kinds: Sequence[str], most: int) -> LibraryEntry:
    parts = []
    for player in range(1, chance.randint(2, most) + 1):
        own = dict.fromkeys(chance.choices(kinds, weights=_WEIGHTS[: len(kinds)], k=chance.choice((1, 1, 2, 3))))
        parts.append(PartFacts(player, f"Player {player}", tuple(own), own=round(chance.random(), 3)))
    needs: dict[str, int] = {}
    for part in parts:
        for kind in part.kinds:
            needs[kind] = needs.get(kind, 0) + 1
    low = chance.randint(30, 60) if "marimba" in needs else None
    facts = ScoreFacts(
        f"Piece {number}",
        round(chance.uniform(90, 900), 1),
        bars=chance.randint(20, 400),
        parts=tuple(parts),
        needs=needs,
        low=low,
        high=None if low is None else low + chance.randint(5, 36),
        octaves="" if low is None else "5",
        strikers=(chance.choice(("medium yarn", "rubber mallets", "snare drum sticks", "bow")),),
        together=round(chance.random(), 3),
        warnings=("bar 3: repaired",) if chance.random() < 0.1 else (),
    )
    return LibraryEntry(f"piece-{number:04}.mxl", facts)
