"""Has every change of instrument or mallets the time it needs?"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from score.piece import MarkKind, Piece, Player, Stroke, StrokeKind
from score.places import bar_name
from score.playback.tempo import TempoMap
from score.setup.finding import Finding, Kind, Weight
from score.setup.limits import Limits

STRUCK_SECONDS = 0.15
"""After a single stroke the hand is free though the note is written longer; a roll takes its whole length."""
_HANDHELD = frozenset(
    {"triangle", "tambourine", "claves", "shaker", "maracas", "castanets", "finger-cymbals", "sleigh-bells", "cowbell"}
)
_BOW = re.compile(r"\b(bow(?:ed)?|arco|archet|bogen)\b", re.I)


@dataclass(frozen=True, slots=True)
class Change:
    """A change of instrument.

    Attributes:
        player: number.
        before, after: indices into the player's instruments.
        leave, arrive: the strokes on either side.
        seconds: between them, as performed from the page.
    """

    player: int
    before: int
    after: int
    leave: Stroke
    arrive: Stroke
    seconds: float


def changes_of(piece: Piece, player: Player, times: TempoMap) -> list[Change]:
    """Every change of instrument of a player in written order."""
    strokes = [s for s in player.strokes if s.kind is not StrokeKind.GRACE]
    found = []
    for one, two in pairwise(strokes):
        if one.instrument != two.instrument:
            seconds = times.seconds(piece.offset(two.place)) - _free(piece, one, times)
            found.append(Change(player.number, one.instrument, two.instrument, one, two, max(0.0, seconds)))
    return found


def change_findings(
    piece: Piece, player: Player, times: TempoMap, limits: Limits, metres: Mapping[tuple[int, int], float]
) -> Iterator[Finding]:
    """Changes that are tight or impossible.

    Args:
        piece: the piece.
        player: whose changes.
        times: seconds of every offset.
        limits: the limits.
        metres: (instrument, instrument) to metres between them, where they stand apart.
    """
    for change in changes_of(piece, player, times):
        needed = needed_seconds(player, change, limits, metres)
        weight = _weight(change.seconds, needed, limits)
        if weight is not None:
            names = [player.instruments[i].name.lower() for i in (change.before, change.after)]
            text = f"{names[0]} to {names[1]} in {change.seconds:.1f} s; {needed:.1f} s are needed"
            helps = _helps(piece, player, change.leave, change.arrive)
            yield Finding(
                Kind.CHANGE, weight, player.number, change.arrive.bar, change.arrive.at,
                round(change.seconds, 2), round(needed, 2), "seconds", text, helps,
            )  # fmt: skip


def mallet_findings(piece: Piece, player: Player, times: TempoMap, limits: Limits) -> Iterator[Finding]:
    """Words for mallets or a bow between strokes that leave little time."""
    strokes = [s for s in player.strokes if s.kind is not StrokeKind.GRACE]
    for mark in player.marks:
        if mark.kind is not MarkKind.STICKS:
            continue
        before = [s for s in strokes if (s.bar, s.at) < (mark.bar, mark.at)]
        after = [s for s in strokes if (s.bar, s.at) >= (mark.bar, mark.at)]
        if not before or not after:
            continue
        seconds = max(0.0, times.seconds(piece.offset(after[0].place)) - _free(piece, before[-1], times))
        needed = _mallet_seconds(mark.text, after, limits)
        weight = _weight(seconds, needed, limits)
        if weight is not None:
            text = f"{mark.text} in {seconds:.1f} s; {needed:.1f} s are needed"
            helps = _helps(piece, player, before[-1], after[0])
            yield Finding(
                Kind.MALLETS, weight, player.number, mark.bar, mark.at, round(seconds, 2), round(needed, 2),
                "seconds", text, helps,
            )  # fmt: skip


def needed_seconds(player: Player, change: Change, limits: Limits, metres: Mapping[tuple[int, int], float]) -> float:
    """Seconds a change needs: taking up the instrument, and walking where it stands apart."""
    before, after = player.instruments[change.before], player.instruments[change.after]
    if after.key in _HANDHELD or before.key in _HANDHELD:
        needed = limits.handheld_seconds
    elif after.pitched and before.pitched:
        needed = limits.near_seconds
    else:
        needed = limits.reach_seconds
    distance = metres.get((change.before, change.after), metres.get((change.after, change.before), 0.0))
    if distance > 1.5:
        needed += limits.walk_seconds + distance / limits.walk_metres_a_second
    return needed


def _mallet_seconds(text: str, after: Sequence[Stroke], limits: Limits) -> float:
    if _BOW.search(text):
        return limits.bow_seconds
    four = any(len(stroke.pitches) > 2 for stroke in after[:24])
    return limits.mallet_set_seconds if four else limits.mallet_seconds


def _weight(seconds: float, needed: float, limits: Limits) -> Weight | None:
    if seconds < needed:
        return Weight.CANNOT
    return Weight.TIGHT if seconds < needed * limits.tight_factor else None


def _free(piece: Piece, stroke: Stroke, times: TempoMap) -> float:
    start = times.seconds(piece.offset(stroke.place))
    end = times.seconds(piece.offset(stroke.place) + stroke.length)
    return end if stroke.kind is StrokeKind.ROLL else min(end, start + STRUCK_SECONDS)


def _helps(piece: Piece, player: Player, leave: Stroke, arrive: Stroke) -> str:
    """What would help, for this change: who is free then, one hand, leaving notes out."""
    start, end = piece.offset(leave.place), piece.offset(arrive.place) + arrive.length
    others = [other for other in piece.players if other is not player]
    free = [other.short for other in others if not _plays(piece, other, start, end)]
    if free:
        return f"player {free[0]} is free then and could take the stroke in bar {bar_name(piece, arrive.bar)}"
    if len(leave.pitches) < 2 and len(arrive.pitches) < 2:
        return "play the last strokes with one hand while the other reaches over"
    return "leave out the last stroke before, or place the instrument within reach of one hand"


def _plays(piece: Piece, player: Player, start: Fraction, end: Fraction) -> bool:
    spans = ((piece.offset(s.place), piece.offset(s.place) + s.length) for s in player.strokes)
    return any(first < end and start <= last for first, last in spans)
