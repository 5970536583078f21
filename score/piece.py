"""The piece as everything downstream sees it: frozen values in written order, exact time.

`score.reading` makes a `Piece`; nothing changes one afterwards. All positions are a bar index from 0
and an offset in quarters inside that bar (`score.beats.Place`); printed bar labels are text only.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cached_property
from typing import NamedTuple

from score.beats import Place


class StrokeKind(StrEnum):
    """What the hands do."""

    STROKE = "stroke"
    ROLL = "roll"
    GRACE = "grace"


class Instrument(NamedTuple):
    """One instrument of a player.

    Attributes:
        key: our own key in `score.instruments.percussion` ("marimba"), or "" when the name is not known there.
        name: the name as the score prints it, or the table's English name when it prints none.
        sound: MusicXML standard sound id, "" when the score gives none.
        pitched: whether strokes on it have sounding pitches.
        midi_unpitched: General MIDI percussion key from 0 to 127 (MusicXML counts it from 1), or None.
    """

    key: str
    name: str
    sound: str = ""
    pitched: bool = True
    midi_unpitched: int | None = None


class Segment(NamedTuple):
    """One written note of a stroke; a stroke has several when its notes are tied.

    Attributes:
        bar: index of the bar.
        at: offset in the bar, quarters.
        length: written length, quarters.
    """

    bar: int
    at: Fraction
    length: Fraction


class Stroke(NamedTuple):
    """One onset of one voice: a note, a chord, a roll or a grace note.

    Attributes:
        bar: index of the bar, from 0.
        at: offset in the bar, quarters; a grace stroke stands at the note it decorates.
        length: full length in quarters, ties joined; 0 for a grace stroke.
        pitches: sounding MIDI numbers, ascending; empty when unpitched.
        kind: stroke, roll or grace.
        instrument: index into the player's `instruments`.
        segments: the written notes, one or more (none for a grace stroke).
        part: index of the source part in the score, from 0.
        staff: staff in that part, from 1.
        voice: the voice's name in the score.
        places: written places of unpitched notes on the staff ("E4"), ascending; empty when pitched.
        noteheads: MusicXML notehead names in the order of the notes, "normal" where none is given.
        dynamic: the dynamic in force ("mf"), "" when none has been given yet.
        articulations: MusicXML names, e.g. "accent", "strong-accent", "staccato".
        stickings: as printed, in the order of the notes ("R", "L", "1" ... "4"); empty when none.
        roll_marks: number of tremolo strokes of a roll (0 for a wavy line or trill).
        let_ring: an open tie (laissez vibrer).
        damp: a damp mark stands at this stroke.
        tuplet: (actual, normal) of the written note, or None.
        words: words attached to this stroke's place and staff, such as "hard yarn".
    """

    bar: int
    at: Fraction
    length: Fraction
    pitches: tuple[int, ...]
    kind: StrokeKind
    instrument: int
    segments: tuple[Segment, ...] = ()
    part: int = 0
    staff: int = 1
    voice: str = "1"
    places: tuple[str, ...] = ()
    noteheads: tuple[str, ...] = ()
    dynamic: str = ""
    articulations: tuple[str, ...] = ()
    stickings: tuple[str, ...] = ()
    roll_marks: int = 0
    let_ring: bool = False
    damp: bool = False
    tuplet: tuple[int, int] | None = None
    words: tuple[str, ...] = ()

    @property
    def place(self) -> Place:
        """Where the stroke begins."""
        return Place(self.bar, self.at)

    @property
    def last_bar(self) -> int:
        """Index of the last bar in which the stroke sounds as written."""
        return self.segments[-1].bar if self.segments else self.bar

    @property
    def bars(self) -> tuple[int, ...]:
        """Indices of every bar in which the stroke sounds as written."""
        return tuple(dict.fromkeys((self.bar, *(segment.bar for segment in self.segments))))


class Rest(NamedTuple):
    """A written rest of one voice.

    Attributes:
        bar, at, length: place and length, quarters.
        part, staff, voice: as in `Stroke`.
        whole_bar: the rest stands for the whole bar.
    """

    bar: int
    at: Fraction
    length: Fraction
    part: int = 0
    staff: int = 1
    voice: str = "1"
    whole_bar: bool = False


class Dynamic(NamedTuple):
    """A printed dynamic of one player.

    Attributes:
        bar, at: place.
        mark: the letters ("mf", "sfz").
        part, staff: where it is printed.
    """

    bar: int
    at: Fraction
    mark: str
    part: int = 0
    staff: int = 1


class SpanKind(StrEnum):
    """A mark with an extent in one player's part."""

    CRESCENDO = "crescendo"
    DIMINUENDO = "diminuendo"
    SLUR = "slur"
    PEDAL = "pedal"


