"""Players on one instrument: the same bar at the same time, hands close, crossing ranges.

[[share]]
instrument = "marimba"
players = [1, 2]
arrangement = "facing"      # or "side by side"
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from score.activity.lanes import spelled_pitch
from score.group.group_file import Group, Table, as_written, group_tables
from score.instruments.percussion import named
from score.piece import Piece, Player
from score.setup.bar_geometry import bar_mm
from score.setup.finding import Finding, FindingKind, Weight
from score.setup.kit_layout import english, kind_of
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


def shares_of(group: Group, piece: Piece) -> tuple[Share, ...]:
    """The shared instruments in the group's file; nothing is taken for shared that the file does not say.

    Raises:
        GroupFileError: players or arrangement that cannot be.
    """
    shares: list[Share] = []
    for table in group_tables(group, "share"):
        share = _share(table, piece)
        for other in shares:
            both = set(share.players) & set(other.players)
            if other.instrument == share.instrument and both:
                what = f"player {min(both)} is in two shares of the {english(share.instrument)}"
                raise table.wrong(what, "write all its players into one [[share]]")
        shares.append(share)
    return tuple(shares)


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


def _share(table: Table, piece: Piece) -> Share:
    players = _players(table, piece)
    arrangement = table.text("arrangement") or ARRANGEMENTS[0]
    if arrangement not in ARRANGEMENTS:
        remedy = f"write {' or '.join(map(as_written, ARRANGEMENTS))}"
        raise table.wrong(f'arrangement = "{arrangement}" is not known', remedy)
    return Share(_instrument(table, piece, players), players, arrangement)


def _players(table: Table, piece: Piece) -> tuple[int, ...]:
    """Two or more players of the piece, each once."""
    value = table.entry.get("players")
    players: list[object] = value if isinstance(value, list) else []
    numbers = [player.number for player in piece.players]
    whole = [n for n in players if isinstance(n, int) and not isinstance(n, bool)]
    if len(whole) < max(2, len(players)) or not set(whole) <= set(numbers):
        what = f"players = {as_written(value)} cannot share"
        raise table.wrong(what, f"write two or more of {as_written(numbers)}")
    twice = next((n for n in whole if whole.count(n) > 1), None)
    if twice is not None:
        raise table.wrong(f"has player {twice} twice", "write each player once")
    return tuple(whole)


def _instrument(table: Table, piece: Piece, players: tuple[int, ...]) -> str:
    """Key of an instrument that each of the players has."""
    text = table.text("instrument") or "marimba"
    percussion = named(text)
    key = percussion.key if percussion is not None else text
    kinds = {player.number: {kind_of(each) for each in player.instruments} for player in piece.players}
    if percussion is None and not any(key in kind for kind in kinds.values()):
        raise table.wrong(f'instrument = "{text}" is not known', 'write a name such as "marimba"')
    for number in players:
        if key not in kinds[number]:
            has = ", ".join(map(english, sorted(kinds[number])))
            raise table.wrong(f"player {number} has no {english(key)}", f"that player has {has}")
    return key
