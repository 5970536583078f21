"""What a player's hands have to strike, cut into passages with two or with four mallets.

A passage ends where mallets change, and where a rest is long enough to take up or lay down a set of four. It is played
with four mallets when it has three notes at one moment, numbers printed over its notes, two notes for one hand, or
words that say so; else with one mallet in each hand.

Numbers count from the left, 1 lowest, unless the group's file says otherwise (`from_group`).
"""

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby, pairwise

from score.activity.lanes import spelled_pitch
from score.instruments.percussion import all_percussion
from score.piece import Instrument, MarkKind, Piece, Player, Stroke, StrokeKind
from score.setup.bar_geometry import KEYBOARDS, bar_mm
from score.setup.fittings import Fittings, fitting, usual_fittings
from score.setup.kit_layout import Member, kind_of, kit_places
from score.setup.limits import Limits
from score.setup.mallets import Blow, Note, span_limit
from score.time.tempo_map import TempoMap

_FOUR = re.compile(r"\b(4|four|vier|quatre|quattro)\b", re.I)
_SIGNS = re.compile(r"[1-4]|[RL](?:\.?H\.?)?", re.I)
_MOST_NOTES = 12
"""More notes than this at one moment are a mistake of the file: the hands are not searched."""


@dataclass(frozen=True, slots=True)
class HandPassage:
    """A run of blows with the same mallets.

    Attributes:
        name: of the instrument, or of the set.
        keyboard: it is a keyboard instrument.
        four: four mallets are held.
        blows: in order, one or more.
    """

    name: str
    keyboard: bool
    four: bool
    blows: tuple[Blow, ...]

    @property
    def rebounds(self) -> bool:
        """Something in it makes sticks rebound."""
        return any(note.rebounds for blow in self.blows for note in blow.notes)


class Hands:
    """Where everything lies for one player's hands.

    Args:
        piece: the piece.
        player: whose hands.
        times: seconds of every offset.
        limits: limits in force.
        kit: where the pieces without pitch lie, mm; by default in the order of first use.
        from_right: printed numbers count from the right.
        mirrored: keys of the keyboards this player stands behind, facing another one: low bars are on the right.
        fittings: what rebounds; the usual table where it is left out.
    """

    def __init__(
        self, piece: Piece, player: Player, times: TempoMap, limits: Limits, kit: Mapping[Member, float] | None = None,
        from_right: bool = False, mirrored: Collection[str] = (), fittings: Fittings | None = None,
    ) -> None:  # fmt: skip
        self.piece, self.player, self.times, self.limits = piece, player, times, limits
        self.from_right, self.mirrored = from_right, mirrored
        self._kit = kit_places(player) if kit is None else kit
        table = fittings or usual_fittings()
        self._rebounds = [fitting(table, kind_of(instrument)).rebounds for instrument in player.instruments]
        self._notes: dict[tuple[str, int], Note] = {}

    def passages(self) -> Iterator[HandPassage]:
        """Every passage on each keyboard instrument, then those on the set of everything else that has no pitch."""
        for index, instrument in enumerate(self.player.instruments):
            if instrument.key in KEYBOARDS:
                yield from self._cut(instrument.name, True, [index])
        rest = sorted({index for index, _ in self._kit})
        if rest:
            yield from self._cut(_names(self.player.instruments, rest), False, rest)

    def _cut(self, name: str, keyboard: bool, indices: Sequence[int]) -> Iterator[HandPassage]:
        last_stroke = 1 / min(self.limits.hand_strokes_a_second, self.limits.four_hand_strokes_a_second)
        blows = _until_the_next(self._blows(indices), last_stroke)
        words = [(m.bar, m.at, m.text) for m in self.player.marks if m.kind is MarkKind.STICKS]
        pause = self.limits.mallet_set_seconds * self.limits.tight_factor
        start = 0
        for index in range(1, len(blows) + 1):
            if index == len(blows) or _ends(blows[index - 1], blows[index], words, pause):
                run = tuple(blows[start:index])
                yield HandPassage(name, keyboard, keyboard and _with_four(run, words), blows=run)
                start = index

    def _blows(self, indices: Sequence[int]) -> list[Blow]:
        wanted = [s for s in self.player.strokes if s.instrument in indices and s.kind is not StrokeKind.GRACE]
        blows = []
        for (bar, at), together in groupby(wanted, key=lambda stroke: (stroke.bar, stroke.at)):
            strokes = list(together)
            notes = _once(note for stroke in strokes for note in self._of_stroke(stroke))
            if 0 < len(notes) <= _MOST_NOTES:
                blows.append(self._blow(bar, at, strokes, notes))
        return blows

    def _blow(self, bar: int, at: Fraction, strokes: Sequence[Stroke], notes: tuple[Note, ...]) -> Blow:
        start = self.piece.offset_of(bar, at)
        seconds = self.times.seconds(start)
        rolls = [stroke for stroke in strokes if stroke.kind is StrokeKind.ROLL]
        if len(rolls) < len(strokes):
            return Blow(seconds, seconds, bar, at=at, notes=notes)
        end = self.times.seconds(start + max(stroke.length for stroke in rolls))
        notes = tuple(replace(note, asked="") for note in notes)
        return Blow(seconds, end, bar, at=at, notes=notes * 2 if len(notes) == 1 else notes, roll=True)

    def _of_stroke(self, stroke: Stroke) -> Iterator[Note]:
        instrument = self.player.instruments[stroke.instrument]
        if instrument.key in KEYBOARDS:
            for pitch, hand in zip(stroke.pitches, asked_of(stroke, len(stroke.pitches), self.from_right), strict=True):
                yield replace(self._bar(instrument.key, pitch), asked=hand, name=self._printed(stroke, pitch))
        else:
            places = stroke.places or ("",)
            for place, hand in zip(places, asked_of(stroke, len(places), self.from_right), strict=True):
                at = self._kit[stroke.instrument, place]
                rebounds = self._rebounds[stroke.instrument]
                yield Note(at, at, at, asked=hand, name=self._piece(stroke, place), rebounds=rebounds)

    def _printed(self, stroke: Stroke, pitch: int) -> str:
        """A pitch as it is written."""
        percussion = all_percussion().get(self.player.instruments[stroke.instrument].key)
        return spelled_pitch(pitch - 12 * (percussion.octaves if percussion else 0), self.piece.bars[stroke.bar].key)

    def _piece(self, stroke: Stroke, place: str) -> str:
        """An instrument without pitch, where there are several; the place on its staff, where it has several."""
        if len({index for index, _ in self._kit}) > 1:
            return self.player.instruments[stroke.instrument].name.lower()
        return place if len(self._kit) > 1 else ""

    def _bar(self, key: str, pitch: int) -> Note:
        note = self._notes.get((key, pitch))
        if note is None:
            note = note_on(key, pitch, self.limits)
            if key in self.mirrored:
                note = replace(note, place=-note.place, below=-note.above, above=-note.below)
            self._notes[key, pitch] = note
        return note


