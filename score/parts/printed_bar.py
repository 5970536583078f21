"""A measure on its way to the page."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from lxml import etree

from score.piece import Bar

MEI = "{http://www.music-encoding.org/ns/mei}"
XML_ID = "{http://www.w3.org/XML/1998/namespace}id"
CUE_TYPE, FOR_ALL, AGREED = "cue", "for-all", "agreed"
"""Types of words: who is shown and who moves next, what holds for everybody, where a mark of the group is drawn."""


@dataclass(slots=True)
class PrintedBar:
    """One measure as it is printed.

    Attributes:
        measure: its MEI element.
        first, last: indices of the bars it stands for; they differ for a multi-bar rest.
        cued: a cue stands in it.
        cue_staves: numbers of the cue staves on which notes are seen in it.
    """

    measure: etree._Element
    first: int
    last: int
    cued: bool
    cue_staves: frozenset[int] = frozenset()


def say_numbers(measures: Iterable[etree._Element], bars: Iterable[Bar]) -> None:
    """Number measures as players call their bars; one that the engraver leaves without a number stays without."""
    for measure, bar in zip(measures, bars, strict=True):
        if measure.get("n") and bar.label:
            measure.set("n", bar.label)


def tstamp(at: Fraction, bar: Bar) -> str:
    """A place in a bar, quarters from its beginning, as MEI counts it: beats of the meter's unit, from 1."""
    unit = bar.meter.text.rpartition("/")[2]
    beats = float(at) * (int(unit) if unit.isdecimal() else 4) / 4
    return f"{round(beats + 1, 4):.6g}"
