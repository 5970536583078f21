"""What one player sounds in one bar, gathered into one row.

All strokes of a player, whatever their voice or staff, become one row of onsets and held notes: each lasts to its own
end or to the next onset, whichever comes first.
"""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from score.piece import Bar, Player, Stroke, StrokeKind

_MOST_GRACES = 4


class Sound(NamedTuple):
    """One onset (or held note) of a bar before it is spelled.

    Attributes:
        at, end: quarters in the bar.
        held_in, held_out: it is held from the bar before, or into the next one.
        roll: number of tremolo strokes, 0 for none.
        accent: an accent stands on it.
        whole: the composer wrote it as one note.
        tuplet: (actual, normal) of the written note, or None.
        trill: it is rolled or trilled by a sign or a wavy line, without strokes.
        graces: grace notes before it.
        pitches: sounding pitches, ascending.
    """

    at: Fraction
    end: Fraction
    held_in: bool = False
    held_out: bool = False
    roll: int = 0
    accent: bool = False
    whole: bool = True
    tuplet: tuple[int, int] | None = None
    trill: bool = False
    graces: int = 0
    pitches: tuple[int, ...] = ()


def sounds(strokes: Sequence[Stroke], bar: Bar) -> list[Sound]:
    """The player's onsets and held notes of one bar, in order, none overlapping the next.

    Args:
        strokes: every stroke that begins or is held in the bar, and the grace strokes before them.
        bar: the bar.
    """
    rows: dict[Fraction, Sound] = {}
    for stroke in strokes:
        sound = _sound(stroke, bar)
        if sound is not None:
            rows[sound.at] = _longer(rows.get(sound.at), sound)
    for at, count in _graces(strokes, bar).items():
        if at in rows:
            rows[at] = rows[at]._replace(graces=count)
    ordered = [rows[at] for at in sorted(rows)]
    return [_cut(sound, after) for sound, after in zip(ordered, (*ordered[1:], None), strict=False)]


def strokes_in(player: Player, bars: int) -> list[list[Stroke]]:
    """The player's strokes by every bar they begin or are held in."""
    rows: list[list[Stroke]] = [[] for _ in range(bars)]
    for stroke in player.strokes:
        for bar in stroke.bars:
            rows[bar].append(stroke)
    return rows


def _graces(strokes: Sequence[Stroke], bar: Bar) -> dict[Fraction, int]:
    """Grace strokes by the place of the note they decorate: as many as the voice with most of them has there."""
    voices: dict[tuple[Fraction, int, str], int] = {}
    for stroke in strokes:
        if stroke.kind is StrokeKind.GRACE and stroke.bar == bar.index:
            key = stroke.at, stroke.part, stroke.voice
            voices[key] = voices.get(key, 0) + 1
    most: dict[Fraction, int] = {}
    for (at, _, _), count in voices.items():
        most[at] = min(max(most.get(at, 0), count), _MOST_GRACES)
    return most


def _sound(stroke: Stroke, bar: Bar) -> Sound | None:
    in_bar = [segment for segment in stroke.segments if segment.bar == bar.index]
    if not in_bar:
        return None
    at, end = min(s.at for s in in_bar), min(bar.length, max(s.at + s.length for s in in_bar))
    if end <= at:
        return None
    is_roll = stroke.kind is StrokeKind.ROLL
    return Sound(
        at,
        end,
        stroke.bar < bar.index,
        held_out=stroke.segments[-1].bar > bar.index,
        roll=min(stroke.roll_marks, 8) if is_roll else 0,
        accent=any(name in ("accent", "strong-accent") for name in stroke.articulations) and stroke.bar == bar.index,
        whole=len(in_bar) == 1,
        tuplet=stroke.tuplet,
        trill=is_roll and not stroke.roll_marks,
        pitches=stroke.pitches,
    )


def _longer(a: Sound | None, b: Sound) -> Sound:
    if a is None:
        return b
    long, short = (a, b) if a.end >= b.end else (b, a)
    # A new stroke on one voice is an onset even where another voice is held over.
    return long._replace(
        held_in=a.held_in and b.held_in,
        accent=a.accent or b.accent,
        roll=max(long.roll, short.roll),
        trill=long.trill or short.trill,
        pitches=tuple(sorted({*a.pitches, *b.pitches})),
    )


def _cut(sound: Sound, after: Sound | None) -> Sound:
    if after is None or sound.end <= after.at:
        return sound
    return sound._replace(end=after.at, held_out=False, whole=False)
