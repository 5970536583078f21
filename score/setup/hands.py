"""Which hand strikes what: the assignment that respects printed stickings and moves least, found exactly.

Dynamic programming over the strokes of one instrument. A state is where and when each hand struck last; a stroke's
notes are dealt from low to high, the lower to the left hand, at most two to a hand. Costs, without unit: millimetres
travelled over what a hand covers comfortably in the time it had; crossing; one hand striking quicker than it likes.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import inf

from score.lanes import pitch_name
from score.piece import Piece, Player, Stroke, StrokeKind
from score.playback.tempo import TempoMap
from score.setup.finding import Finding, Kind, Weight
from score.setup.geometry import KEYBOARDS, bar_mm
from score.setup.limits import Limits

LEFT, RIGHT = "L", "R"
_CROSSING, _TOO_QUICK, _TOO_WIDE, _SAME_HAND = 1.5, 4.0, 8.0, 0.35


@dataclass(frozen=True, slots=True)
class Blow:
    """What is struck at one moment on one instrument.

    Attributes:
        seconds: when.
        pitches: ascending.
        places: of each note in mm along the bars.
        bar, at: where it stands.
        asked: hand of each note as printed ("L", "R"), "" where nothing is printed.
    """

    seconds: float
    pitches: tuple[int, ...]
    places: tuple[float, ...]
    bar: int
    at: Fraction
    asked: tuple[str, ...]


State = tuple[float, float, float, float]
"""Left hand's place in mm and last moment in seconds, then the right hand's."""


def blows_of(piece: Piece, player: Player, instrument: int, times: TempoMap) -> list[Blow]:
    """A player's strokes on one keyboard instrument, notes of one moment together; rolls are struck by both hands."""
    key = player.instruments[instrument].key
    moments: dict[tuple[int, Fraction], list[Stroke]] = {}
    for stroke in player.strokes:
        if stroke.instrument == instrument and stroke.pitches and stroke.kind is StrokeKind.STROKE:
            moments.setdefault((stroke.bar, stroke.at), []).append(stroke)
    found = []
    for (bar, at), strokes in sorted(moments.items()):
        notes = sorted(
            (pitch, hand) for stroke in strokes for pitch, hand in zip(stroke.pitches, _asked(stroke), strict=True)
        )
        pitches = tuple(pitch for pitch, _ in notes)
        seconds = times.seconds(piece.offset_of(bar, at))
        places = tuple(bar_mm(key, pitch) for pitch in pitches)
        found.append(Blow(seconds, pitches, places, bar, at, tuple(hand for _, hand in notes)))
    return found


def assign(blows: Sequence[Blow], limits: Limits) -> tuple[float, list[str]]:
    """The cheapest assignment: its cost, and a text of hands for each blow ("L", "RL" ..., from low to high)."""
    states: dict[State, tuple[float, tuple[str, ...]]] = {_start(blows): (0.0, ())}
    for blow in blows:
        reached: dict[State, tuple[float, tuple[str, ...]]] = {}
        for state, (cost, hands) in states.items():
            for dealt in deals(blow):
                total = cost + step_cost(state, blow, dealt, limits)
                after = moved(state, blow, dealt)
                if total < reached.get(after, (inf, ()))[0]:
                    reached[after] = total, (*hands, dealt)
        states = _few(reached)
    cost, hands = min(states.values(), key=lambda value: value[0])
    return cost, list(hands)


