"""What a run of bars holds, player by player, on exact time: the facts a screen draws.

Nothing here knows of columns or letters on a screen; offsets are quarters from the beginning of the run, in
written order.
"""

import weakref
from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from score.piece import Bar, MarkKind, Piece, Player, Stroke, StrokeKind
from score.time.meter_beats import beats

_SHARPS = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
_FLATS = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")


@dataclass(frozen=True, slots=True)
class LaneSign:
    """One stroke, or what is left of one that began before the run.

    Attributes:
        at: quarters from the beginning of the run.
        length: quarters inside the run; 0 for a grace stroke.
        kind: stroke, roll or grace.
        names: pitch names from low to high ("F#4"), or the unpitched instrument's name.
        stickings: as printed.
        accented: an accent of any kind stands on it.
        damped: a damp mark stands on it.
        rings: it is left to ring.
        held: it was struck before the run begins.
        pitches: sounding MIDI numbers in the order of the names; empty when unpitched.
    """

    at: Fraction
    length: Fraction
    kind: StrokeKind
    names: tuple[str, ...]
    stickings: tuple[str, ...] = ()
    accented: bool = False
    damped: bool = False
    rings: bool = False
    held: bool = False
    pitches: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class LaneWord:
    """Words, a dynamic or a change in a lane.

    Attributes:
        at: quarters from the beginning of the run.
        text: as printed.
        is_change: a change of instrument or mallets.
    """

    at: Fraction
    text: str
    is_change: bool = False


@dataclass(frozen=True, slots=True)
class Lane:
    """One player's lane.

    Attributes:
        player: number.
        short: the player's short name.
        signs, words: in order of time.
    """

    player: int
    short: str
    signs: tuple[LaneSign, ...]
    words: tuple[LaneWord, ...]


@dataclass(frozen=True, slots=True)
class RunBar:
    """A bar of the run.

    Attributes:
        index: of the bar.
        at, length: quarters from the beginning of the run, and quarters.
        beats: where the meter's beats begin, quarters from the beginning of the run.
        label: its printed number.
        mark: its rehearsal mark.
    """

    index: int
    at: Fraction
    length: Fraction
    beats: tuple[Fraction, ...]
    label: str
    mark: str


@dataclass(frozen=True, slots=True)
class Run:
    """A run of bars.

    Attributes:
        bars: its bars.
        lanes: one a player, in the players' order.
        length: quarters.
    """

    bars: tuple[RunBar, ...]
    lanes: tuple[Lane, ...]
    length: Fraction


def run(piece: Piece, bars: range) -> Run:
    """The lanes of a run of bars in written order."""
    start = piece.bars[bars[0]].start
    end = piece.bars[bars[-1]].start + piece.bars[bars[-1]].length
    shown = tuple(_run_bar(piece.bars[index], start) for index in bars)
    lanes = tuple(_lane(piece, player, start, end) for player in piece.players)
    return Run(shown, lanes, end - start)


class TimedStroke(NamedTuple):
    """A stroke with its moments.

    Attributes:
        begin, last: where it begins and where its sound ends, quarters from the start in written order.
        held: the latest end of this stroke and of all before it.
        stroke: the stroke.
    """

    begin: Fraction
    last: Fraction
    held: Fraction
    stroke: Stroke


def timed_strokes(piece: Piece) -> Mapping[int, tuple[TimedStroke, ...]]:
    """Each player's strokes in order of time, by the player's number; gathered once for the piece asked for last."""
    global _latest
    gathered = _latest
    if gathered is None or gathered[0]() is not piece:
        gathered = _latest = (weakref.ref(piece), {player.number: _timed(piece, player) for player in piece.players})
    return gathered[1]


_latest: tuple[weakref.ref[Piece], Mapping[int, tuple[TimedStroke, ...]]] | None = None


