"""From a route through the piece to everything that sounds, in seconds."""

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from score.activity.breath import breath_entries
from score.activity.dynamics import Loudness
from score.piece import MarkKind, Piece, Player, Stroke, StrokeKind, strokes_by_bar
from score.playback.click import Thinning, heard
from score.playback.pedal_and_motor import Feet
from score.playback.roll_strokes import roll_strokes
from score.playback.sound_events import (
    BREATH,
    CLICK,
    CLICK_PLAYER,
    CLICK_STRONG,
    CLICK_WEAK,
    BarTime,
    BeatTime,
    Strike,
    Timeline,
)
from score.time.meter_beats import Beat, ClickKind, beats
from score.time.pulse import PulseOptions, route_tempo_map
from score.time.route import Route, Visit
from score.time.tempo_map import TempoMap

GRACE_SECONDS = 0.07
"""From one grace stroke to the next (common practice, no source)."""
# Instruments whose notes are stopped where they end unless they are left to ring; the others die away or are
# left to ring by custom (common practice, no source).
_STOPPED = frozenset({"vibraphone", "chimes", "timpani", "glockenspiel"})
_VOICES = {ClickKind.DOWNBEAT: CLICK_STRONG, ClickKind.GROUP: CLICK, ClickKind.BEAT: CLICK, ClickKind.PART: CLICK_WEAK}
_CLICK_VELOCITY = {ClickKind.DOWNBEAT: 112, ClickKind.GROUP: 96, ClickKind.BEAT: 80, ClickKind.PART: 56}


@dataclass(frozen=True, slots=True)
class PlayOptions:
    """What is heard.

    Attributes:
        pulse: tempo, shapes, holds.
        players: numbers of those who sound; None for everybody.
        click: which clicks are left; `Thinning.NONE` for no click.
        subdivisions: parts each beat of the click is cut into.
        count_in: bars of clicks before the music; before a pickup the bar is filled up to it.
        breath: an in-breath before each entry made together, instead of the click.
        levels: player's number to loudness from 0 to 1; 1 where not given.
    """

    pulse: PulseOptions = field(default_factory=PulseOptions)
    players: frozenset[int] | None = None
    click: Thinning = Thinning.EVERY_BEAT
    subdivisions: int = 1
    count_in: int = 1
    breath: bool = False
    levels: Mapping[int, float] = field(default_factory=dict)


def timeline(piece: Piece, route: Route, options: PlayOptions | None = None) -> Timeline:
    """Everything that sounds along a route.

    Args:
        piece: the piece.
        route: what is played, in performed order.
        options: what is heard.
    """
    options = options or PlayOptions()
    times = route_tempo_map(piece, route, options.pulse)
    count_in, lead = _count_in(piece, route, options, times)
    strikes = [*count_in]
    for player in piece.players:
        if options.players is None or player.number in options.players:
            strikes += _player_strikes(piece, route, times, player, lead, options.levels.get(player.number, 1.0))
    if options.breath:
        strikes += _breaths(piece, route, times, lead)
    elif options.click is not Thinning.NONE:
        strikes += _clicks(piece, route, times, options, lead)
    end = lead + times.seconds(route.length)
    sounds = tuple(sorted(strikes, key=lambda s: (s.seconds, s.player, s.pitch or 0, s.voice)))
    beat_times = tuple(_beat_times(piece, route, times, options, lead))
    return Timeline(sounds, end, (), bars=tuple(_bar_times(route, times, lead)), beats=beat_times, starts=lead)


def _player_strikes(
    piece: Piece, route: Route, times: TempoMap, player: Player, lead: float, level: float
) -> list[Strike]:
    by_bar = strokes_by_bar(player, len(piece.bars))
    loudness = Loudness(piece, player)
    damps = _damps(piece, route, player, times)
    feet = Feet(piece, player)
    strikes: list[Strike] = []
    for visit in route.visits:
        here = [stroke for stroke in by_bar[visit.bar] if visit.start <= stroke.at < visit.end]
        for index, stroke in enumerate(here):
            graces = _graces_left(here, index)
            for strike in _strikes(
                _Performed(player, stroke, visit, route=route, times=times, loudness=loudness, level=level, feet=feet),
                graces,
            ):
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
    loudness: Loudness
    level: float
    feet: Feet

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
        damped=stopped,
        variant=variant,
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
        here = replace(base, seconds=base.seconds + after, length=length, velocity=performed.velocity(louder))
        yield from _notes(here, pitches)


