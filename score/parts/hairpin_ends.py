"""Where hairpins and lines end: one that ends with the first note of a system ends with the system before it.

The engraver would draw a stub of a note's width at the beginning of the next line, which says nothing.
"""

from collections.abc import Collection, Sequence
from fractions import Fraction

from lxml import etree

from score.parts.printed_bar import MEI, PrintedBar, tstamp
from score.piece import Bar

_LINES = MEI + "hairpin", MEI + "bracketSpan"
_WRITTEN = "written"
"""Where the score lets a hairpin end that ends earlier here."""
_STUB = Fraction(1, 4)
"""How far into a system a hairpin must go, to be seen there: quarters."""


def end_hairpins(bars: Sequence[PrintedBar], all_bars: Sequence[Bar], firsts: Collection[int]) -> None:
    """End hairpins and lines at the barline before a system that they hardly reach, all others as written.

    Args:
        bars: every printed bar.
        all_bars: the piece's bars.
        firsts: the positions of the printed bars that begin a system.
    """
    for position, bar in enumerate(bars):
        for hairpin in bar.measure.iterchildren(*_LINES):
            written = hairpin.attrib.pop(_WRITTEN, "")
            if written:
                hairpin.set("tstamp2", written)
            measures, _, beat = (hairpin.get("tstamp2") or "").partition("m+")
            end = position + int(measures) if measures.isdigit() and beat else position
            if position < end < len(bars) and end in firsts and _is_stub(beat, all_bars[bars[end].first]):
                _end_before(hairpin, end - position, all_bars[bars[end - 1].last])


def _is_stub(beat: str, bar: Bar) -> bool:
    return float(beat) <= float(tstamp(_STUB, bar))


def _end_before(hairpin: etree._Element, measures: int, bar: Bar) -> None:
    """End a hairpin with a bar, so many measures after its own less one."""
    hairpin.set(_WRITTEN, hairpin.get("tstamp2") or "")
    hairpin.set("tstamp2", f"{measures - 1}m+{tstamp(bar.length, bar)}")