def _written(piece: Piece) -> Mapping[int, tuple[LaneWord, ...]]:
    """Each player's words, changes and dynamics in order of time, quarters from the start; gathered once as well."""
    global _latest_words
    gathered = _latest_words
    if gathered is None or gathered[0]() is not piece:
        gathered = _latest_words = (
            weakref.ref(piece),
            {player.number: _words(piece, player) for player in piece.players},
        )
    return gathered[1]


_latest_words: tuple[weakref.ref[Piece], Mapping[int, tuple[LaneWord, ...]]] | None = None


def _words(piece: Piece, player: Player) -> tuple[LaneWord, ...]:
    words = [
        LaneWord(piece.offset_of(mark.bar, mark.at), mark.text, mark.kind is not MarkKind.WORDS)
        for mark in player.marks
        if mark.text and mark.kind in (MarkKind.WORDS, MarkKind.STICKS, MarkKind.INSTRUMENT)
    ]
    words += [LaneWord(piece.offset_of(dynamic.bar, dynamic.at), dynamic.mark) for dynamic in player.dynamics]
    return tuple(sorted(words, key=lambda word: word.at))


def _timed(piece: Piece, player: Player) -> tuple[TimedStroke, ...]:
    begins = sorted(((piece.offset(stroke.place), stroke) for stroke in player.strokes), key=lambda pair: pair[0])
    held, timed = Fraction(0), []
    for begin, stroke in begins:
        held = max(held, begin + stroke.length)
        timed.append(TimedStroke(begin, begin + stroke.length, held, stroke=stroke))
    return tuple(timed)


def _between(timed: Sequence[TimedStroke], start: Fraction, end: Fraction) -> Sequence[TimedStroke]:
    """The strokes that begin in a stretch, after those that are still held where it begins."""
    first = bisect_left(timed, start, key=lambda each: each.begin)
    after = bisect_left(timed, end, key=lambda each: each.begin)
    back = first
    while back > 0 and timed[back - 1].held > start:
        back -= 1
    return [*(each for each in timed[back:first] if each.last > start), *timed[first:after]]


def spelled_pitch(pitch: int, sharps: int = 0) -> str:
    """Name of a MIDI number, 60 is "C4"; flats in keys with flats.

    Args:
        pitch: MIDI number.
        sharps: sharps of the key in force, negative for flats.
    """
    names = _FLATS if sharps < 0 else _SHARPS
    return f"{names[pitch % 12]}{pitch // 12 - 1}"


def _run_bar(bar: Bar, start: Fraction) -> RunBar:
    at = bar.start - start
    pulse = tuple(at + beat.at for beat in beats(bar)) or (at,)
    return RunBar(bar.index, at, bar.length, beats=pulse, label=bar.label, mark=bar.rehearsal_mark)


def _lane(piece: Piece, player: Player, start: Fraction, end: Fraction) -> Lane:
    signs = [
        _sign(piece, player, timed.stroke, timed.begin, start, min(timed.last, end))
        for timed in _between(timed_strokes(piece)[player.number], start, end)
    ]
    written = _written(piece)[player.number]
    first = bisect_left(written, start, key=lambda word: word.at)
    after = bisect_left(written, end, key=lambda word: word.at)
    words = tuple(LaneWord(word.at - start, word.text, word.is_change) for word in written[first:after])
    return Lane(player.number, player.short, tuple(signs), words=words)


def _sign(piece: Piece, player: Player, stroke: Stroke, begin: Fraction, start: Fraction, last: Fraction) -> LaneSign:
    sharps = piece.bars[stroke.bar].key
    names = tuple(spelled_pitch(pitch, sharps) for pitch in stroke.pitches)
    at = max(begin, start)
    return LaneSign(
        at - start,
        last - at,
        stroke.kind,
        names=names or (player.instruments[stroke.instrument].name,),
        stickings=stroke.stickings,
        accented=any("accent" in name for name in stroke.articulations),
        damped=stroke.damp,
        rings=stroke.let_ring,
        held=begin < start,
        pitches=stroke.pitches,
    )
