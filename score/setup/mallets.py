"""What a hand holds and what a stroke costs it: the model behind the assignment of mallets.

With two mallets they are called L and R. With four they are numbered 1 to 4 from left to right as the player sees them,
1 and 2 in the left hand, 3 and 4 in the right (common practice, no source; a minority counts from the right, which the
group's file can say). "Low" and "high" are left and right: who faces another player across an instrument has its low
bars on the right, and everything is mirrored. A mallet that did not strike waits anywhere the hand spans beside the one
that did, so a hand that holds the shape of a chord does not travel.

Costs, without unit (common practice, no source; chosen by looking at what players write into parts):

- travel: 0.5 a metre, and the share it is of what the hand covers comfortably in the time it had;
- a hand that strikes again within a second: 0.1, and 1.5 times the square of the share it is of its limit, so that
  quick passages go hand to hand; beyond the limit 4 times the share;
- left hand above the right, wherever each struck last: 2.5 a metre at every blow of a passage, however long the other
  hand has waited, for it has not gone away;
- a hand whose mallets change places within half a second (1 above where 2 struck, 4 below where 3 did): 4;
- a chord wider than the hand spans: 8 and more; one that opens the hand beyond a sixth: 0.05 a semitone; a roll left to
  one hand: 2; an outer mallet for a single note: 0.05.

After two seconds without a stroke a hand may go wherever it is wanted at no cost.
"""

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import combinations, permutations
from typing import NamedTuple

from score.setup.limits import Limits

TWO, FOUR = "LR", "1234"
REST_SECONDS, TURN_SECONDS, SHORTEST = 2.0, 0.5, 1e-3
TRAVEL_A_METRE, CROSSED_A_METRE, TOO_QUICK, TOO_WIDE, SAME_HAND = 0.5, 2.5, 4.0, 8.0, 1.5
ONE_HAND_ROLL, OUTER, AGAIN, TURNED = 2.0, 0.05, 0.1, 4.0
CLOSED_SEMITONES, OPEN_A_SEMITONE = 9, 0.05
NEVER = float("-inf")
"""When a hand that has rested was last busy: only where it is still counts."""
TOLERANCE = 1.02
"""A limit is passed when it is exceeded by more than this factor: tempi are no finer than that."""
_HANDS = {"L": 0, "R": 1, "1": 0, "2": 0, "3": 1, "4": 1}


@dataclass(frozen=True, slots=True)
class Note:
    """One note to strike.

    Attributes:
        place: mm along the bars, or along the instruments of a station.
        below, above: how far down or up the other mallet of the same hand reaches from there, mm.
        pitch: sounding MIDI number, 0 when it has none.
        span: semitones the hand spans upwards from here.
        asked: what is printed: "L", "R", "1" to "4", or "".
        name: as it stands on the page, "" where there is only one thing to strike.
        rebounds: what strikes it comes back by itself, as from a skin.
    """

    place: float
    below: float
    above: float
    pitch: int = 0
    span: float = 0.0
    asked: str = ""
    name: str = ""
    rebounds: bool = False


@dataclass(frozen=True, slots=True)
class Blow:
    """Everything one player strikes at one moment.

    Attributes:
        seconds: when.
        until: when the hands are free to go: at once, after a roll near its end.
        bar, at: where it stands.
        notes: from the player's left to right, from low to high unless they stand on the far side; a roll on one note
            has it twice, once a hand.
        roll: it is rolled.
    """

    seconds: float
    until: float
    bar: int
    at: Fraction
    notes: tuple[Note, ...]
    roll: bool = False


class Held(NamedTuple):
    """A hand after it struck.

    Attributes:
        until: when it was free again, seconds.
        mask: which mallets struck: 1 the lower, 2 the upper, 3 both.
        low_from, low_to: where the lower mallet can be, mm.
        high_from, high_to: where the upper mallet can be, mm.
        bottom, top: lowest and highest place it struck, mm.
    """

    until: float
    mask: int
    low_from: float
    low_to: float
    high_from: float
    high_to: float
    bottom: float
    top: float


class Option(NamedTuple):
    """One way to deal a blow: its mallets from low to high, what each hand does, and what it costs in itself."""

    dealt: str
    left: Held | None
    right: Held | None
    cost: float


class Rules(NamedTuple):
    """The limits one passage is held against.

    Attributes:
        four: four mallets are held.
        mm_a_second: comfortable travel.
        repeat: strokes a second of one mallet.
        in_turn: strokes a second of one hand whose two mallets take turns.
    """

    four: bool
    mm_a_second: float
    repeat: float
    in_turn: float


def rules_of(limits: Limits, four: bool, rebounds: bool = False) -> Rules:
    """The limits that hold with two or with four mallets, and where sticks rebound."""
    alone = limits.rebound_strokes_a_second if rebounds else limits.hand_strokes_a_second
    repeat = limits.four_hand_strokes_a_second if four else alone
    return Rules(four, limits.hand_mm_a_second, repeat, in_turn=limits.in_turn_strokes_a_second if four else repeat)


def span_limit(low: int, limits: Limits) -> float:
    """Semitones one hand spans, by the lower note."""
    return limits.span_low if low < 48 else limits.span_middle if low < 72 else limits.span_high


def hand_of(mallet: str) -> int | None:
    """0 for the left hand, 1 for the right, None for no mallet."""
    return _HANDS.get(mallet)


