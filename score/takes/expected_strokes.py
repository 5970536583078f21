"""What one player should strike along a route, moment by moment, in seconds from the beginning of the music."""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from score.piece import Piece, Player, Stroke, StrokeKind, strokes_by_bar
from score.playback.click_strikes import CountIn, count_in
from score.playback.player_strikes import GRACE_SECONDS
from score.time.pulse import PulseOptions, route_tempo_map
from score.time.route import Route, Visit
from score.time.tempo_map import TempoMap

MOST_BARS_COUNTED = 4
"""Count-ins a recording may hold, in bars."""


class ExpectedStroke(NamedTuple):
    """Everything one player strikes at one moment: voices and chord notes together.

    Attributes:
        seconds: from the beginning of the music, the count-in not counted.
        bar: index of the written bar.
        at: quarters from the beginning of that bar.
        turn: which time the bar is played on this route, from 1.
        offset: quarters from the beginning of the route.
        pitches: sounding MIDI numbers; empty for what has no definite pitch.
        until: seconds to which it is rolled; the same as `seconds` for a stroke.
        graces: how many grace strokes lead into it.
        hand: the printed sticking, "" where none is printed.
        voice: instrument key.
    """

    seconds: float
    bar: int
    at: Fraction
    turn: int = 1
    offset: Fraction = Fraction(0)
    pitches: frozenset[int] = frozenset()
    until: float = 0.0
    graces: int = 0
    hand: str = ""
    voice: str = ""

    @property
    def is_rolled(self) -> bool:
        """Whether more strokes follow it that are not written."""
        return self.until > self.seconds

    @property
    def leads(self) -> float:
        """Seconds before it in which its graces may fall; 0 without any."""
        return GRACE_SECONDS * (self.graces + 1) if self.graces else 0.0


class ExpectedPass(NamedTuple):
    """What is expected of a pass.

    Attributes:
        strokes: in the order of their moments; never two within a thousandth of a second.
        seconds: length of the music.
        counts: count-ins it may have been begun with, by their bars from 0 (none at all) on.
        times: seconds of the route.
        route: what is played.
    """

    strokes: tuple[ExpectedStroke, ...]
    seconds: float
    counts: tuple[CountIn, ...]
    times: TempoMap
    route: Route


def expected_pass(piece: Piece, route: Route, player: int, pulse: PulseOptions | None = None) -> ExpectedPass:
    """What a player should strike along a route.

    Args:
        piece: the piece.
        route: what is played.
        player: number of the player.
        pulse: the time it is played in.
    """
    times = route_tempo_map(piece, route, pulse)
    gathered: dict[Fraction, ExpectedStroke] = {}
    for turn, visit, here in _visits(piece, route, piece.player(player)):
        graces = 0
        for stroke in here:
            if stroke.kind is StrokeKind.GRACE:
                graces += 1
                continue
            moment = _expected(piece.player(player), stroke, visit, times, route)._replace(turn=turn, graces=graces)
            gathered[moment.offset] = _joined(gathered.get(moment.offset), moment)
            graces = 0
    strokes = tuple(gathered[offset] for offset in sorted(gathered))
    counts = tuple(count_in(piece, route, times, bars) for bars in range(MOST_BARS_COUNTED + 1))
    return ExpectedPass(strokes, times.seconds(route.length), counts, times=times, route=route)


def _visits(piece: Piece, route: Route, player: Player) -> Iterator[tuple[int, Visit, list[Stroke]]]:
    by_bar = strokes_by_bar(player, len(piece.bars))
    passes: dict[int, int] = {}
    for visit in route.visits:
        passes[visit.bar] = passes.get(visit.bar, 0) + 1
        yield passes[visit.bar], visit, [s for s in by_bar[visit.bar] if visit.start <= s.at < visit.end]


def _expected(player: Player, stroke: Stroke, visit: Visit, times: TempoMap, route: Route) -> ExpectedStroke:
    offset = visit.offset + stroke.at - visit.start
    seconds = times.seconds(offset)
    end = times.seconds(min(offset + stroke.length, route.length)) if stroke.kind is StrokeKind.ROLL else seconds
    return ExpectedStroke(
        seconds,
        stroke.bar,
        stroke.at,
        offset=offset,
        pitches=frozenset(map(round, stroke.pitches)),
        until=max(seconds, end),
        hand="".join(dict.fromkeys(stroke.stickings)),
        voice=player.instruments[stroke.instrument].key,
    )


def _joined(before: ExpectedStroke | None, here: ExpectedStroke) -> ExpectedStroke:
    """Two voices of one player at one moment are struck as one."""
    if before is None:
        return here
    return before._replace(
        pitches=before.pitches | here.pitches,
        until=max(before.until, here.until),
        graces=max(before.graces, here.graces),
        hand=before.hand if before.hand == here.hand else before.hand + here.hand,
    )
