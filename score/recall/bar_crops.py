"""Engraved bars of one's part cut out of it, for cards and pages of look-alikes, with places in them marked."""

import re
from collections.abc import Collection, Iterator
from fractions import Fraction
from typing import NamedTuple

from lxml import etree

from score.cues.sheet import CueSheet, Level
from score.memory.fade import Fade, FadeStep
from score.parts.drawing_tree import drop, parsed_engraving
from score.parts.drawn_extents import extents
from score.parts.drawn_staves import SVG, UNITS_PER_MM, line_heights, staff_edges
from score.parts.engraver import EngravedSystem
from score.parts.faded_drawing import cut_lines
from score.parts.part_notes import EngravedPart
from score.parts.system_drawing import system_svg
from score.parts.uncued_part import uncued_part
from score.printing.typesetting import quoted
from score.reading.reading_result import Reading

_RIM, _BAND = 0.4 * UNITS_PER_MM, 2.2 * UNITS_PER_MM
"""Air around a crop, and from the middle of a marked note to the edge of its band."""
_MARKED = "#d8d8d8"
_TELLING = {
    "label", "labelAbbr", "mNum", "reh", "tempo", "dir", "dynam", "hairpin", "ending", "repeatMark", "fing", "meterSig",
}  # fmt: skip
"""What says more of a bar than its notes."""
_PLACE = re.compile(r"translate\((-?[\d.]+)")
_REACHES = re.compile(r'<(?:rect|text|tspan) [^>]*?\bx="(-[\d.]+)"')
_HEAD_MIDDLE = 0.6

Marks = Collection[tuple[int, Fraction]]
"""Places to mark: bar indices and quarters in them."""


class BarCrop(NamedTuple):
    """Some bars as a drawing.

    Attributes:
        svg: an SVG document.
        width, height: mm.
    """

    svg: str
    width: float
    height: float

    def placed(self) -> str:
        """The drawing in the page maker's language."""
        return f'image(bytes({quoted(self.svg)}), format: "svg", width: {self.width:.2f}mm)'


class BarCrops:
    """Cuts bars out of a player's part; the part is engraved without cues.

    Args:
        reading: the score.
        player: number of the player.
        staff_mm: height of a five-line staff, mm.

    Raises:
        InbreathError: the engraver can make nothing of the part.
    """

    def __init__(self, reading: Reading, player: int, staff_mm: float) -> None:
        sheet = CueSheet(player, Level.USUAL, ())
        self._staff_mm = staff_mm
        self._notes = EngravedPart(uncued_part(reading, sheet), reading.piece, sheet, staff_mm)

    def crop(self, bars: range, width: float, marks: Marks = (), *, only_notes: bool = False) -> BarCrop:
        """Bars side by side, as wide as asked; smaller where they need more room.

        Args:
            bars: indices of the bars.
            width: mm.
            marks: what is marked by a grey band.
            only_notes: without numbers, names, words and dynamics, which would say which bars these are.
        """
        edge = 0.35 * self._staff_mm * UNITS_PER_MM
        asked = width - (edge + _RIM) / UNITS_PER_MM
        drawn = self._notes.system(bars, asked)
        indent = staff_edges(drawn.measures[0])[0] if only_notes else 0.0
        if indent > edge:
            # The room for names that are not printed goes to the notes.
            drawn = self._notes.system(bars, asked + indent / UNITS_PER_MM)
        system = self._bare(drawn, only_notes)
        left = min([indent - edge, *(float(x) - _RIM for x in _REACHES.findall(system.svg))])
        top, wide, high = system.top - _RIM, system.right + _RIM - left, system.bottom - system.top + 2 * _RIM
        bands = "".join(
            f'<rect x="{start:.0f}" y="{top:.0f}" width="{end - start:.0f}" height="{high:.0f}" fill="{_MARKED}" '
            'stroke="none"/>'
            for start, end in self._bands(system, bars, marks)
        )
        svg = system_svg(system, f"{left:.0f} {top:.0f} {wide:.0f} {high:.0f}", under=bands)
        scale = min(1.0, width * UNITS_PER_MM / wide) / UNITS_PER_MM
        return BarCrop(svg, wide * scale, high * scale)

    def _bare(self, system: EngravedSystem, only_notes: bool) -> EngravedSystem:
        """A system without its cue staff, and without staves of the player's on which nothing is struck."""
        own = self._notes.faded(system, Fade(FadeStep.ALL, cues=False))
        group = parsed_engraving(own.svg)
        measures = [each for each in group if each.get("class") == "measure"]
        rows = list(zip(*(_staves(measure) for measure in measures), strict=False))
        struck = [row for row in rows if any(_has_notes(staff) for staff in row)]
        for row in rows:
            if struck and row not in struck:
                for staff in row:
                    drop(staff)
        lines = [y for row in struck for staff in row for y in line_heights(staff)]
        if lines:
            cut_lines(group, min(lines), max(lines))
        if only_notes:
            staves = [staff for measure in measures for staff in _staves(measure)]
            for sign in [sign for holder in (group, *measures, *staves) for sign in holder]:
                if (sign.get("class") or "").partition(" ")[0] in _TELLING:
                    drop(sign)
        svg = etree.tostring(group, encoding="unicode")
        top, bottom = extents(svg)
        return own._replace(svg=svg, measures=tuple(measures), top=top, bottom=bottom)

    def _bands(self, system: EngravedSystem, bars: range, marks: Marks) -> Iterator[tuple[float, float]]:
        """From where to where each mark goes, in the engraver's units."""
        for bar, measure in zip(bars, system.measures, strict=True):
            left, right = staff_edges(measure)
            heads = dict(_heads(measure, self._staff_mm))
            for at in sorted(at for index, at in marks if index == bar):
                xs = [heads[id_] for id_, begins in self._notes.moments(bar) if begins == at and id_ in heads]
                if xs:
                    yield max(left, min(xs) - _BAND), min(right, max(xs) + _BAND)


def _staves(measure: etree._Element) -> list[etree._Element]:
    return [each for each in measure if (each.get("class") or "") == "staff"]


def _has_notes(staff: etree._Element) -> bool:
    return any((each.get("class") or "").startswith("note") and len(each) for each in staff.iter(SVG + "g"))


def _heads(measure: etree._Element, staff_mm: float) -> Iterator[tuple[str, float]]:
    """The middle of each note's and rest's first head by its id."""
    for group in measure.iter(SVG + "g"):
        if (group.get("class") or "").split()[:1] in (["note"], ["rest"], ["mRest"]):
            use = next(group.iter(SVG + "use"), None)
            place = _PLACE.search(use.get("transform") or "") if use is not None else None
            if place is not None:
                yield group.get("id") or "", float(place[1]) + _HEAD_MIDDLE * staff_mm * UNITS_PER_MM / 4