@lru_cache(maxsize=4096)
def deals(asked: tuple[str, ...], four: bool) -> tuple[str, ...]:
    """Every way to deal notes, low to high, to mallets; what is printed stands wherever hands can do it.

    Args:
        asked: what is printed over each note, "" for nothing.
        four: four mallets are held, else two.

    Returns:
        texts with one mallet a note, "-" where there are more notes than mallets. Mallets rise with the notes unless
        the print crosses them; those of one hand change places only where the print says so.
    """
    mallets, count = FOUR if four else TWO, len(asked)
    if count > len(mallets):
        half = len(mallets) // 2
        return (mallets[:half] + "-" * (count - len(mallets)) + mallets[half:],)
    for ways in (combinations(mallets, count), permutations(mallets, count)):
        fitting = tuple("".join(way) for way in ways if all(map(_agrees, way, asked)))
        if fitting:
            return tuple(filter(_unturned, fitting)) or fitting
    return tuple("".join(way) for way in combinations(mallets, count))


def options(blow: Blow, four: bool) -> list[Option]:
    """Every way to deal a blow, with the hands after it."""
    return [option(blow, dealt) for dealt in deals(tuple(note.asked for note in blow.notes), four)]


def option(blow: Blow, dealt: str) -> Option:
    """One way to deal a blow."""
    left, left_wide = _strike(blow, dealt, 0)
    right, right_wide = _strike(blow, dealt, 1)
    cost = left_wide + right_wide
    if blow.roll and (left is None or right is None):
        cost += ONE_HAND_ROLL
    if dealt in ("1", "4"):
        cost += OUTER
    return Option(dealt, left, right, cost=cost)


def moved(held: Held, struck: Held) -> float:
    """Millimetres a hand has to go from one stroke to the next: the further of its mallets."""
    far = 0.0
    if struck.mask & 1:
        far = max(far, held.low_from - struck.low_from, struck.low_from - held.low_to)
    if struck.mask & 2:
        far = max(far, held.high_from - struck.high_from, struck.high_from - held.high_to)
    return far


def stroke_cost(held: Held | None, struck: Held, now: float, rules: Rules) -> float:
    """Cost for one hand of going to a stroke."""
    if held is None or now - held.until >= REST_SECONDS:
        return 0.0
    wait = max(SHORTEST, now - held.until)
    limit = rules.repeat if held.mask & struck.mask else rules.in_turn
    turned = TURNED if wait < TURN_SECONDS and turns(held, struck) else 0.0
    return moved(held, struck) * travel_cost(wait, rules) + quick_cost(wait, limit) + turned


def turns(held: Held, struck: Held) -> bool:
    """Whether the lower mallet goes above where the upper one struck, or the other way round."""
    if held.mask == 2 and struck.mask == 1:
        return struck.low_from > held.high_from
    return held.mask == 1 and struck.mask == 2 and struck.high_from < held.low_from


def travel_cost(wait: float, rules: Rules) -> float:
    """Cost of one millimetre."""
    return TRAVEL_A_METRE / 1000 + 1 / (rules.mm_a_second * wait)


def quick_cost(wait: float, limit: float) -> float:
    """Cost of striking again after so many seconds."""
    share = 1 / (wait * limit)
    if share > TOLERANCE:
        return TOO_QUICK * share
    return SAME_HAND * share * share + AGAIN if wait < 1 else 0.0


def crossing_cost(left: Held | None, right: Held | None) -> float:
    """Cost of the left hand above the right, by where each struck last."""
    if left is None or right is None or left.top <= right.bottom:
        return 0.0
    return (left.top - right.bottom) * CROSSED_A_METRE / 1000


def rested(held: Held | None, now: float) -> Held | None:
    """A hand that has rested, of which only where it is still counts; any other as it is."""
    if held is None or now - held.until < REST_SECONDS:
        return held
    return Held(NEVER, 0, 0.0, low_to=0.0, high_from=0.0, high_to=0.0, bottom=held.bottom, top=held.top)


def _unturned(way: str) -> bool:
    """The two mallets of each hand rise with the notes."""
    return all(not (low in way and high in way) or way.index(low) < way.index(high) for low, high in ("12", "34"))


def _agrees(mallet: str, asked: str) -> bool:
    return not asked or asked == mallet or (asked in TWO and _HANDS[asked] == _HANDS[mallet])


def _strike(blow: Blow, dealt: str, hand: int) -> tuple[Held | None, float]:
    """A hand after a blow, and what the width of its chord costs."""
    taken = [(mallet, note) for mallet, note in zip(dealt, blow.notes, strict=True) if _HANDS.get(mallet) == hand]
    if not taken:
        return None, 0.0
    if len(taken) == 1:
        mallet, note = taken[0]
        return _alone(blow, mallet, note), 0.0
    (_, low), (_, high) = sorted(taken, key=lambda pair: pair[0])
    bottom, top = sorted((low.place, high.place))
    wide = abs(high.pitch - low.pitch) - (low.span if low.pitch <= high.pitch else high.span)
    held = Held(
        blow.until, 3, low.place, low_to=low.place, high_from=high.place, high_to=high.place, bottom=bottom, top=top
    )
    opened = max(0, abs(high.pitch - low.pitch) - CLOSED_SEMITONES) * OPEN_A_SEMITONE
    return held, opened + (TOO_WIDE + wide / 12 if wide > 0 else 0.0)


def _alone(blow: Blow, mallet: str, note: Note) -> Held:
    """A hand that struck with one mallet; the other waits within its span."""
    at = note.place
    if mallet in TWO:
        return Held(blow.until, 1, at, low_to=at, high_from=at, high_to=at, bottom=at, top=at)
    if mallet in "13":
        return Held(blow.until, 1, at, low_to=at, high_from=at, high_to=note.above, bottom=at, top=at)
    return Held(blow.until, 2, note.below, low_to=at, high_from=at, high_to=at, bottom=at, top=at)
