"""The cheapest assignment of mallets to the blows of a passage, found exactly.

Dynamic programming from blow to blow. A state is what both hands hold; the hand that just struck is given by the way
the blow was dealt, so only the waiting hand varies. A waiting hand is dropped when another one, reached at less cost,
can do everything it can at no more than the difference: a bound that holds whatever comes (`_excess`), so nothing is
lost. Brute force agrees on short passages.
"""

from collections.abc import Sequence
from operator import itemgetter
from typing import NamedTuple

from score.setup.mallets import (
    CROSSED_A_METRE,
    REST_SECONDS,
    SHORTEST,
    TURN_SECONDS,
    TURNED,
    Blow,
    Held,
    Option,
    Rules,
    crossing_cost,
    options,
    quick_cost,
    rested,
    stroke_cost,
    travel_cost,
)


class DealtPath(NamedTuple):
    """How a state was reached: the last blow's mallets, and the path before it."""

    dealt: str
    before: "DealtPath | None"


class _NextBlow(NamedTuple):
    """What the bound asks of a blow: when it is struck, and its lowest and highest place."""

    seconds: float
    low: float
    high: float


State = tuple[Held | None, Held | None, float, DealtPath | None]
"""Left hand, right hand, cost so far, and how it was reached."""
Waiting = dict[Held | None, tuple[float, DealtPath]]
"""What the hand that did not strike may hold, with cost and path."""


def assign(blows: Sequence[Blow], rules: Rules) -> tuple[float, list[str]]:
    """The cheapest assignment.

    Args:
        blows: of one passage, in order.
        rules: limits, with two or four mallets.

    Returns:
        its cost, and for each blow the mallets of its notes from low to high ("L", "LR", "24" ...).
    """
    ahead = [_NextBlow(b.seconds, min(n.place for n in b.notes), max(n.place for n in b.notes)) for b in blows]
    states: list[State] = [(None, None, 0.0, None)]
    for index, blow in enumerate(blows):
        reached: list[State] = []
        rest = _rested(states, blow.seconds)
        for option in options(blow, rules.four):
            waiting = _reach(rest, option, blow.seconds, rules)
            reached += _kept(waiting, option, ahead, index + 1, rules)
        states = reached
    best = min(states, key=itemgetter(2))
    return best[2], _dealt(best[3])


def _rested(states: list[State], now: float) -> list[State]:
    """The states with hands that have rested known by their places alone; of equal ones the cheapest."""
    cheapest: dict[tuple[Held | None, Held | None], State] = {}
    for left, right, cost, path in states:
        left_hand, right_hand = rested(left, now), rested(right, now)
        rival = cheapest.get((left_hand, right_hand))
        if rival is None or cost < rival[2]:
            cheapest[left_hand, right_hand] = left_hand, right_hand, cost, path
    return list(cheapest.values())


def _reach(states: list[State], option: Option, now: float, rules: Rules) -> Waiting:
    """Every state after a blow dealt this way, by what the hand that did not strike holds."""
    dealt, struck_left, struck_right, own_cost = option
    waiting: Waiting = {}
    # Many states have a hand in common: what it costs is counted once.
    lefts: dict[int, float] = {}
    rights: dict[int, float] = {}
    for left, right, cost, path in states:
        total = cost + own_cost
        if struck_left is not None:
            if (more := lefts.get(id(left))) is None:
                more = lefts[id(left)] = stroke_cost(left, struck_left, now, rules)
            total += more
            left = struck_left
        if struck_right is not None:
            if (more := rights.get(id(right))) is None:
                more = rights[id(right)] = stroke_cost(right, struck_right, now, rules)
            total += more
            right = struck_right
        total += crossing_cost(left, right)
        rest = None if struck_left is not None and struck_right is not None else right if struck_left else left
        rival = waiting.get(rest)
        if rival is None or total < rival[0]:
            waiting[rest] = total, DealtPath(dealt, path)
    return waiting


def _kept(waiting: Waiting, option: Option, ahead: list[_NextBlow], index: int, rules: Rules) -> list[State]:
    """The states of one way to deal without those that another one is never worse than."""
    left_waits = option.left is None
    since = ahead[index].seconds - REST_SECONDS if index < len(ahead) else None
    kept: list[tuple[Held | None, float, DealtPath]] = []
    for held, (cost, path) in sorted(waiting.items(), key=lambda item: item[1][0]):
        for other, other_cost, _ in kept:
            # The bound is infinite for two of three pairs, free later or never used: seen here without a call.
            if since is not None and other is not None and (held is None or held.until < other.until > since):
                continue
            if _excess(other, held, left_waits, ahead, index, rules, cost - other_cost) <= cost - other_cost:
                break
        else:
            kept.append((held, cost, path))
    if option.left is not None and option.right is not None:
        return [(option.left, option.right, cost, path) for _, cost, path in kept]
    if left_waits:
        return [(held, option.right, cost, path) for held, cost, path in kept]
    return [(option.left, held, cost, path) for held, cost, path in kept]


def _excess(
    hand: Held | None, other: Held | None, left: bool, ahead: list[_NextBlow], index: int, rules: Rules, room: float
) -> float:
    """The most that going on with `hand` can cost more than going on with `other`, whatever comes.

    A hand that never struck costs nothing. Else one that was free earlier has more time for everything; it may have
    further to go, may have to repeat a mallet or to change its mallets' places, and may stand in the other hand's way
    while it waits, for as long as it waits.

    Args:
        hand: what the hand may hold.
        other: what it may hold instead.
        left: it is the left hand.
        ahead: every blow.
        index: of the next one.
        rules: limits.
        room: more than this need not be known exactly.
    """
    if hand is None or index >= len(ahead):
        return 0.0
    if other is None:
        return float("inf")
    most = _stroke_excess(hand, other, ahead[index].seconds, rules)
    if hand.top <= other.top if left else hand.bottom >= other.bottom:
        return most
    for number in range(index, len(ahead)):
        if most > room:
            break
        blow = ahead[number]
        # Whatever strikes meanwhile is the other hand, no further out of the way than the blow's own notes.
        deeper = hand.top - max(other.top, blow.low) if left else min(other.bottom, blow.high) - hand.bottom
        most += max(0.0, deeper) * CROSSED_A_METRE / 1000
    return most


def _stroke_excess(hand: Held, other: Held, soonest: float, rules: Rules) -> float:
    """The most that the next stroke of `hand`, not before `soonest`, can cost more than that of `other`."""
    if soonest - hand.until >= REST_SECONDS:
        return 0.0
    if hand.until > other.until:
        return float("inf")
    wait = max(SHORTEST, soonest - hand.until)
    further = max(
        0.0,
        hand.low_from - other.low_from,
        other.low_to - hand.low_to,
        hand.high_from - other.high_from,
        other.high_to - hand.high_to,
    )
    most = further * travel_cost(wait, rules)
    if hand.mask & ~other.mask:
        most += quick_cost(wait, rules.repeat)
    if wait < TURN_SECONDS and _turns_sooner(hand, other):
        most += TURNED
    return most


def _turns_sooner(hand: Held, other: Held) -> bool:
    """Whether there is a stroke for which the mallets of `hand` change places and those of `other` do not."""
    if hand.mask == 3:
        return False
    if hand.mask != other.mask:
        return True
    return hand.high_from < other.high_from if hand.mask == 2 else hand.low_from > other.low_from


def _dealt(path: DealtPath | None) -> list[str]:
    deals = []
    while path is not None:
        deals.append(path.dealt)
        path = path.before
    return deals[::-1]