def note_on(key: str, pitch: int, limits: Limits) -> Note:
    """A bar of a keyboard instrument with what a hand spans from it."""
    span = int(span_limit(pitch, limits))
    below = min(low for low in range(pitch - 24, pitch + 1) if pitch - low <= span_limit(low, limits))
    return Note(bar_mm(key, pitch), bar_mm(key, below), bar_mm(key, pitch + span), pitch=pitch, span=span)


def asked_of(stroke: Stroke, count: int, from_right: bool = False) -> tuple[str, ...]:
    """What is printed over each of a stroke's notes: "L", "R", "1" to "4", "" for nothing that can be used."""
    signs = [sign[0].upper() for text in stroke.stickings for sign in _SIGNS.findall(text)]
    if from_right:
        signs = [str(5 - int(sign)) if sign.isdecimal() else sign for sign in signs]
    if len(signs) == count:
        return tuple(signs)
    return (signs[0],) * count if len(signs) == 1 and signs[0] in "LR" else ("",) * count


def _once(notes: Iterable[Note]) -> tuple[Note, ...]:
    """From left to right, each bar once: two voices on one bar are one stroke."""
    by_place: dict[tuple[float, int], Note] = {}
    for note in notes:
        twin = by_place.get((note.place, note.pitch))
        if twin is None or not twin.asked:
            by_place[note.place, note.pitch] = note
    return tuple(by_place[key] for key in sorted(by_place))


def _until_the_next(blows: list[Blow], last_stroke: float) -> list[Blow]:
    """Rolls are over for the hands one stroke before they end, and before the player strikes elsewhere."""
    shortened = []
    for blow, follower in pairwise([*blows, None]):
        assert blow is not None
        end = blow.until if follower is None else min(blow.until, follower.seconds)
        shortened.append(replace(blow, until=max(blow.seconds, end - last_stroke)) if blow.roll else blow)
    return shortened


def _ends(blow: Blow, follower: Blow, words: Iterable[tuple[int, Fraction, str]], pause: float) -> bool:
    return follower.seconds - blow.until >= pause or any(
        (blow.bar, blow.at) < word[:2] <= (follower.bar, follower.at) for word in words
    )


def _with_four(blows: Sequence[Blow], words: Iterable[tuple[int, Fraction, str]]) -> bool:
    said = [text for bar, at, text in words if (bar, at) <= (blows[0].bar, blows[0].at)]
    if said and _FOUR.search(said[-1]):
        return True
    return any(_needs_four(blow) for blow in blows)


def _needs_four(blow: Blow) -> bool:
    asked = [note.asked for note in blow.notes]
    same_hand = any(asked.count(hand) > 1 for hand in "LR") and not blow.roll
    return len(asked) > 2 or same_hand or any(sign.isdecimal() for sign in asked)


def _names(instruments: Sequence[Instrument], indices: Sequence[int]) -> str:
    return ", ".join(instruments[index].name for index in indices)
