"""Meters: their text, their beats' groups, and the groups that the beaming of odd meters shows.

Groups of even meters follow the usual division (MusicXML 4.0 leaves it open; common practice, and the
same as the beat sequences of music21): three units a beat in 6/8, 9/8 and 12/8, one unit in 2/4, 3/4 and 4/4.
Odd meters such as 7/8 are grouped as written ("2+2+3"), else as the bar is beamed, else as twos with a
three at the end (5/8: 3+2).
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import cache
from typing import NamedTuple

from score.piece import Meter
from score.reading.xml_cursor import Element, number


class BeamRun(NamedTuple):
    """One beam of a bar: from its first note's onset to its last note's end, quarters in the bar."""

    start: Fraction
    end: Fraction


class WrittenMeter(NamedTuple):
    """A `<time>`: the meter, and the number of units to be grouped where its text leaves that open (else 0)."""

    meter: Meter
    open_units: int = 0


UNMEASURED = WrittenMeter(Meter("", (), Fraction(1)))
USUAL = WrittenMeter(Meter("4/4", (Fraction(1),) * 4, Fraction(1)))


def written_meter(time: Element) -> WrittenMeter | None:
    """The meter of a `<time>`, or None when it cannot be read."""
    if time.find("senza-misura") is not None:
        return UNMEASURED
    pairs = list(zip(time.findall("beats"), time.findall("beat-type"), strict=False))
    parts = [_part((beats.text or "").strip(), number(unit.text)) for beats, unit in pairs]
    if not parts or None in parts:
        return None
    meters = [part for part in parts if part]
    text = "+".join(part.meter.text for part in meters)
    if len(meters) == 1:
        return meters[0]
    groups = tuple(group for part in meters for group in part.meter.groups)
    return WrittenMeter(Meter(text, groups, min(part.meter.beat for part in meters)))


def grouped(written: WrittenMeter, beams: Sequence[BeamRun]) -> Meter:
    """The meter with the groups that the beams of one bar show, where its text leaves them open."""
    if not written.open_units:
        return written.meter
    unit = written.meter.beat
    choices = _groupings(written.open_units)
    best = max(choices, key=lambda choice: (_agreement(choice, unit, beams), -choices.index(choice)))
    return Meter(written.meter.text, tuple(unit * count for count in best), unit)


def _part(beats: str, below: Fraction | None) -> WrittenMeter | None:
    counts = [number(text) for text in beats.split("+")]
    if not below or below < 0 or any(count is None or count <= 0 for count in counts):
        return None
    unit = Fraction(4) / below
    units = [count for count in counts if count]
    text = f"{beats.replace(' ', '')}/{below}"
    if len(units) > 1:
        return WrittenMeter(Meter(text, tuple(unit * count for count in units), unit))
    return _plain(text, units[0], below, unit)


def _plain(text: str, units: Fraction, below: Fraction, unit: Fraction) -> WrittenMeter:
    if units.denominator != 1:
        return WrittenMeter(Meter(text, (units * unit,), unit))
    count = int(units)
    if count > 3 and count % 3 == 0:
        return WrittenMeter(Meter(text, (3 * unit,) * (count // 3), unit))
    if count == 3 and below >= 8:
        return WrittenMeter(Meter(text, (3 * unit,), unit))
    if below >= 8 and 5 <= count <= 32:
        usual = tuple(unit * size for size in _groupings(count)[0])
        return WrittenMeter(Meter(text, usual, unit), count)
    return WrittenMeter(Meter(text, (unit,) * min(count, 256), unit))


@cache
def _groupings(units: int) -> list[tuple[int, ...]]:
    """Every way to fill the units with twos and threes, the usual one first."""
    groupings = sorted(_fill(units), key=lambda row: (row != _usual(units), row))
    return groupings[:400]


def _usual(units: int) -> tuple[int, ...]:
    if units == 5:
        return (3, 2)
    return (2,) * (units // 2) if units % 2 == 0 else (*((2,) * ((units - 3) // 2)), 3)


def _fill(units: int) -> Iterator[tuple[int, ...]]:
    if units == 0:
        yield ()
    for size in (2, 3):
        if units >= size:
            for rest in _fill(units - size) if units <= 20 else (_usual(units - size),):
                yield (size, *rest)


def _agreement(grouping: tuple[int, ...], unit: Fraction, beams: Sequence[BeamRun]) -> int:
    """Beams that are whole groups count for a grouping, beams that cross into a group against it."""
    heads, at = [], Fraction(0)
    for size in grouping:
        heads.append(at)
        at += size * unit
    edges = {*heads, at}
    score = 0
    for beam in beams:
        crossed = any(beam.start < head < beam.end for head in heads)
        score += -2 if crossed else int(beam.start in edges) + int(beam.end in edges)
    return score
