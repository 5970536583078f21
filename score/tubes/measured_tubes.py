"""Tubes the builder has measured: "640 mm C3+5c cap 20C"."""

import re
from dataclasses import dataclass, replace

from score.errors import RequestError
from score.tubes.air import Air
from score.tubes.measurement_trust import CHECK, doubtful, impossible, off_physics
from score.tubes.pipes import read_pipe
from score.tubes.tube_acoustics import Column, sounding
from score.tubes.tube_pitch import A4, PITCH, note_name, pitch_hertz, pitch_name
from score.tubes.units import take_length

_NEAR = 100.0
"""Cents within which the other state of the cap explains a pitch."""
_REMEDY = 'write "640 mm C3+5c cap 20C"'


@dataclass(frozen=True, slots=True)
class Measured:
    """One measured tube.

    Attributes:
        length: of the tube without its cap, mm.
        frequency: what it sounded, hertz.
        column: its pipe and cap.
        air: the air it was measured in.
        text: as the builder wrote it.
        learned: it comes from the log of another set and is no tube of this one.
    """

    length: float
    frequency: float
    column: Column
    air: Air
    text: str = ""
    learned: bool = False

    def pitch_in(self, air: Air) -> float:
        """What the tube sounds in other air, hertz."""
        here, there = (sounding(self.column, self.length, then) for then in (self.air, air))
        return self.frequency * there / here


def read_measured(text: str, column: Column, air: Air, a4: float = A4) -> Measured:
    """A measured tube from a line: length, pitch, "cap" or "open", temperature, humidity, pipe.

    Args:
        text: such as "640 mm C3+5c cap 20C 45%" or "25 3/16 in 130.2 Hz open 68F pipe 3 in"; what it leaves
            out is taken from `column` and `air`.
        column: what is to be built.
        air: the air in the workshop.
        a4: hertz of A4.

    Raises:
        RequestError: something is missing, cannot be, or is not understood.
    """
    rest, column = _pipe(text, column)
    rest, air = _air(rest, air)
    length, rest = take_length(rest)
    pitches = re.findall(rf"(?<![\w.]){PITCH}(?!\w)", rest)
    if len(pitches) != 1:
        what = f"{text!r} has {len(pitches)} pitches instead of one"
        raise RequestError("Measured tube", what, _remedy(rest) if not pitches else _REMEDY)
    rest = rest.replace(pitches[0], " ")
    words = {word.lower() for word in re.split(r"[\s,;]+", rest) if word and word != "at"}
    capped = {"cap", "capped", "stopped"} & words
    uncapped = {"open", "uncapped"} & words
    if words - capped - uncapped or (capped and uncapped):
        odd = " ".join(sorted(words - capped - uncapped)) or "cap and open"
        raise RequestError("Measured tube", f"{text!r}: {odd!r} is not understood", _REMEDY)
    if capped or uncapped:
        column = replace(column, capped=bool(capped))
    tube = Measured(length, pitch_hertz(pitches[0], a4), column, air=air, text=text.strip())
    check_measured(tube, a4)
    return tube


def odd_pitch(tube: Measured) -> float:
    """How far the tube lies from what physics alone expects, cents, when that is surprising; otherwise 0."""
    off = off_physics(tube.column, tube.length, tube.frequency, tube.air)
    return off if doubtful(tube.column, tube.length, off) else 0.0


def check_measured(tube: Measured, a4: float = A4) -> None:
    """Refuse a tube that cannot sound what it is said to.

    Raises:
        RequestError: too far from physics (`trust`).
    """
    off = off_physics(tube.column, tube.length, tube.frequency, tube.air)
    if not impossible(tube.column, tube.length, off):
        return
    expected = sounding(tube.column, tube.length, tube.air)
    how = "with its cap on" if tube.column.capped else "open at both ends"
    what = f"{tube.text!r}: {tube.length:.0f} mm {how} sounds near {pitch_name(expected, a4)}"
    other = replace(tube.column, capped=not tube.column.capped)
    near = abs(off_physics(other, tube.length, tube.frequency, tube.air)) <= _NEAR
    hint = f"was it measured with the cap the other way? If not, {CHECK}" if near else CHECK
    raise RequestError("Measured tube", f"{what}, not {pitch_name(tube.frequency, a4)}", hint)


def read_air(text: str, air: Air) -> Air:
    """Air from "20C", "68F", "20C 45%".

    Raises:
        RequestError: it says something else, or what cannot be.
    """
    rest, told = _air(text, air)
    if rest.strip() or (told == air and not re.search(r"\d", text)):
        raise RequestError("Air", f"{text!r} is not a temperature and humidity", 'write "20C 45%"')
    return told


def _remedy(rest: str) -> str:
    """What to write where no pitch is; a MIDI number is told its note."""
    number = re.search(r"(?<![\w.+-])\d{1,3}(?![\w.])", rest)
    if number and 0 < int(number[0]) < 128:
        return f"write a MIDI number as its note: {note_name(int(number[0]))} for {number[0]}"
    return _REMEDY


def _pipe(text: str, column: Column) -> tuple[str, Column]:
    head, said, tail = text.partition("pipe ")
    return (head, replace(column, pipe=read_pipe(tail))) if said else (text, column)


def _air(text: str, air: Air) -> tuple[str, Air]:
    warm = re.search(r"(?<![\w.+])(-?\d+(?:\.\d+)?)\s*°?\s*([CF])(?![\w#])", text)
    if warm:
        degrees = float(warm[1])
        air = replace(air, celsius=degrees if warm[2] == "C" else (degrees - 32) / 1.8)
        text = text.replace(warm[0], " ", 1)
    damp = re.search(r"(-?\d+(?:\.\d+)?)\s*%", text)
    if damp:
        air, text = replace(air, humidity=float(damp[1])), text.replace(damp[0], " ", 1)
    return text, air