def _notes(base: Strike, pitches: Sequence[int]) -> Iterator[Strike]:
    if not pitches:
        yield from (replace(base, variant=place) for place in base.variant.split("+"))
    for pitch in pitches:
        yield replace(base, pitch=pitch)


def _damps(piece: Piece, route: Route, player: Player, times: TempoMap) -> list[float]:
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


def _clicks(piece: Piece, route: Route, times: TempoMap, options: PlayOptions, lead: float) -> Iterator[Strike]:
    for count, visit in enumerate(route.visits):
        for beat in beats(piece.bars[visit.bar], options.subdivisions):
            if visit.start <= beat.at < visit.end and heard(beat, options.click, count):
                at = times.seconds(visit.offset + beat.at - visit.start)
                yield _click(beat.kind, lead + at)


def _click(kind: ClickKind, seconds: float) -> Strike:
    return Strike(
        seconds, 0.05, CLICK_PLAYER, voice=_VOICES[kind], pitch=None, velocity=_CLICK_VELOCITY[kind], damped=True
    )


def _count_in(piece: Piece, route: Route, options: PlayOptions, times: TempoMap) -> tuple[list[Strike], float]:
    """Clicks before the music at the tempo it begins in, and how many seconds they take."""
    pulses, length = _count_in_beats(piece, route, options.count_in)
    if not pulses:
        return [], 0.0
    a_quarter = 60 / times.quarters_per_minute(Fraction(0))
    lead = float(length) * a_quarter
    if options.breath:
        return [], lead
    return [_click(beat.kind, float(beat.at) * a_quarter) for beat in pulses], lead


def _count_in_beats(piece: Piece, route: Route, count_in: int) -> tuple[list[Beat], Fraction]:
    """Beats of the count-in from its beginning, and its length in quarters.

    Where the route begins inside a bar (a pickup), that bar is counted up to it after the whole bars.
    """
    if count_in <= 0:
        return [], Fraction(0)
    first = route.visits[0]
    bar = piece.bars[first.bar]
    pulses = beats(bar) or (Beat(Fraction(0), ClickKind.DOWNBEAT),)
    whole = bar.meter.length or bar.length
    counted = [Beat(count * whole + beat.at, beat.kind) for count in range(count_in) for beat in pulses if beat.at >= 0]
    missing = first.start + (whole - bar.length if first.bar == 0 and bar.length < whole else Fraction(0))
    counted += [Beat(count_in * whole + beat.at, beat.kind) for beat in pulses if 0 <= beat.at < missing]
    return counted, count_in * whole + missing


def _beat_times(piece: Piece, route: Route, times: TempoMap, options: PlayOptions, lead: float) -> Iterator[BeatTime]:
    pulses, length = _count_in_beats(piece, route, options.count_in)
    tempo = times.quarters_per_minute(Fraction(0))
    for number, beat in enumerate(pulses, start=1):
        yield BeatTime(
            float(beat.at) * 60 / tempo, -1, number, offset=float(beat.at - length), quarters_per_minute=tempo
        )
    for visit in route.visits:
        for number, beat in enumerate(beats(piece.bars[visit.bar]), start=1):
            if visit.start <= beat.at < visit.end:
                offset = visit.offset + beat.at - visit.start
                yield BeatTime(
                    lead + times.seconds(offset),
                    visit.bar,
                    number,
                    offset=float(offset),
                    quarters_per_minute=times.quarters_per_minute(offset),
                )


def _bar_times(route: Route, times: TempoMap, lead: float) -> Iterator[BarTime]:
    turns: dict[int, int] = {}
    for visit in route.visits:
        turns[visit.bar] = turns.get(visit.bar, 0) + 1
        yield BarTime(lead + times.seconds(visit.offset), visit.bar, turns[visit.bar])


def _breaths(piece: Piece, route: Route, times: TempoMap, lead: float) -> Iterator[Strike]:
    """An in-breath one beat long, at the coming tempo, that ends where players enter together."""
    for offset, beat in breath_entries(piece, route):
        at = times.seconds(offset)
        length = float(beat) * 60 / times.quarters_per_minute(offset)
        start = max(0.0, lead + at - length)
        if lead + at > start:
            yield Strike(start, lead + at - start, CLICK_PLAYER, voice=BREATH, pitch=None, velocity=90, damped=True)