class Span(NamedTuple):
    """A hairpin, slur or pedal from one place to another.

    Attributes:
        kind: which.
        start, end: places; the end is the place of the stop mark (for a slur, of its last note).
        part, staff: where it is printed.
        closed: False when the score never ends it and the end was supplied by us.
    """

    kind: SpanKind
    start: Place
    end: Place
    part: int = 0
    staff: int = 1
    closed: bool = True


class MarkKind(StrEnum):
    """A mark at one place."""

    FERMATA = "fermata"
    CAESURA = "caesura"
    BREATH = "breath"
    WORDS = "words"
    DAMP = "damp"
    STICKS = "sticks"
    INSTRUMENT = "instrument"


class Mark(NamedTuple):
    """A mark at one place in one player's part.

    Attributes:
        kind: which; INSTRUMENT marks a change of instrument, with the printed words as text.
        bar, at: place.
        text: the words, or the mark's variant as MusicXML names it.
        part, staff: where it is printed.
    """

    kind: MarkKind
    bar: int
    at: Fraction
    text: str = ""
    part: int = 0
    staff: int = 1


class Player(NamedTuple):
    """One player and all that this player does, in written order.

    Attributes:
        number: from 1, in score order unless the group's file says otherwise.
        name: as printed, without the instrument where the score joins both ("Player 2").
        short: the score's own short name, or the shortest clear one we could make ("2").
        parts: indices of the score's parts that this player reads, in score order.
        part_names: the printed names of those parts.
        instruments: every instrument that is played, in order of first use.
        strokes: sorted by place, then part, staff, voice; grace strokes before their main note.
        rests, dynamics, spans, marks: sorted by place.
    """

    number: int
    name: str
    short: str
    parts: tuple[int, ...]
    part_names: tuple[str, ...]
    instruments: tuple[Instrument, ...]
    strokes: tuple[Stroke, ...]
    rests: tuple[Rest, ...] = ()
    dynamics: tuple[Dynamic, ...] = ()
    spans: tuple[Span, ...] = ()
    marks: tuple[Mark, ...] = ()


