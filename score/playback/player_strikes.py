"""What one player strikes along a route: graces before their note, rolls as blows, feet, mallets, damping."""

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from score.activity.dynamics import WrittenDynamics
from score.piece import MarkKind, Piece, Player, Stroke, StrokeKind, strokes_by_bar
from score.playback.mallet_hardness import Mallets
from score.playback.pedal_and_motor import Feet
from score.playback.roll_strokes import roll_strokes
from score.playback.sound_events import Strike
from score.time.route import Route, Visit
from score.time.tempo_map import TempoMap

GRACE_SECONDS = 0.07
"""From one grace stroke to the next (common practice, no source)."""
# Instruments whose notes are stopped where they end unless they are left to ring; the others die away or are
# left to ring by custom (common practice, no source).
_STOPPED = frozenset({"vibraphone", "chimes", "timpani", "glockenspiel"})


def player_strikes(
    piece: Piece, route: Route, times: TempoMap, player: Player, lead: float, level: float
) -> list[Strike]:
    """Every strike of a player along a route, not sorted.

    Args:
        piece: the piece.
        route: what is played.
        times: the route's seconds.
        player: who.
        lead: seconds of the count-in before the route.
        level: loudness of the player, 0 to 1.
    """
    by_bar = strokes_by_bar(player, len(piece.bars))
    loudness, damps = WrittenDynamics(piece, player), _damps(route, player, times)
    feet, mallets = Feet(piece, player), Mallets(piece, player)
    strikes: list[Strike] = []
    for visit in route.visits:
        here = [stroke for stroke in by_bar[visit.bar] if visit.start <= stroke.at < visit.end]
        for index, stroke in enumerate(here):
            performed = _Performed(
                player,
                stroke,
                visit,
                route=route,
                times=times,
                loudness=loudness,
                level=level,
                feet=feet,
                mallets=mallets,
            )
            for strike in _strikes(performed, _graces_left(here, index)):
                strikes.append(replace(strike, seconds=max(0.0, strike.seconds + lead)))
    return [_damped(strike, damps, lead) for strike in strikes]


def _graces_left(here: Sequence[Stroke], index: int) -> int:
    """How many grace strokes stand from this one on before its main stroke; 0 for a main stroke."""
    count = 0
    for stroke in here[index:]:
        if stroke.kind is not StrokeKind.GRACE or stroke.place != here[index].place:
            break
        count += 1
    return count


@dataclass(frozen=True, slots=True)
class _Performed:
    """A stroke as it is passed once."""

    player: Player
    stroke: Stroke
    visit: Visit
    route: Route
    times: TempoMap
    loudness: WrittenDynamics
    level: float
    feet: Feet
    mallets: Mallets

    @property
    def offset(self) -> Fraction:
        return self.visit.offset + self.stroke.at - self.visit.start

    def velocity(self, louder: float = 0.0) -> int:
        return max(1, min(127, round(127 * self.level * (self.loudness.of(self.stroke) + louder))))


def _strikes(performed: _Performed, graces: int) -> Iterator[Strike]:
    stroke, times, route = performed.stroke, performed.times, performed.route
    start = times.seconds(performed.offset)
    held = performed.feet.until(stroke)
    end = times.seconds(min(performed.offset + max(stroke.length, held), route.length))
    instrument = performed.player.instruments[stroke.instrument]
    voice = instrument.key or instrument.name
    stopped = (voice in _STOPPED and not stroke.let_ring) or stroke.damp
    number, variant = performed.player.number, "+".join(stroke.places)
    if voice == "vibraphone" and performed.feet.motor_at(stroke):
        variant = "motor"
    base = Strike(
        start,
        end - start,
        number,
        voice=voice,
        pitch=None,
        velocity=performed.velocity(),
        hardness=performed.mallets.hardness(stroke),
        damped=stopped,
        variant=variant,
        offset=float(performed.offset),
    )
    if stroke.kind is StrokeKind.GRACE:
        yield from _notes(replace(base, seconds=start - GRACE_SECONDS * graces, length=GRACE_SECONDS), stroke.pitches)
    elif stroke.kind is StrokeKind.ROLL and end > start:
        yield from _roll(performed, replace(base, damped=False), end - start)
    else:
        yield from _notes(base, stroke.pitches)


def _roll(performed: _Performed, base: Strike, seconds: float) -> Iterator[Strike]:
    """Strokes of a roll; a hairpin swells inside it."""
    written = performed.loudness.piece.offset(performed.stroke.place)
    first = performed.loudness.at(written)
    for after, length, pitches in roll_strokes(performed.stroke.pitches, base.velocity / 127, seconds):
        passed = performed.times.quarters(base.seconds + after) - float(performed.offset)
        louder = performed.loudness.at(written + Fraction(passed).limit_denominator(960)) - first
        blow = replace(
            base,
            seconds=base.seconds + after,
            length=length,
            velocity=performed.velocity(louder),
            offset=base.offset + passed,
        )
        yield from _notes(blow, pitches)


def _notes(base: Strike, pitches: Sequence[int]) -> Iterator[Strike]:
    if not pitches:
        yield from (replace(base, variant=place) for place in base.variant.split("+"))
    for pitch in pitches:
        yield replace(base, pitch=pitch)


def _damps(route: Route, player: Player, times: TempoMap) -> list[float]:
    """Seconds, from the beginning of the route, at which the player damps everything."""
    marks = [(mark.bar, mark.at) for mark in player.marks if mark.kind is MarkKind.DAMP]
    return sorted(
        times.seconds(visit.offset + at - visit.start)
        for visit in route.visits
        for bar, at in marks
        if bar == visit.bar and visit.start <= at < visit.end
    )


def _damped(strike: Strike, damps: Sequence[float], lead: float) -> Strike:
    index = bisect_right(damps, strike.seconds - lead + 1e-9)
    if index < len(damps):
        until = damps[index] - (strike.seconds - lead)
        if strike.damped:
            return replace(strike, length=min(strike.length, until))
        return replace(strike, length=until, damped=True)
    return strike
