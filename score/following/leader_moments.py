"""What the player who is followed strikes, moment by moment, in the seconds the timeline gives it."""

import math
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple

from score.beats import Place
from score.following.who_leads import WhoLeads
from score.piece import Piece, Player, Stroke, StrokeKind, strokes_by_bar
from score.playback.bent_timeline import SecondsMap
from score.playback.click_strikes import count_in
from score.playback.general_midi import patch_of
from score.time.pulse import PulseOptions, route_tempo_map
from score.time.route import Route


class LeaderMoment(NamedTuple):
    """Everything the player strikes at one moment.

    Attributes:
        seconds: on the timeline.
        pitches: sounding MIDI numbers; empty for what has no definite pitch.
        keys: numbers by which General MIDI and most pads call what has none.
        graces: pitches of the grace strokes before it.
        until: seconds to which it is rolled; the same as `seconds` for a stroke.
        waits: everybody waits for it: something was held before it, or the player gives this entry.
        leads: the others go with the player here; where somebody else leads they do not.
        offset: quarters from the beginning of the piece, in written order.
        run: how often the route has jumped before it: to a repeat, over an ending.
        usual: logarithm of the player's usual rate since the moment before, 0 where it is not known.
    """

    seconds: float
    pitches: frozenset[int] = frozenset()
    graces: frozenset[int] = frozenset()
    until: float = 0.0
    waits: bool = False
    keys: frozenset[int] = frozenset()
    leads: bool = True
    offset: Fraction = Fraction(0)
    run: int = 0
    usual: float = 0.0

    @property
    def is_rolled(self) -> bool:
        """Whether many blows make one stroke."""
        return self.until > self.seconds

    def has(self, pitch: int) -> bool:
        """Whether a MIDI number is one of its own, written or by its key."""
        return pitch in self.pitches or pitch in self.keys


def leader_moments(
    piece: Piece,
    route: Route,
    player: int,
    pulse: PulseOptions,
    bars_counted_in: int = 0,
    leads: WhoLeads | None = None,
) -> tuple[LeaderMoment, ...]:
    """The player's moments along a route, in order.

    Args:
        piece: the piece.
        route: what is played.
        player: who is followed.
        pulse: the time in which the others' timeline is made.
        bars_counted_in: before it.
        leads: whom the others go with; the player everywhere where it is not said.
    """
    times = route_tempo_map(piece, route, pulse)
    lead = count_in(piece, route, times, bars_counted_in).seconds
    held = [lead + times.seconds(hold.offset) for hold in times.holds]
    gathered: dict[Fraction, LeaderMoment] = {}
    graces: frozenset[int] = frozenset()
    for run, offset, stroke in _passed(piece, route, player):
        pitches, keys = _numbers(piece.player(player), stroke)
        if stroke.kind is StrokeKind.GRACE:
            graces |= pitches | keys
            continue
        end = min(offset + stroke.length, route.length) if stroke.kind is StrokeKind.ROLL else offset
        moment = gathered.get(offset) or _moment(lead + times.seconds(offset), piece, stroke.place, player, leads)
        gathered[offset] = moment._replace(
            run=run,
            pitches=moment.pitches | pitches,
            keys=moment.keys | keys,
            graces=moment.graces | graces,
            until=max(moment.until, lead + times.seconds(end)),
        )
        graces = frozenset()
    return tuple(_with_waits([gathered[offset] for offset in sorted(gathered)], held))


def _moment(seconds: float, piece: Piece, place: Place, player: int, leads: WhoLeads | None) -> LeaderMoment:
    offset = piece.offset(place)
    return LeaderMoment(
        seconds,
        until=seconds,
        waits=leads is not None and leads.gives(player, offset),
        leads=leads is None or leads.at(offset, place.bar) == player,
        offset=offset,
    )


def moved_moments(moments: tuple[LeaderMoment, ...], moved: SecondsMap) -> tuple[LeaderMoment, ...]:
    """The moments in the player's usual time."""
    return tuple(
        moment._replace(
            seconds=moved(moment.seconds),
            until=moved(max(moment.seconds, moment.until)),
            usual=_usual(before.seconds, moment.seconds, moved) if before else 0.0,
        )
        for before, moment in pairwise((None, *moments))
        if moment
    )


def _usual(before: float, seconds: float, moved: SecondsMap) -> float:
    """Logarithm of the rate between two seconds."""
    return math.log((moved(seconds) - moved(before)) / (seconds - before)) if seconds > before + 1e-6 else 0.0


def _numbers(player: Player, stroke: Stroke) -> tuple[frozenset[int], frozenset[int]]:
    """Pitches of a stroke, or the key a pad sends where it has none."""
    if stroke.pitches:
        return frozenset(map(round, stroke.pitches)), frozenset()
    instrument = player.instruments[stroke.instrument]
    patch = patch_of(instrument.key or instrument.name, None, "+".join(stroke.places))
    return frozenset(), frozenset({patch.number if patch.is_drum else patch.note})


def _passed(piece: Piece, route: Route, player: int) -> Iterator[tuple[int, Fraction, Stroke]]:
    """Run, quarters from the beginning of the route, stroke."""
    strokes = strokes_by_bar(piece.player(player), len(piece.bars))
    run, reached = -1, Fraction(-1)
    for visit in route.visits:
        begin = piece.bars[visit.bar].start + visit.start
        run += begin != reached
        reached = begin + visit.length
        for stroke in strokes[visit.bar]:
            if visit.start <= stroke.at < visit.end:
                yield run, visit.offset + stroke.at - visit.start, stroke


def _with_waits(moments: list[LeaderMoment], held: list[float]) -> Iterator[LeaderMoment]:
    before = -1.0
    for moment in moments:
        is_held = any(before < end <= moment.seconds for end in held)
        # Where another player leads they end the hold, and this one comes with them.
        yield moment._replace(waits=moment.leads and (moment.waits or is_held))
        before = moment.seconds