class Meter(NamedTuple):
    """A meter with its grouping.

    Attributes:
        text: as printed, "7/8" or "2+2+3/8"; "" for an unmeasured bar.
        groups: lengths of the beats' groups in quarters (7/8 as 2+2+3: 1, 1, 3/2); they add up to the
            meter's full length. A 4/4 bar has four groups of one quarter.
        beat: length of the written beat unit in quarters (7/8: 1/2).
    """

    text: str
    groups: tuple[Fraction, ...]
    beat: Fraction

    @property
    def length(self) -> Fraction:
        """Full length of a bar in this meter, quarters."""
        return sum(self.groups, Fraction(0))


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar of the piece, the same for all players.

    Attributes:
        index: from 0, in written order.
        label: the printed number as text ("12a", "X1", "").
        start: offset from the beginning of the piece in written order, quarters.
        length: the bar's own notated length, quarters (a pickup is shorter than its meter).
        meter: the meter in force.
        key: sharps (positive) or flats (negative) in force in the top pitched part, sounding pitch.
        rehearsal_mark: "" when there is none.
        barline: MusicXML bar-style of its right barline: "regular", "light-light", "light-heavy" ...
        repeat_start: a forward repeat stands at or inside this bar.
        repeat_times: how often a passage ending with this bar's backward repeat is played; 0 when
            there is none.
        endings: numbers of the ending brackets over this bar.
        signs: jumps and their targets as trade words: "segno", "coda", "fine", "D.C.", "D.S. al Coda",
            "to Coda" ...
    """

    index: int
    label: str
    start: Fraction
    length: Fraction
    meter: Meter
    key: int = 0
    rehearsal_mark: str = ""
    barline: str = "regular"
    repeat_start: bool = False
    repeat_times: int = 0
    endings: tuple[int, ...] = ()
    signs: tuple[str, ...] = ()


class Tempo(NamedTuple):
    """A tempo that takes hold at a place.

    Attributes:
        bar, at: place.
        quarters_per_minute: the tempo used, quarters a minute (for a range, its middle).
        low, high: the ends of a printed range, quarters a minute; equal to the tempo when there is none.
        text: as printed ("c. 60", "Slow"), "" when only a sound element gives it.
        origin: "mark", "sound", "modulation", "words" or "default" (nothing printed).
    """

    bar: int
    at: Fraction
    quarters_per_minute: float
    low: float
    high: float
    text: str = ""
    origin: str = "mark"

    @property
    def place(self) -> Place:
        """Where the tempo takes hold."""
        return Place(self.bar, self.at)


class TempoChange(NamedTuple):
    """A gradual change of tempo over its written extent.

    Attributes:
        kind: "rit" or "accel".
        start, end: places; the end is where dashes, the next tempo or "a tempo" stop it.
        text: as printed ("poco rit.").
        extent: what gave the end: "dashes", "tempo" (the next tempo mark), "words" ("a tempo") or
            "default" (nothing printed: to the end of the bar).
    """

    kind: str
    start: Place
    end: Place
    text: str = ""
    extent: str = "default"


class ReadingWarning(NamedTuple):
    """Something that was repaired, supplied or could not be kept.

    Attributes:
        what: one sentence.
        part: printed name of the part, "" for the whole score.
        bar: label of the bar, "" when it concerns no single bar.
    """

    what: str
    part: str = ""
    bar: str = ""

    @property
    def line(self) -> str:
        """The warning on one line, with where it was found."""
        where = ", ".join(filter(None, (self.part, f"bar {self.bar}" if self.bar else "")))
        return f"{where}: {self.what}" if where else self.what


@dataclass(frozen=True)
class Piece:
    """A whole score in written order.

    Attributes:
        title: as printed, or the file's stem.
        players: in order of their numbers.
        bars: in written order; `bars[i].index == i`.
        playing_order: bar indices as performed, repeats and jumps resolved.
        tempi: sorted by place; the first stands at the very beginning.
        tempo_changes: sorted by start.
        warnings: in the order of the score.
        digest: SHA-256 of the score's content in hex: the key of a player's history.
        is_untitled: the score prints no title.
    """

    title: str
    players: tuple[Player, ...]
    bars: tuple[Bar, ...]
    playing_order: tuple[int, ...]
    tempi: tuple[Tempo, ...]
    tempo_changes: tuple[TempoChange, ...] = ()
    warnings: tuple[ReadingWarning, ...] = ()
    digest: str = ""
    is_untitled: bool = False

    @property
    def heading(self) -> str:
        """The title as pages print it; one that was taken from the file's name in square brackets.

        So do catalogues with a title that does not stand on the item (AACR2 1.1B7; from memory).
        """
        return f"[{' '.join(self.title.replace('_', ' ').split())}]" if self.is_untitled else self.title

    def offset(self, place: Place) -> Fraction:
        """Quarters from the beginning of the piece, in written order, to a place."""
        return self.bars[place.bar].start + place.at

    def offset_of(self, bar: int, at: Fraction) -> Fraction:
        """`offset` of the place (bar, at)."""
        return self.bars[bar].start + at

    def player(self, number: int) -> Player:
        """The player with this number; `KeyError` when there is none."""
        return self._by_number[number]

    @property
    def length(self) -> Fraction:
        """Length of the piece in written order, quarters."""
        return self.bars[-1].start + self.bars[-1].length

    @cached_property
    def _by_number(self) -> dict[int, Player]:
        return {player.number: player for player in self.players}


def strokes_by_bar(player: Player, bars: int) -> tuple[tuple[Stroke, ...], ...]:
    """The player's strokes grouped by the bar they begin in; one tuple a bar, empty ones included."""
    grouped: list[list[Stroke]] = [[] for _ in range(bars)]
    for stroke in player.strokes:
        grouped[stroke.bar].append(stroke)
    return tuple(tuple(strokes) for strokes in grouped)


def sounding(player: Player) -> Iterator[tuple[int, Stroke]]:
    """(bar index, stroke) for every bar in which a stroke begins or is still held."""
    for stroke in player.strokes:
        for bar in stroke.bars:
            yield bar, stroke
