"""What a sample is made of: parts with their instruments and music, and the bars all parts share."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction


class Encoding(StrEnum):
    """How unpitched sounds are written; scores in the wild do all three."""

    IDS = "unpitched notes, each naming its instrument; MIDI keys in the part list"
    PLAIN = "unpitched notes alone"
    PITCHES = "pitches with noteheads; instruments told by words only"


@dataclass(frozen=True, slots=True)
class SampleInstrument:
    """One instrument of a part.

    Attributes:
        key: what `\\to:` and `NoteSound` call it.
        name: as printed.
        sound: MusicXML standard sound id.
        program: General MIDI program from 1, or 0 when unpitched.
        unpitched: MIDI key counted from 1 as MusicXML does (General MIDI key + 1), or 0 when pitched.
        octaves: octaves it sounds above what is written.
    """

    key: str
    name: str
    sound: str
    program: int = 0
    unpitched: int = 0
    octaves: int = 0


@dataclass(frozen=True, slots=True)
class NoteSound:
    """An unpitched sound: its instrument's key, place on the staff ("E4") and notehead."""

    instrument: str
    place: str
    notehead: str = "normal"


Voice = tuple[int, str]
"""Staff from 1 and the voice's name."""


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a score.

    Attributes:
        name, short: part-name and part-abbreviation.
        instruments: the first one is in hand at the start.
        music: one text a bar for each voice (see `notation`).
        clefs: one a staff: "treble", "bass" or "percussion".
        lines: staff lines.
        sounds: what lower-case names in the music mean.
        encoding: how unpitched sounds are written.
    """

    name: str
    short: str
    instruments: tuple[SampleInstrument, ...]
    music: Mapping[Voice, Sequence[str]]
    clefs: tuple[str, ...] = ("treble",)
    lines: int = 5
    sounds: Mapping[str, NoteSound] = field(default_factory=dict)
    encoding: Encoding = Encoding.IDS


@dataclass(frozen=True, slots=True)
class TempoMark:
    """A tempo as printed; `playback` is the number for playing, in quarters a minute."""

    words: str
    per_minute: str
    playback: float
    unit: str = "quarter"


@dataclass(frozen=True, slots=True)
class BarPlan:
    """One bar as all parts share it.

    Attributes:
        meter: "4/4", "2+2+3/8".
        fifths: the key signature.
        rehearsal, tempo: printed over the top part.
        words: printed over the top part at the bar's start.
        slowing: "start" (words "rit." and dashes begin), "stop" or "".
        repeat: "forward", "backward" or "".
        ending: the number of its bracket, or "".
        ending_edges: any of "start", "stop", "discontinue".
        barline: bar-style of the right barline, or "".
    """

    meter: str = "4/4"
    fifths: int = 0
    rehearsal: str = ""
    tempo: TempoMark | None = None
    words: str = ""
    slowing: str = ""
    repeat: str = ""
    ending: str = ""
    ending_edges: tuple[str, ...] = ()
    barline: str = ""

    @property
    def groups(self) -> tuple[Fraction, ...]:
        """Lengths of the beats, quarters: 2+2+3/8 has 1, 1 and 3/2."""
        beats, unit = self.meter.split("/")
        quarter = Fraction(4, int(unit))
        if "+" in beats:
            return tuple(int(beat) * quarter for beat in beats.split("+"))
        if unit == "8" and int(beats) % 3 == 0:
            return (3 * quarter,) * (int(beats) // 3)
        return (quarter,) * int(beats)

    @property
    def length(self) -> Fraction:
        """Length of the bar, quarters."""
        return sum(self.groups, Fraction(0))


@dataclass(frozen=True, slots=True)
class Score:
    """A whole sample."""

    title: str
    parts: tuple[Part, ...]
    bars: tuple[BarPlan, ...]
    movement: bool = False
