"""Players on one instrument: the same bar at the same time, hands close, crossing ranges.

What is shared, and how, stands in the group's file (`from_group`).
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from score.activity.lanes import spelled_pitch
from score.piece import Piece, Player
from score.setup.bar_geometry import bar_mm
from score.setup.finding import Finding, FindingKind, Weight
from score.setup.kit_layout import english
from score.setup.limits import Limits
from score.time.tempo_map import TempoMap

ARRANGEMENTS = ("facing", "side by side")
_TOGETHER = 0.05
"""Seconds within which two strokes are one moment (common practice, no source)."""
_WAYS = {
    "facing": "mallets low and at the near edge of the bars",
    "side by side": "a step back, and the other's arms pass in front",
}


@dataclass(frozen=True, slots=True)
class Share:
    """One instrument that two or more players use.

    Attributes:
        instrument: its key.
        players: their numbers.
        arrangement: "facing" or "side by side".
    """

    instrument: str
    players: tuple[int, ...]
    arrangement: str


def sharing_findings(piece: Piece, share: Share, times: TempoMap, limits: Limits) -> Iterator[Finding]:
    """Where the players of a shared instrument get in each other's way."""
    for position, number in enumerate(share.players):
        for partner in share.players[position + 1 :]:
            yield from _pair(piece, share, piece.player(number), piece.player(partner), times, limits)


class _SharedNote(NamedTuple):
    """One note struck on the shared instrument: seconds, bar, quarters in it, MIDI number."""

    moment: float
    bar: int
    at: Fraction
    pitch: int


def _pair(
    piece: Piece, share: Share, player: Player, partner: Player, times: TempoMap, limits: Limits
) -> Iterator[Finding]:
    mine, theirs = (_struck(piece, each, share.instrument, times) for each in (player, partner))
    moments = [blow.moment for blow in theirs]
    for blow in mine:
        first = bisect_left(moments, blow.moment - limits.clash_seconds)
        last = bisect_right(moments, blow.moment + limits.clash_seconds)
        for other in theirs[first:last]:
            if blow.pitch == other.pitch:
                yield _clash(piece, player, partner, blow, other, limits)
            elif abs(other.moment - blow.moment) < _TOGETHER:
                yield from _close(share, player, partner, blow, other, limits)
    yield from _crossings(piece, player, partner, share)


def _clash(
    piece: Piece, player: Player, partner: Player, blow: _SharedNote, other: _SharedNote, limits: Limits
) -> Finding:
    apart = abs(other.moment - blow.moment)
    name = spelled_pitch(blow.pitch, piece.bars[blow.bar].key)
    text = f"players {player.short} and {partner.short} both strike {name} {_when(apart)}"
    return Finding(
        FindingKind.CLASH,
        Weight.CANNOT,
        0,
        bar=blow.bar,
        at=blow.at,
        figure=round(apart, 3),
        limit=limits.clash_seconds,
        unit="seconds",
        text=text,
        helps=_who_yields(player, partner, blow.bar),
    )


def _close(
    share: Share, player: Player, partner: Player, blow: _SharedNote, other: _SharedNote, limits: Limits
) -> Iterator[Finding]:
    distance = abs(bar_mm(share.instrument, blow.pitch) - bar_mm(share.instrument, other.pitch))
    if distance < limits.close_mm:
        names = f"{spelled_pitch(blow.pitch)} and {spelled_pitch(other.pitch)}"
        text = f"players {player.short} and {partner.short} strike {names}, {distance:.0f} mm apart, at once"
        yield Finding(
            FindingKind.CLOSE,
            Weight.TIGHT,
            0,
            bar=blow.bar,
            at=blow.at,
            figure=round(distance),
            limit=limits.close_mm,
            unit="mm",
            text=text,
            helps=f"one at the edge, one in the middle of the bar; {_freer(player, partner, blow.bar)} makes way",
        )


def _crossings(piece: Piece, player: Player, partner: Player, share: Share) -> Iterator[Finding]:
    """Bars in which the player who is usually above goes below the other."""
    spans = {n: _spans(p, share.instrument) for n, p in ((1, player), (2, partner))}
    both = sorted(set(spans[1]) & set(spans[2]))
    if not both:
        return
    means = [sum(spans[n][bar][0] + spans[n][bar][1] for bar in both) for n in (1, 2)]
    high, low = (1, 2) if means[0] >= means[1] else (2, 1)
    for bar in both:
        overlap = spans[low][bar][1] - spans[high][bar][0]
        if overlap > 0:
            text = f"ranges cross by {overlap} semitones on the shared {english(share.instrument)}"
            yield Finding(
                FindingKind.CROSSING,
                Weight.MENTION,
                0,
                bar=bar,
                at=Fraction(0),
                figure=overlap,
                limit=0,
                unit="semitones",
                text=text,
                helps=f"{_freer(player, partner, bar)} makes way: {_WAYS[share.arrangement]}",
            )


def _struck(piece: Piece, player: Player, key: str, times: TempoMap) -> list[_SharedNote]:
    return sorted(
        _SharedNote(times.seconds(piece.offset(s.place)), s.bar, s.at, pitch=pitch)
        for s in player.strokes
        if player.instruments[s.instrument].key == key
        for pitch in s.pitches
    )


def _spans(player: Player, key: str) -> dict[int, tuple[int, int]]:
    spans: dict[int, tuple[int, int]] = {}
    for stroke in player.strokes:
        if player.instruments[stroke.instrument].key == key and stroke.pitches:
            low, high = spans.get(stroke.bar, (127, 0))
            spans[stroke.bar] = min(low, stroke.pitches[0]), max(high, stroke.pitches[-1])
    return spans


def _when(apart: float) -> str:
    return "at once" if apart < 0.005 else f"within {1000 * apart:.0f} ms"


def _who_yields(player: Player, partner: Player, bar: int) -> str:
    busier, _ = _by_strokes(player, partner, bar)
    return f"{_freer(player, partner, bar)} could make way, or player {busier.short} plays it an octave away"


def _freer(player: Player, partner: Player, bar: int) -> str:
    return f"player {_by_strokes(player, partner, bar)[1].short}, who has fewer strokes in the bar,"


def _by_strokes(player: Player, partner: Player, bar: int) -> tuple[Player, Player]:
    """The busier player of a bar, then the other."""
    counts = [sum(s.bar == bar for s in each.strokes) for each in (player, partner)]
    return (player, partner) if counts[0] >= counts[1] else (partner, player)
