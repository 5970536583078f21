"""Has every change of instrument or mallets the time it needs?

Pieces of one set, and instruments without pitch that stand within reach of each other, are played as one station: what
hands cannot do there the search of `hands` finds. Here are changes to and from keyboards, to what stands apart, and to
what is held in the hands, for which mallets are laid down first.
"""

import re
from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from itertools import chain, pairwise
from typing import NamedTuple

from score.piece import MarkKind, Piece, Player, Stroke, StrokeKind
from score.setup.change_help import Near, help_for_change, help_for_mallets
from score.setup.finding import Finding, FindingKind, Weight
from score.setup.finding_words import had_and_needed
from score.setup.fittings import Fittings, fitting
from score.setup.kit_layout import kind_of
from score.setup.limits import Limits
from score.setup.moments_between import moments_of, needs_four
from score.time.tempo_map import TempoMap

STRUCK_SECONDS = 0.15
"""After a single stroke the hand is free though the note is written longer; a roll takes its whole length."""
REACH_METRES = 1.5
"""Further than this is walked."""
_LEAVES_ROLL = 0.5
"""One hand leaves a roll so many seconds before its end and the other finishes it (common practice, no source)."""
_BOW = re.compile(r"\b(bow(?:ed)?|arco|archet|bogen)\b", re.I)

Metres = Mapping[tuple[int, int], float]
"""(instrument, instrument) to metres between them, where they stand apart."""


class Change(NamedTuple):
    """A change of instrument.

    Attributes:
        player: number.
        before, after: indices into the player's instruments.
        leave, arrive: the strokes on either side.
        seconds: between them, as performed from the page.
        one_hand: seconds one hand has, because the other makes the last stroke before; `seconds` when both are needed.
        four: four mallets are in the hands on either side.
    """

    player: int
    before: int
    after: int
    leave: Stroke
    arrive: Stroke
    seconds: float
    one_hand: float
    four: bool


def changes_of(piece: Piece, player: Player, times: TempoMap) -> list[Change]:
    """Every change of instrument of a player in written order; pieces of one set are no change."""
    moments = moments_of(player)
    kinds = [kind_of(instrument) for instrument in player.instruments]
    changes = []
    for index, (earlier, later) in enumerate(pairwise(moments)):
        here = {kinds[stroke.instrument] for stroke in earlier}
        arrive = next((stroke for stroke in later if kinds[stroke.instrument] not in here), None)
        if arrive is not None:
            changes.append(_change(piece, player, times, moments, index, arrive))
    return changes


def _change(
    piece: Piece, player: Player, times: TempoMap, moments: list[list[Stroke]], index: int, arrive: Stroke
) -> Change:
    """The change between two moments, the first of which is given."""
    earlier, later = moments[index], moments[index + 1]
    leave = max(earlier, key=lambda stroke: stroke.length)
    start = times.seconds(piece.offset(later[0].place))
    seconds = max(0.0, start - _free(piece, leave, times))
    alone = _one_hand(piece, moments[index - 1] if index else [], earlier, later, times)
    one_hand = seconds if alone is None else max(seconds, start - alone)
    four = needs_four(chain.from_iterable(moments[max(0, index - 8) : index + 10]))
    return Change(
        player.number,
        leave.instrument,
        arrive.instrument,
        leave=leave,
        arrive=arrive,
        seconds=seconds,
        one_hand=one_hand,
        four=four,
    )


def change_findings(
    piece: Piece, player: Player, times: TempoMap, limits: Limits, fittings: Fittings, metres: Metres, near: Near
) -> Iterator[Finding]:
    """Changes that are tight or impossible.

    Args:
        piece: the piece.
        player: whose changes.
        times: seconds of every offset.
        limits: the limits.
        fittings: how instruments are held or mounted.
        metres: how far apart the player's instruments stand.
        near: metres to the other players.
    """
    for change in changes_of(piece, player, times):
        needed, had = needed_seconds(player, change, limits, fittings, metres)
        weight = _weight(had, needed, limits)
        if weight is None:
            continue
        before, after = (player.instruments[i] for i in (change.before, change.after))
        text = f"{before.name.lower()} to {after.name.lower()}: {had_and_needed(had, needed)}"
        held = [i.name.lower() for i in (before, after) if fitting(fittings, kind_of(i)).held]
        if held:
            text += f"; the {held[0]} is held in the hand, so the mallets are put down"
        helps = help_for_change(piece, player, change.leave, change.arrive, near)
        yield Finding(
            FindingKind.CHANGE,
            weight,
            player.number,
            bar=change.arrive.bar,
            at=change.arrive.at,
            figure=round(had, 2),
            limit=round(needed, 2),
            unit="seconds",
            text=text,
            helps=helps,
            alike=f"{kind_of(before)} to {kind_of(after)}",
        )


