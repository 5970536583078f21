"""The click along a route, the count-in before it, the beats that pass, and the breaths that lead into entries."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from score.activity.breath import Breath
from score.piece import Piece
from score.playback.click import Thinning, heard
from score.playback.sound_events import (
    BREATH,
    CLICK,
    CLICK_PLAYER,
    CLICK_STRONG,
    CLICK_WEAK,
    BarTime,
    BeatTime,
    BreathTime,
    Strike,
)
from score.time.meter_beats import Beat, ClickKind, beats
from score.time.route import Route
from score.time.tempo_map import TempoMap

_VOICES = {ClickKind.DOWNBEAT: CLICK_STRONG, ClickKind.GROUP: CLICK, ClickKind.BEAT: CLICK, ClickKind.PART: CLICK_WEAK}
_VELOCITY = {ClickKind.DOWNBEAT: 112, ClickKind.GROUP: 96, ClickKind.BEAT: 80, ClickKind.PART: 56}
_BREATH_VELOCITY = 90


@dataclass(frozen=True, slots=True)
class CountIn:
    """The beats before the music.

    Attributes:
        beats: from its beginning, quarters.
        length: quarters.
        tempo: quarters a minute: that in which the music begins.
    """

    beats: tuple[Beat, ...]
    length: Fraction
    tempo: float

    @property
    def seconds(self) -> float:
        """How long it lasts."""
        return float(self.length) * 60 / self.tempo

    def at(self, beat: Beat) -> float:
        """Seconds from the beginning to a beat."""
        return float(beat.at) * 60 / self.tempo


def count_in(piece: Piece, route: Route, times: TempoMap, bars: int, tempo: float | None = None) -> CountIn:
    """So many bars of beats; where the route begins inside a bar (a pickup), that bar is counted up to it as well.

    Args:
        piece: the piece.
        route: what is played.
        times: its seconds.
        bars: how many.
        tempo: quarters a minute, None for that in which the music begins.
    """
    tempo = tempo or times.quarters_per_minute(Fraction(0))
    if bars <= 0:
        return CountIn((), Fraction(0), tempo)
    first = route.visits[0]
    bar = piece.bars[first.bar]
    pulses = beats(bar) or (Beat(Fraction(0), ClickKind.DOWNBEAT),)
    whole = bar.meter.length or bar.length
    counted = [Beat(count * whole + beat.at, beat.kind) for count in range(bars) for beat in pulses if beat.at >= 0]
    missing = first.start + (whole - bar.length if first.bar == 0 and bar.length < whole else Fraction(0))
    counted += [Beat(bars * whole + beat.at, beat.kind) for beat in pulses if 0 <= beat.at < missing]
    return CountIn(tuple(counted), bars * whole + missing, tempo)


def count_in_clicks(counted: CountIn) -> Iterator[Strike]:
    """A click for every beat of a count-in."""
    for beat in counted.beats:
        yield _click(beat.kind, counted.at(beat), beat.at - counted.length)


def clicks(
    piece: Piece, route: Route, times: TempoMap, lead: float, thinning: Thinning, subdivisions: int
) -> Iterator[Strike]:
    """The clicks that are left along a route, `lead` seconds after the timeline's beginning."""
    for count, visit in enumerate(route.visits):
        for beat in beats(piece.bars[visit.bar], subdivisions):
            if visit.start <= beat.at < visit.end and heard(beat, thinning, count):
                offset = visit.offset + beat.at - visit.start
                yield _click(beat.kind, lead + times.seconds(offset), offset)


def beat_times(piece: Piece, route: Route, times: TempoMap, counted: CountIn) -> Iterator[BeatTime]:
    """Every beat as it passes, those of the count-in first."""
    for number, beat in enumerate(counted.beats, start=1):
        offset = float(beat.at - counted.length)
        yield BeatTime(counted.at(beat), -1, number, offset=offset, quarters_per_minute=counted.tempo)
    for visit in route.visits:
        for number, beat in enumerate(beats(piece.bars[visit.bar]), start=1):
            if visit.start <= beat.at < visit.end:
                place = visit.offset + beat.at - visit.start
                yield BeatTime(
                    counted.seconds + times.seconds(place),
                    visit.bar,
                    number,
                    offset=float(place),
                    quarters_per_minute=times.quarters_per_minute(place),
                )


def bar_times(route: Route, times: TempoMap, lead: float) -> Iterator[BarTime]:
    """Where each bar begins, and which time it is played."""
    passes: dict[int, int] = {}
    for visit in route.visits:
        passes[visit.bar] = passes.get(visit.bar, 0) + 1
        yield BarTime(lead + times.seconds(visit.offset), visit.bar, passes[visit.bar])


def breath_times(
    piece: Piece, route: Route, times: TempoMap, lead: float, breaths: tuple[Breath, ...], scale: float
) -> Iterator[BreathTime]:
    """Every breath at the coming tempo, ended where the entry is; one before the very beginning is cut short.

    Args:
        piece: the piece.
        route: what is played.
        times: its seconds.
        lead: seconds of the count-in.
        breaths: what is breathed.
        scale: practice tempo as a factor of the written one.
    """
    by_entry = {breath.entry: breath for breath in breaths}
    for visit in route.visits:
        begin = piece.bars[visit.bar].start + visit.start
        inside = sorted(entry for entry in by_entry if begin <= entry < begin + visit.length)
        for entry in inside:
            breath, offset = by_entry[entry], visit.offset + entry - begin
            until = lead + times.seconds(offset)
            tempo = times.quarters_per_minute(offset)
            length = float(breath.length) if breath.seconds is None else breath.seconds / scale * tempo / 60
            if until > 0:
                start = max(0.0, until - length * 60 / tempo)
                yield BreathTime(start, until, float(offset), length=length, giver=breath.giver)


def breath_strike(breath: BreathTime) -> Strike:
    """A breath as it sounds."""
    return Strike(
        breath.seconds,
        breath.until - breath.seconds,
        CLICK_PLAYER,
        voice=BREATH,
        pitch=None,
        velocity=_BREATH_VELOCITY,
        damped=True,
        offset=breath.offset - breath.length,
    )


def _click(kind: ClickKind, seconds: float, offset: Fraction) -> Strike:
    return Strike(
        seconds,
        0.05,
        CLICK_PLAYER,
        voice=_VOICES[kind],
        pitch=None,
        velocity=_VELOCITY[kind],
        damped=True,
        offset=float(offset),
    )