def deals(blow: Blow) -> list[str]:
    """Every way to deal a blow's notes to the hands: the lower to the left; printed stickings as they stand."""
    count = len(blow.pitches)
    ways = [LEFT * left + RIGHT * (count - left) for left in range(count + 1)]
    fitting = [way for way in ways if way.count(LEFT) <= 2 and way.count(RIGHT) <= 2] or [
        LEFT * (count // 2) + RIGHT * (count - count // 2)
    ]
    asked = [
        way for way in fitting if all(not wish or wish == hand for wish, hand in zip(blow.asked, way, strict=True))
    ]
    if asked or not all(blow.asked):
        return asked or fitting
    return ["".join(blow.asked)]  # printed hands that cross: as printed


def step_cost(state: State, blow: Blow, dealt: str, limits: Limits) -> float:
    """Cost of one blow after a state."""
    cost = 0.0
    for hand, (place, moment) in ((LEFT, state[:2]), (RIGHT, state[2:])):
        target = _middle(blow, dealt, hand)
        if target is None:
            continue
        held = [pitch for pitch, given in zip(blow.pitches, dealt, strict=True) if given == hand]
        if held[-1] - held[0] > span_limit(held[0], limits):
            cost += _TOO_WIDE
        wait = max(1e-3, blow.seconds - moment)
        cost += abs(target - place) / limits.hand_mm_a_second / wait if wait < 60 else 0.0
        if wait * limits.hand_strokes_a_second < 1:
            cost += _TOO_QUICK
        elif wait < 1.0:
            cost += _SAME_HAND / wait / limits.hand_strokes_a_second
    after = moved(state, blow, dealt)
    return cost + (_CROSSING if after[0] > after[2] + 1 else 0.0)


def moved(state: State, blow: Blow, dealt: str) -> State:
    """Where the hands are after a blow."""
    left, right = _middle(blow, dealt, LEFT), _middle(blow, dealt, RIGHT)
    first = (left, blow.seconds) if left is not None else state[:2]
    second = (right, blow.seconds) if right is not None else state[2:]
    return (*first, *second)


def hand_findings(piece: Piece, player: Player, times: TempoMap, limits: Limits) -> Iterator[Finding]:
    """Notes at once, spans, speed and leaps of each hand."""
    for index, instrument in enumerate(player.instruments):
        if instrument.key not in KEYBOARDS:
            continue
        blows = blows_of(piece, player, index, times)
        yield from _too_many(piece, player, index, limits)
        if blows:
            _, hands = assign(blows, limits)
            yield from _spans(player, blows, hands, limits)
            yield from _motion(player, blows, hands, limits)


def suggested(piece: Piece, player: Player, times: TempoMap, limits: Limits) -> dict[tuple[int, Fraction], str]:
    """A sticking for every stroke on a keyboard instrument that has none printed, by bar and place."""
    found = {}
    for index, instrument in enumerate(player.instruments):
        if instrument.key in KEYBOARDS:
            blows = blows_of(piece, player, index, times)
            _, hands = assign(blows, limits) if blows else (0.0, [])
            for blow, dealt in zip(blows, hands, strict=True):
                if not any(blow.asked):
                    found[blow.bar, blow.at] = dealt
    return found


def span_limit(low: int, limits: Limits) -> float:
    """Semitones one hand spans, by the lower note."""
    return limits.span_low if low < 48 else limits.span_middle if low < 72 else limits.span_high


def _too_many(piece: Piece, player: Player, instrument: int, limits: Limits) -> Iterator[Finding]:
    counts: dict[tuple[int, Fraction], int] = {}
    for stroke in player.strokes:
        if stroke.instrument == instrument and stroke.kind is not StrokeKind.GRACE:
            counts[stroke.bar, stroke.at] = counts.get((stroke.bar, stroke.at), 0) + len(stroke.pitches)
    for (bar, at), count in counts.items():
        if count > limits.notes_at_once:
            text = f"{count} notes at once"
            yield Finding(
                Kind.NOTES, Weight.CANNOT, player.number, bar, at, count, limits.notes_at_once, "notes", text,
                "leave inner notes to another player",
            )  # fmt: skip


def _spans(player: Player, blows: Sequence[Blow], hands: Sequence[str], limits: Limits) -> Iterator[Finding]:
    for blow, dealt in zip(blows, hands, strict=True):
        for hand in (LEFT, RIGHT):
            held = [pitch for pitch, given in zip(blow.pitches, dealt, strict=True) if given == hand]
            if len(held) > 1 and held[-1] - held[0] > span_limit(held[0], limits):
                names = f"{pitch_name(held[0])} to {pitch_name(held[-1])}"
                text = f"{names} in one hand, {held[-1] - held[0]} semitones"
                yield Finding(
                    Kind.SPAN, Weight.TIGHT, player.number, blow.bar, blow.at, held[-1] - held[0],
                    span_limit(held[0], limits), "semitones", text, "break the chord, or leave a note out",
                )  # fmt: skip


def _motion(player: Player, blows: Sequence[Blow], hands: Sequence[str], limits: Limits) -> Iterator[Finding]:
    for hand in (LEFT, RIGHT):
        before: tuple[float, float] | None = None
        for blow, dealt in zip(blows, hands, strict=True):
            place = _middle(blow, dealt, hand)
            if place is None:
                continue
            if before is not None:
                yield from _moved(player, blow, hand, place, before, limits)
            before = place, blow.seconds


def _moved(
    player: Player, blow: Blow, hand: str, place: float, before: tuple[float, float], limits: Limits
) -> Iterator[Finding]:
    wait = blow.seconds - before[1]
    if wait <= 0:
        return
    name = "left" if hand == LEFT else "right"
    if 1 / wait > limits.hand_strokes_a_second * 1.02:
        text = f"the {name} hand strikes {1 / wait:.1f} times a second"
        yield Finding(
            Kind.SPEED, Weight.TIGHT, player.number, blow.bar, blow.at, round(1 / wait, 2),
            limits.hand_strokes_a_second, "strokes a second", text, "share it between the hands, or a double stroke",
        )  # fmt: skip
    speed = abs(place - before[0]) / wait
    if speed > limits.hand_mm_a_second:
        text = f"the {name} hand goes {abs(place - before[0]):.0f} mm in {wait:.2f} s"
        yield Finding(
            Kind.LEAP, Weight.TIGHT, player.number, blow.bar, blow.at, round(speed), limits.hand_mm_a_second,
            "mm a second", text, "another sticking, or stand where both ends are in reach",
        )  # fmt: skip


def _asked(stroke: Stroke) -> tuple[str, ...]:
    """Printed hands, note by note: R and L, or mallets 1 to 4 from the left."""
    hands = [_hand(sign) for sign in stroke.stickings]
    if len(hands) == len(stroke.pitches):
        return tuple(hands)
    return ("",) * len(stroke.pitches) if len(hands) != 1 else tuple(hands * len(stroke.pitches))


def _hand(sign: str) -> str:
    return {"R": RIGHT, "L": LEFT, "1": LEFT, "2": LEFT, "3": RIGHT, "4": RIGHT}.get(sign.upper(), "")


def _middle(blow: Blow, dealt: str, hand: str) -> float | None:
    places = [place for place, given in zip(blow.places, dealt, strict=True) if given == hand]
    return sum(places) / len(places) if places else None


def _start(blows: Sequence[Blow]) -> State:
    first = blows[0].places if blows else (0.0,)
    return first[0], -1e3, first[-1], -1e3


def _few(states: dict[State, tuple[float, tuple[str, ...]]]) -> dict[State, tuple[float, tuple[str, ...]]]:
    """The cheapest states: what is much dearer than the best cannot win back what the next strokes cost at most."""
    best = min(cost for cost, _ in states.values())
    kept = {state: value for state, value in states.items() if value[0] <= best + 20}
    if len(kept) <= 32:
        return kept
    return dict(sorted(kept.items(), key=lambda item: item[1][0])[:32])
