"""A programme that fills its time to the second, so that none is longer: a few pieces, and a pair that just fits.

Where there are many scores there are very many such programmes, and one comes at once; an integer program would look
for it among all the others.
"""

import random
from collections import defaultdict
from collections.abc import Mapping, Sequence
from itertools import product
from typing import NamedTuple

_TRIES, _SEED = 400, 1
_LOOKED_AT = 24
"""Pieces that are compared for each next place."""


class Offer(NamedTuple):
    """A piece that can be played.

    Attributes:
        seconds: whole.
        casts: sets of people who can take it, bits by position.
    """

    seconds: int
    casts: tuple[int, ...]


def filled(offers: Sequence[Offer], seconds: int, people: int, share: float) -> dict[int, int] | None:
    """Position of each piece to the people who play it, so many seconds in all; None where none came.

    Args:
        offers: what can be played.
        seconds: whole.
        people: how many there are.
        share: of the music that everybody plays in at least.
    """
    chance = random.Random(_SEED)
    by_seconds: dict[int, list[int]] = defaultdict(list)
    for position, offer in enumerate(offers):
        by_seconds[offer.seconds].append(position)
    for _ in range(_TRIES if len(offers) > 1 else 0):
        begun = _begun(offers, seconds, people, chance)
        last = _last_two(offers, by_seconds, begun, seconds, people, share)
        if last is not None:
            return begun | last
    return None


def _begun(offers: Sequence[Offer], seconds: int, people: int, chance: random.Random) -> dict[int, int]:
    """Some pieces of the programme, each with those who have played least so far."""
    begun: dict[int, int] = {}
    plays, left = [0] * people, seconds
    room = 2 * max(offer.seconds for offer in offers)
    while left > room * chance.uniform(0.4, 1.0):
        looked_at = chance.sample(range(len(offers)), min(_LOOKED_AT, len(offers)))
        ways = [
            (sorted(plays[p] + offers[at].seconds * (cast >> p & 1) for p in range(people)), at, cast)
            for at in looked_at
            if at not in begun and offers[at].seconds <= left
            for cast in offers[at].casts
        ]
        if not ways:
            break
        _, at, cast = max(ways)
        begun[at] = cast
        left -= offers[at].seconds
        plays = [played + offers[at].seconds * (cast >> p & 1) for p, played in enumerate(plays)]
    return begun


def _last_two(
    offers: Sequence[Offer],
    by_seconds: Mapping[int, Sequence[int]],
    begun: Mapping[int, int],
    seconds: int,
    people: int,
    share: float,
) -> dict[int, int] | None:
    """Two pieces, each with its people, that just fill what is left, so that everybody plays enough."""
    left = seconds - sum(offers[at].seconds for at in begun)
    plays = [sum(offers[at].seconds for at, cast in begun.items() if cast >> p & 1) for p in range(people)]
    for first, offer in enumerate(offers):
        if first in begun:
            continue
        for second in by_seconds.get(left - offer.seconds, ()):
            if second <= first or second in begun:
                continue
            for cast, with_it in product(offer.casts, offers[second].casts):
                now = (
                    played + offer.seconds * (cast >> p & 1) + offers[second].seconds * (with_it >> p & 1)
                    for p, played in enumerate(plays)
                )
                if all(each >= share * seconds for each in now):
                    return {first: cast, second: with_it}
    return None
