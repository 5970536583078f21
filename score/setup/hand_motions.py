"""A player's passages with the mallets that strike them, and what each hand does from stroke to stroke."""

from collections.abc import Iterator
from dataclasses import dataclass

from score.setup.hand_passages import HandPassage, Hands
from score.setup.limits import Limits
from score.setup.mallet_assignment import assign
from score.setup.mallets import REST_SECONDS, SHORTEST, Blow, Held, Rules, hand_of, moved, option, rules_of

LEFT, RIGHT = 0, 1
INFINITE = float("inf")
_AFTER_A_DOUBLE = 1.5
"""A hand that had this many times longer for the stroke before plays a double (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class DealtPassage:
    """A passage with the mallets that strike it.

    Attributes:
        passage: what is struck.
        rules: limits it is held against.
        mallets: for each blow, one letter a note from left to right ("L", "R", "1" to "4", "-" for none).
        limits: all of them.
    """

    passage: HandPassage
    rules: Rules
    mallets: tuple[str, ...]
    limits: Limits


@dataclass(frozen=True, slots=True)
class Motion:
    """One hand going from one stroke to the next.

    Attributes:
        hand: 0 left, 1 right.
        blow: where it arrives.
        seconds: it had.
        mm: it went.
        rate: strokes a second it makes here; in doubles over both strokes of one.
        limit: strokes a second that are comfortable here.
        repeated: the same mallet strikes again.
        rolled: it comes from a roll, so its speed is the roll's own.
    """

    hand: int
    blow: Blow
    seconds: float
    mm: float
    rate: float
    limit: float
    repeated: bool
    rolled: bool


def dealt_passages(hands: Hands) -> list[DealtPassage]:
    """Every passage of a player with its cheapest assignment."""
    passages = []
    for passage in hands.passages():
        rules = rules_of(hands.limits, passage.four, passage.rebounds)
        _, mallets = assign(passage.blows, rules)
        passages.append(DealtPassage(passage, rules, tuple(mallets), limits=hands.limits))
    return passages


def motions(dealt: DealtPassage) -> Iterator[Motion]:
    """Every stroke of a hand that follows another one of the same hand within two seconds."""
    pasts = (_Past(), _Past())
    for blow, mallets in zip(dealt.passage.blows, dealt.mallets, strict=True):
        _, left, right, _ = option(blow, mallets)
        for hand, struck in ((LEFT, left), (RIGHT, right)):
            past = pasts[hand]
            if struck is None:
                past.other_struck = True
                continue
            seconds = INFINITE
            if past.held is not None and blow.seconds - past.held.until < REST_SECONDS:
                seconds = max(SHORTEST, blow.seconds - past.held.until)
                yield _motion(hand, blow, struck, past, _rebounds(blow, mallets, hand), dealt)
            past.held, past.rolled, past.seconds, past.other_struck = struck, blow.roll, seconds, False


class _Past:
    """What a hand did last: where it was, how long it had for that, and whether the other hand struck since."""

    def __init__(self) -> None:
        self.held: Held | None = None
        self.rolled = False
        self.seconds = INFINITE
        self.other_struck = False


def _motion(hand: int, blow: Blow, struck: Held, past: _Past, rebounds: bool, dealt: DealtPassage) -> Motion:
    last, rules = past.held, dealt.rules
    assert last is not None
    repeated = bool(last.mask & struck.mask)
    seconds = max(SHORTEST, blow.seconds - last.until)
    rate, limit = 1 / seconds, rules.repeat if repeated else rules.in_turn
    if rebounds and repeated:
        rate, limit = _rebound_rate(seconds, past, dealt.limits)
    elif repeated and not rules.four:
        limit = dealt.limits.hand_strokes_a_second
    return Motion(
        hand, blow, seconds, mm=moved(last, struck), rate=rate, limit=limit, repeated=repeated, rolled=past.rolled
    )


def _rebound_rate(seconds: float, past: _Past, limits: Limits) -> tuple[float, float]:
    """Strokes a second where sticks rebound, and how many are comfortable.

    Hands that take turns may as well play doubles, and the second stroke of a double needs no arm: both are counted
    over two strokes. What one hand plays alone, stroke for stroke, are single strokes.
    """
    is_double = past.other_struck or past.seconds > _AFTER_A_DOUBLE * seconds
    if 1 / seconds > limits.rebound_strokes_a_second and is_double:
        return 2 / (seconds + past.seconds), limits.double_strokes_a_second
    return 1 / seconds, limits.rebound_strokes_a_second


def _rebounds(blow: Blow, mallets: str, hand: int) -> bool:
    """Whether what a hand strikes rebounds."""
    return all(note.rebounds for mallet, note in zip(mallets, blow.notes, strict=True) if hand_of(mallet) == hand)