def mallet_findings(piece: Piece, player: Player, times: TempoMap, limits: Limits, near: Near) -> Iterator[Finding]:
    """Words for mallets or a bow between strokes that leave little time."""
    strokes = [s for s in player.strokes if s.kind is not StrokeKind.GRACE]
    places = [(s.bar, s.at) for s in strokes]
    for mark in player.marks:
        cut = bisect_left(places, (mark.bar, mark.at))
        if mark.kind is not MarkKind.STICKS or not 0 < cut < len(strokes):
            continue
        before, after = strokes[cut - 1], strokes[cut:]
        seconds = max(0.0, times.seconds(piece.offset(after[0].place)) - _free(piece, before, times))
        needed = _mallet_seconds(mark.text, after[:24], limits)
        weight = _weight(seconds, needed, limits)
        if weight is not None:
            text = f"to {mark.text}: {had_and_needed(seconds, needed)}"
            helps = help_for_mallets(piece, player, before, after[0], near)
            yield Finding(
                FindingKind.MALLETS,
                weight,
                player.number,
                bar=mark.bar,
                at=mark.at,
                figure=round(seconds, 2),
                limit=round(needed, 2),
                unit="seconds",
                text=text,
                helps=helps,
                alike=mark.text,
            )


def needed_seconds(
    player: Player, change: Change, limits: Limits, fittings: Fittings, metres: Metres
) -> tuple[float, float]:
    """Seconds a change needs, and seconds there are for it.

    Taking up what is held, and walking to what stands apart, take both hands and the time between the strokes; one hand
    can reach to something near while the other plays; between two keyboards the whole body turns.
    """
    before, after = player.instruments[change.before], player.instruments[change.after]
    distance = metres.get((change.before, change.after), metres.get((change.after, change.before), 0.0))
    walk = limits.walk_seconds + distance / limits.walk_metres_a_second if distance > REACH_METRES else 0.0
    if any(fitting(fittings, kind_of(each)).held for each in (before, after)):
        return max(limits.handheld_seconds, limits.mallet_set_seconds if change.four else 0.0) + walk, change.seconds
    if after.pitched and before.pitched:
        return limits.near_seconds + walk, change.seconds
    if walk:
        return limits.reach_seconds + walk, change.seconds
    if not after.pitched and not before.pitched:
        return 0.0, change.seconds
    if change.one_hand > change.seconds:
        return limits.one_hand_seconds, change.one_hand
    return limits.reach_seconds, change.seconds


def _one_hand(
    piece: Piece, before: Sequence[Stroke], leaving: Sequence[Stroke], arriving: Sequence[Stroke], times: TempoMap
) -> float | None:
    """When one hand is free for the change while the other makes the last stroke before; None when both are needed."""
    if _notes(leaving) > 1 or _notes(arriving) > 1:
        return None
    if leaving[0].kind is StrokeKind.ROLL:
        return max(times.seconds(piece.offset(leaving[0].place)), _free(piece, leaving[0], times) - _LEAVES_ROLL)
    if not before:
        return 0.0
    return max(_free(piece, stroke, times) for stroke in before)


def _notes(strokes: Sequence[Stroke]) -> int:
    return sum(max(1, len(stroke.pitches) + len(stroke.places)) for stroke in strokes)


def _mallet_seconds(text: str, after: Sequence[Stroke], limits: Limits) -> float:
    if _BOW.search(text):
        return limits.bow_seconds
    return limits.mallet_set_seconds if needs_four(after) else limits.mallet_seconds


def _weight(seconds: float, needed: float, limits: Limits) -> Weight | None:
    if seconds < needed:
        return Weight.CANNOT
    return Weight.TIGHT if seconds < needed * limits.tight_factor else None


def _free(piece: Piece, stroke: Stroke, times: TempoMap) -> float:
    start = times.seconds(piece.offset(stroke.place))
    end = times.seconds(piece.offset(stroke.place) + stroke.length)
    return end if stroke.kind is StrokeKind.ROLL else min(end, start + STRUCK_SECONDS)
