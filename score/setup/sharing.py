"""Players on one instrument: the same bar at the same time, hands close, crossing ranges.

[[share]]
instrument = "marimba"
players = [1, 2]
arrangement = "facing"      # or "side by side"
"""

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from score.group import Group, Table, group_tables
from score.lanes import pitch_name
from score.piece import Piece, Player
from score.playback.tempo import TempoMap
from score.setup.finding import Finding, Kind, Weight
from score.setup.geometry import bar_mm
from score.setup.limits import Limits

ARRANGEMENTS = ("facing", "side by side")


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
    return tuple(_share(table, piece) for table in group_tables(group, "share"))


def sharing_findings(piece: Piece, share: Share, times: TempoMap, limits: Limits) -> Iterator[Finding]:
    """Where the players of a shared instrument get in each other's way."""
    for position, one in enumerate(share.players):
        for two in share.players[position + 1 :]:
            yield from _pair(piece, share, piece.player(one), piece.player(two), times, limits)


def _pair(piece: Piece, share: Share, one: Player, two: Player, times: TempoMap, limits: Limits) -> Iterator[Finding]:
    mine, theirs = (_struck(piece, player, share.instrument, times) for player in (one, two))
    moments = [moment for moment, *_ in theirs]
    for moment, bar, at, pitch in mine:
        first = bisect_left(moments, moment - limits.clash_seconds)
        for other, _, _, pitch2 in theirs[first:]:
            if other > moment + limits.clash_seconds:
                break
            apart = abs(other - moment)
            if pitch == pitch2:
                name = pitch_name(pitch, piece.bars[bar].key)
                text = f"players {one.short} and {two.short} both strike {name} {_when(apart)}"
                yield Finding(
                    Kind.CLASH, Weight.CANNOT, 0, bar, at, round(apart, 3), limits.clash_seconds, "seconds", text,
                    _who_yields(piece, one, two, bar),
                )  # fmt: skip
            elif apart < 0.05:
                distance = abs(bar_mm(share.instrument, pitch) - bar_mm(share.instrument, pitch2))
                if distance < limits.close_mm:
                    names = f"{pitch_name(pitch)} and {pitch_name(pitch2)}"
                    text = f"players {one.short} and {two.short} strike {names}, {distance:.0f} mm apart, at one moment"
                    yield Finding(
                        Kind.CLOSE, Weight.TIGHT, 0, bar, at, round(distance), limits.close_mm, "mm", text,
                        "agree on striking places: one at the edge, one in the middle of the bar",
                    )  # fmt: skip
    yield from _crossings(piece, one, two, share)


def _crossings(piece: Piece, one: Player, two: Player, share: Share) -> Iterator[Finding]:
    """Bars in which the player who is usually above goes below the other."""
    spans = {n: _spans(p, share.instrument) for n, p in ((1, one), (2, two))}
    both = sorted(set(spans[1]) & set(spans[2]))
    if not both:
        return
    means = [sum(spans[n][bar][0] + spans[n][bar][1] for bar in both) for n in (1, 2)]
    high, low = (1, 2) if means[0] >= means[1] else (2, 1)
    for bar in both:
        overlap = spans[low][bar][1] - spans[high][bar][0]
        if overlap > 0:
            text = f"ranges cross by {overlap} semitones on the shared {share.instrument}"
            yield Finding(
                Kind.CROSSING, Weight.MENTION, 0, bar, Fraction(0), overlap, 0, "semitones", text,
                "agree who plays over whom",
            )  # fmt: skip


def _struck(piece: Piece, player: Player, key: str, times: TempoMap) -> list[tuple[float, int, Fraction, int]]:
    return sorted(
        (times.seconds(piece.offset(s.place)), s.bar, s.at, pitch)
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
    return "at one moment" if apart < 0.005 else f"within {1000 * apart:.0f} ms"


def _who_yields(piece: Piece, one: Player, two: Player, bar: int) -> str:
    counts = [sum(s.bar == bar for s in player.strokes) for player in (one, two)]
    busier, freer = (one, two) if counts[0] >= counts[1] else (two, one)
    return (
        f"player {freer.short} has fewer strokes in the bar and could make way, or {busier.short} plays an octave away"
    )


def _share(table: Table, piece: Piece) -> Share:
    players = table.entry.get("players")
    numbers = {player.number for player in piece.players}
    if not isinstance(players, list) or len(players) < 2 or not set(players) <= numbers:
        raise table.wrong(f"players {players!r} cannot share", f"write two or more of {sorted(numbers)}")
    arrangement = table.text("arrangement") or ARRANGEMENTS[0]
    if arrangement not in ARRANGEMENTS:
        raise table.wrong(f"arrangement {arrangement!r}", f"write one of {', '.join(ARRANGEMENTS)}")
    return Share(table.text("instrument") or "marimba", tuple(players), arrangement)
