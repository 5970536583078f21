"""What the eye needs and the ear does not: beams, stems and accidentals, by the usual rules of engraving."""

from collections.abc import Sequence
from fractions import Fraction

from notation import Event

STEPS = "CDEFGAB"
FLAGS = {"eighth": 1, "16th": 2, "32nd": 3}
_SHARPS = "FCGDAEB"
_ALTERS = {"#": 1, "b": -1}
_MIDDLE = {"treble": 4 * 7 + 6, "bass": 3 * 7 + 1, "percussion": 4 * 7 + 6}
"""Diatonic number of the middle line: B4, D3, B4."""


def split_pitch(name: str) -> tuple[str, int, int]:
    """Step, alteration and octave of a written pitch such as "F#4"."""
    return name[0], _ALTERS.get(name[1], 0), int(name[-1])


def diatonic(name: str) -> int:
    """Number of staff steps above C0."""
    step, _, octave = split_pitch(name)
    return 7 * octave + STEPS.index(step)


def key_alters(fifths: int) -> dict[str, int]:
    """The alteration each step has in a key signature."""
    if fifths >= 0:
        return dict.fromkeys(_SHARPS[:fifths], 1)
    return dict.fromkeys(_SHARPS[fifths:], -1)


class Accidentals:
    """Which accidentals to print on one staff, bar by bar."""

    _NAMES: dict[int, str] = {1: "sharp", 0: "natural", -1: "flat"}  # noqa: RUF012

    def __init__(self) -> None:
        self.key: dict[str, int] = {}
        self.seen: dict[tuple[str, int], int] = {}

    def new_bar(self, fifths: int) -> None:
        """Forget what the bar before printed."""
        self.key, self.seen = key_alters(fifths), {}

    def needed(self, name: str, tied: bool) -> str | None:
        """The accidental to print at a note, or None."""
        step, alter, octave = split_pitch(name)
        in_force = self.seen.get((step, octave), self.key.get(step, 0))
        if tied or alter == in_force:
            return None
        self.seen[step, octave] = alter
        return self._NAMES[alter]


def beam_groups(events: Sequence[Event], groups: Sequence[Fraction]) -> list[list[int]]:
    """Indices of the events under each beam: two or more flagged notes of one beat, rests between included."""
    ends = [sum(groups[: i + 1], Fraction(0)) for i in range(len(groups))]
    beamed: list[list[int]] = []
    run: list[int] = []
    beat = -1
    for index, event in enumerate(events):
        here = next(i for i, end in enumerate(ends) if event.at < end)
        if here != beat or event.value not in FLAGS:
            beamed.append(run)
            run = []
        beat = here
        if event.value in FLAGS:
            run.append(index)
    return [trimmed for run in [*beamed, run] if (trimmed := _trim(run, events))]


def beam_marks(events: Sequence[Event], group: Sequence[int]) -> dict[int, list[str]]:
    """For every note of a group (not its rests) the MusicXML beam values of level 1, 2, ..."""
    notes = [index for index in group if events[index].pitches]
    flags = [FLAGS[events[index].value] for index in notes]
    return {
        index: [_beam(flags, place, level) for level in range(1, flags[place] + 1)] for place, index in enumerate(notes)
    }


def stem(pitches: Sequence[str], clef: str) -> str:
    """ "up" or "down" by the note farthest from the middle line."""
    places = [diatonic(pitch) - _MIDDLE[clef] for pitch in pitches]
    farthest = max(places, key=abs)
    total = max(places) + min(places)
    return "down" if (total or farthest) >= 0 else "up"


def _trim(run: list[int], events: Sequence[Event]) -> list[int]:
    notes = [index for index in run if events[index].pitches]
    return list(range(notes[0], notes[-1] + 1)) if len(notes) > 1 else []


def _beam(flags: list[int], place: int, level: int) -> str:
    before = place > 0 and flags[place - 1] >= level
    after = place + 1 < len(flags) and flags[place + 1] >= level
    if before and after:
        return "continue"
    if before or after:
        return "end" if before else "begin"
    return "forward hook" if place == 0 else "backward hook"
