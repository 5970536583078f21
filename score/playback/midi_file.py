"""Standard MIDI files, type 1: tempo map, meters, markers, a track for each player, the click.

Ticks are the route's own quarters, so that a program that shows bars shows ours; the tempo is written beat by beat,
and every sound at the tick nearest to its moment under those tempi. The count-in is written before the music.

A quarter has as many ticks as keep the whole below nine million, 30,720 at the most: common readers refuse files of
more than ten million as damaged. A chunk's sounds stand within a twentieth of a millisecond of the timeline, those of
an hour of music within half a millisecond; in a beat that a hold stretches a tick is as much longer.
"""

import io
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Any

from score.piece import Piece
from score.playback.general_midi import Patch, patch_of
from score.playback.sound_events import CLICK_PLAYER, Strike, Timeline
from score.time.route import Route

FINEST, COARSEST = 30_720, 480
"""Ticks a quarter."""
MOST_TICKS = 9_000_000
"""In a whole file: below what readers take for damage (pretty_midi refuses ten million)."""
_DRUMS = 9
_MICROSECONDS = 1_000_000
_LONGEST_NOTE = 20.0


@dataclass(frozen=True, slots=True)
class _Knot:
    """A place where seconds and ticks are both known."""

    seconds: float
    tick: int


@dataclass(frozen=True, slots=True)
class _TickGrid:
    """The knots of a file and how many ticks a quarter has between them."""

    ticks: int
    knots: tuple[_Knot, ...]


def midi_file(
    piece: Piece, route: Route, timeline: Timeline, title: str, markers: Sequence[tuple[int, str]] = ()
) -> bytes:
    """The file's bytes.

    Args:
        piece: the piece.
        route: what is played.
        timeline: what `score.playback.timeline` made of the route.
        title: name of the sequence.
        markers: (bar index, text) to mark where the bar is first passed.
    """
    import mido

    grid = _grid(timeline)
    song = mido.MidiFile(type=1, ticks_per_beat=grid.ticks, charset="utf-8")
    song.tracks.append(_conductor(mido, piece, route, timeline, grid, title, markers))
    players = {player.number: player.name for player in piece.players} | {CLICK_PLAYER: "Click"}
    channels = _Channels()
    for number, name in players.items():
        strikes = [strike for strike in timeline.strikes if strike.player == number]
        if strikes:
            song.tracks.append(_track(mido, name, strikes, grid, channels))
    out = io.BytesIO()
    song.save(file=out)
    return out.getvalue()


def _grid(timeline: Timeline) -> _TickGrid:
    """The finest grid that keeps the file below `MOST_TICKS`."""
    ticks = FINEST
    while ticks > COARSEST and _knots(timeline, ticks)[-1].tick > MOST_TICKS:
        ticks //= 2
    return _TickGrid(ticks, tuple(_knots(timeline, ticks)))


def _knots(timeline: Timeline, ticks: int) -> list[_Knot]:
    """Where the file sets a tempo: at every beat.

    Ticks count from the beginning of the count-in; the music begins at a whole number of ticks.
    """
    first = timeline.beats[0].offset if timeline.beats else 0.0
    knots = [_Knot(beat.seconds, round((beat.offset - first) * ticks)) for beat in timeline.beats]
    if not knots:
        return [_Knot(0.0, 0), _Knot(max(timeline.seconds, 1.0), ticks)]
    last = timeline.beats[-1]
    quarters = (timeline.seconds - last.seconds) * last.quarters_per_minute / 60
    end = _Knot(timeline.seconds, round((last.offset - first + quarters) * ticks))
    lead = [_Knot(0.0, 0)] if knots[0].seconds > 0 else []
    if lead:
        shift = round(knots[0].seconds * timeline.beats[0].quarters_per_minute / 60 * ticks)
        knots = [_Knot(knot.seconds, knot.tick + shift) for knot in knots]
        end = _Knot(end.seconds, end.tick + shift)
    rising = [*lead, *knots, *([end] if end.tick > knots[-1].tick else [])]
    return [knot for index, knot in enumerate(rising) if index == 0 or knot.tick > rising[index - 1].tick]


class _Clock:
    """Seconds to ticks along tempi as the file can say them: whole microseconds a quarter."""

    def __init__(self, grid: _TickGrid) -> None:
        self.ticks = grid.ticks
        self.tempi: list[tuple[int, int]] = []
        self.knots: list[_Knot] = [_Knot(0.0, grid.knots[0].tick)]
        for knot, following in pairwise(grid.knots):
            # From where the file really is to where the next knot should be: rounding never adds up.
            here = self.knots[-1]
            quarters = (following.tick - knot.tick) / self.ticks
            micro = min(2**24 - 1, max(1, round((following.seconds - here.seconds) / quarters * _MICROSECONDS)))
            self.tempi.append((knot.tick, micro))
            self.knots.append(_Knot(here.seconds + micro / _MICROSECONDS * quarters, following.tick))
        self._seconds = [knot.seconds for knot in self.knots]

    def tick(self, seconds: float) -> int:
        """The tick nearest to a moment."""
        index = max(0, min(bisect_right(self._seconds, seconds) - 1, len(self.tempi) - 1))
        knot = self.knots[index]
        micro = self.tempi[index][1] if self.tempi else 500_000
        return max(0, knot.tick + round((seconds - knot.seconds) * _MICROSECONDS / micro * self.ticks))


class _Channels:
    """A channel for every player's instrument; drums share the tenth."""

    def __init__(self) -> None:
        self._given: dict[tuple[int, str], int] = {}
        self._free = [channel for channel in range(16) if channel != _DRUMS]

    def of(self, strike: Strike, patch: Patch) -> int:
        if patch.is_drum:
            return _DRUMS
        key = strike.player, strike.voice
        return self._given.setdefault(key, self._free[len(self._given) % len(self._free)])


def _conductor(
    mido: Any,
    piece: Piece,
    route: Route,
    timeline: Timeline,
    grid: _TickGrid,
    title: str,
    markers: Sequence[tuple[int, str]],
) -> Any:
    events: list[tuple[int, int, Any]] = [(0, 0, mido.MetaMessage("track_name", name=title))]
    events += [(tick, 1, mido.MetaMessage("set_tempo", tempo=micro)) for tick, micro in _Clock(grid).tempi]
    clock = _Clock(grid)
    ticks = {index: clock.tick(bar.seconds) for index, bar in enumerate(timeline.bars)}
    before = ""
    for index, visit in enumerate(route.visits):
        meter = piece.bars[visit.bar].meter
        if meter.text != before and meter.text:
            before = meter.text
            numerator, denominator = _meter(meter.length, meter.text)
            message = mido.MetaMessage("time_signature", numerator=numerator, denominator=denominator)
            events.append((ticks[index] if index else 0, 2, message))
    words = dict(markers)
    for index, visit in enumerate(route.visits):
        if visit.bar in words:
            events.append((ticks[index], 3, mido.MetaMessage("marker", text=words.pop(visit.bar))))
    return _written(mido, events)


def _meter(length: Fraction, text: str) -> tuple[int, int]:
    """Numerator and denominator as a file can hold them: a denominator that is a power of two."""
    unit = text.rpartition("/")[2]
    denominator = int(unit) if unit.isdecimal() else 4
    if denominator & (denominator - 1) or denominator < 1:
        denominator = 4
    return max(1, min(255, round(length * denominator / 4))), denominator


def _track(mido: Any, name: str, strikes: Sequence[Strike], grid: _TickGrid, channels: _Channels) -> Any:
    clock = _Clock(grid)
    events: list[tuple[int, int, Any]] = [(0, 0, mido.MetaMessage("track_name", name=name))]
    programs: dict[int, int] = {}
    sounding: dict[tuple[int, int], int] = {}
    for strike in strikes:
        patch = patch_of(strike.voice, strike.pitch, strike.variant)
        if patch.is_silent:
            continue
        channel = channels.of(strike, patch)
        note = patch.number if patch.is_drum else round(strike.pitch) if strike.pitch is not None else patch.note
        on = clock.tick(strike.seconds)
        if not patch.is_drum and programs.get(channel) != patch.number:
            programs[channel] = patch.number
            events.append((on, 1, mido.Message("program_change", channel=channel, program=patch.number)))
        off = max(on + 1, clock.tick(strike.seconds + min(max(strike.length, 0.03), _LONGEST_NOTE)))
        events.append((on, 3, mido.Message("note_on", channel=channel, note=note, velocity=strike.velocity)))
        events.append((off, 2, mido.Message("note_off", channel=channel, note=note)))
        sounding[channel, note] = off
    return _written(mido, _without_overlaps(events))


def _without_overlaps(events: list[tuple[int, int, Any]]) -> list[tuple[int, int, Any]]:
    """A note struck again ends first: its note off moves to where it is struck again."""
    ons: dict[tuple[int, int], list[int]] = {}
    for tick, _, message in events:
        if message.type == "note_on":
            ons.setdefault((message.channel, message.note), []).append(tick)
    for ticks in ons.values():
        ticks.sort()
    kept = []
    open_ons: dict[tuple[int, int], list[int]] = {key: list(ticks) for key, ticks in ons.items()}
    for tick, order, message in events:
        if message.type == "note_off":
            key = message.channel, message.note
            on = open_ons[key].pop(0)
            following = next((other for other in ons[key] if other > on), tick)
            kept.append((max(on + 1, min(tick, following)), order, message))
        else:
            kept.append((tick, order, message))
    return kept


def _written(mido: Any, events: list[tuple[int, int, Any]]) -> Any:
    """A track from events at absolute ticks; at one tick note offs come before note ons."""
    track = mido.MidiTrack()
    now = 0
    for tick, _, message in sorted(events, key=lambda event: event[:2]):
        track.append(message.copy(time=max(0, tick - now)))
        now = max(now, tick)
    track.append(mido.MetaMessage("end_of_track", time=1))
    return track
