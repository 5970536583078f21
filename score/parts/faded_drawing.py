"""A part's drawing with elements taken out of it, so that what stays stands where it stood.

The part is engraved whole. What is to stay is listed, and everything else goes: a list of what goes would leave ledger
lines, stickings or beams behind that nobody had thought of.
"""

import re
from collections.abc import Collection, Iterator, Sequence
from fractions import Fraction
from math import inf
from typing import NamedTuple

from lxml import etree

from score.beats import Place
from score.memory.fade import Fade, FadeStep
from score.parts.drawing_tree import drop, parsed_engraving
from score.parts.drawn_staves import NUMBER, SVG, coordinates, line_heights
from score.parts.engraver import EngravedSystem
from score.parts.event_lengths import TICKS, event_lengths
from score.parts.mei import Document
from score.parts.printed_bar import CUE_TYPE, MEI, XML_ID, PrintedBar

_OF_STAFF = {"clef", "keySig", "meterSig", "meterSigGrp"}
_OF_BARS = {"barLine", "mNum", "reh", "tempo", "repeatMark", "ending"}
_MARKS = {"dir", "dynam", "hairpin", "fermata", "caesura", "breath", "pedal", "octave", "bracketSpan", "agreed"}
_ON_NOTES = {"tie", "slur", "lv", "fing", "trill", "arpeg", "gliss", "mordent", "turn", "ornam", "phrase"}
"""What goes with its notes."""
_FRAME = {"grpSym", "label", "labelAbbr", "measure"}
_PLACE = re.compile(r"translate\((-?[\d.]+)")
_NAME = 150.0
"""What the name of a staff may stand below its lowest line, in the engraver's units."""
_HEAD = 130.0
"""Half of what a ledger line may reach out to the side of its head's left edge, in the engraver's units."""


class _Kept(NamedTuple):
    """What the document says of the drawing's elements, by their ids.

    Attributes:
        cue_staves: staves that hold cues.
        cue_marks: marks that belong to cues.
        notes: notes and chords that stay.
        ends: of ties and the like, the notes they lead from and to.
        resting: layers of the player's own in which nothing is struck.
    """

    cue_staves: set[str]
    cue_marks: set[str]
    notes: set[str]
    ends: dict[str, tuple[str, ...]]
    resting: set[str]


class FadedDrawing:
    """Takes out of a part's systems what a step of fading hides.

    Args:
        document: the part, as it is engraved.
        landmarks: strokes that stay at the second step.
        fade: what is asked for.
    """

    def __init__(self, document: Document, landmarks: Collection[Place], fade: Fade) -> None:
        self._fade = fade
        self._bars = {bar.measure.get(XML_ID) or "": bar for bar in document.bars}
        self._kept = _kept(document, landmarks)

    def system(self, system: EngravedSystem) -> EngravedSystem:
        """One system without what is hidden, as high and as wide as before."""
        group = parsed_engraving(system.svg)
        measures = [each for each in group if each.get("class") == "measure"]
        last = measures[-1].get("id") or ""
        for element in list(group):
            name = _name(element)
            if name and name not in _FRAME and not self._mark_stays(element, self._step(last)):
                group.remove(element)
        for measure in measures:
            self._thin(measure)
        if not self._fade.cues:
            _close_up(group, measures, self._kept.cue_staves)
            for measure in measures:
                for staff in [each for each in measure if each.get("id") in self._kept.cue_staves]:
                    measure.remove(staff)
        return system._replace(svg=etree.tostring(group, encoding="unicode"), measures=tuple(measures))

    def _step(self, measure: str) -> FadeStep:
        bar = self._bars.get(measure)
        return self._fade.step if bar is None or self._fade.fades(bar.first) else FadeStep.ALL

    def _thin(self, measure: etree._Element) -> None:
        step = self._step(measure.get("id") or "")
        for element in list(measure):
            if _name(element) == "staff":
                if step > FadeStep.ALL and element.get("id") not in self._kept.cue_staves:
                    self._thin_staff(element, step)
            elif not self._mark_stays(element, step):
                measure.remove(element)

    def _thin_staff(self, staff: etree._Element, step: FadeStep) -> None:
        for layer in staff.iterchildren(SVG + "g"):
            if _name(layer) == "layer":
                for event in list(layer):
                    if not self._event_stays(event, layer, step):
                        layer.remove(event)
        heads = [float(place[1]) for place in map(_left, staff.iter(SVG + "use")) if place is not None]
        for lines in [each for each in staff.iterchildren(SVG + "g") if _name(each) == "ledgerLines"]:
            for dash in list(lines):
                left, right = _sides(dash)
                if not any(left <= head + _HEAD <= right for head in heads):
                    lines.remove(dash)
            if not len(lines):
                staff.remove(lines)

    def _event_stays(self, event: etree._Element, layer: etree._Element, step: FadeStep) -> bool:
        name = _name(event)
        if name in _OF_STAFF or name == "multiRest":
            return True  # without its sign, several bars of rest would look like a single one
        if step <= FadeStep.MARKS and (name == "mRest" or (name == "rest" and layer.get("id") in self._kept.resting)):
            return True
        return step <= FadeStep.LANDMARKS and any(each.get("id") in self._kept.notes for each in event.iter())

    def _mark_stays(self, mark: etree._Element, step: FadeStep) -> bool:
        name, id_ = _name(mark), _drawn_id(mark)
        if CUE_TYPE in (mark.get("class") or "").split()[1:] or id_ in self._kept.cue_marks:
            return self._fade.cues
        if name == "tie" and id_ not in self._kept.ends:
            return self._fade.cues  # those of cues have no name in the document
        if not name or name in _OF_BARS or step == FadeStep.ALL:
            return True
        if name in _ON_NOTES:
            return step == FadeStep.LANDMARKS and set(self._kept.ends.get(id_, ("",))) <= self._kept.notes
        return name in _MARKS and (step <= FadeStep.MARKS or self._is_rest_number(mark))

    def _is_rest_number(self, mark: etree._Element) -> bool:
        """Whether words stand in bars of rest that are drawn as one: they say which bars these are."""
        measure = mark.getparent()
        bar = self._bars.get(measure.get("id") or "") if measure is not None else None
        return bar is not None and bar.first < bar.last


def _name(element: etree._Element) -> str:
    return (element.get("class") or "").partition(" ")[0]


def _drawn_id(mark: etree._Element) -> str:
    """The id of what is drawn; where it goes on over a line's end, the second part has it among its classes."""
    further = (each.removeprefix("id-") for each in (mark.get("class") or "").split() if each.startswith("id-"))
    return mark.get("id") or next(further, "")


def _left(use: etree._Element) -> re.Match[str] | None:
    return _PLACE.search(use.get("transform") or "")


def _sides(line: etree._Element) -> tuple[float, float]:
    numbers = coordinates(line.get("d") or "")
    return numbers[0], numbers[2]


def _kept(document: Document, landmarks: Collection[Place]) -> _Kept:
    cues = {str(number) for number in document.cue_staves}
    kept = _Kept(set(), set(), set(), ends={}, resting=set())
    cue_notes: set[str] = set()
    for bar in document.bars:
        offsets = {place.at for place in landmarks if bar.first <= place.bar <= bar.last}
        for staff in bar.measure.findall(MEI + "staff"):
            if staff.get("n") in cues:
                kept.cue_staves.add(staff.get(XML_ID) or "")
                cue_notes.update(_ids(staff))
                continue
            for layer in staff.iterchildren(MEI + "layer"):
                events = list(_events(layer))
                if not any(_is_struck(event) for event, _ in events):
                    kept.resting.add(layer.get(XML_ID) or "")
                for event, onsets in events:
                    if offsets & onsets and _is_struck(event):
                        kept.notes.update(_ids(event))
    for bar in document.bars:
        _add_marks(kept, bar, cues, cue_notes)
    return kept


def _add_marks(kept: _Kept, bar: PrintedBar, cues: Collection[str], cue_notes: set[str]) -> None:
    for mark in bar.measure:
        id_ = mark.get(XML_ID) or "" if isinstance(mark.tag, str) else ""
        ends = tuple(end.lstrip("#") for end in (mark.get("startid"), mark.get("endid")) if end)
        if id_ and ends:
            kept.ends[id_] = ends
            if not cue_notes.isdisjoint(ends):
                kept.cue_marks.add(id_)
        elif id_ and mark.get("staff") in cues and _is_of_cue(mark):
            kept.cue_marks.add(id_)


def _is_of_cue(mark: etree._Element) -> bool:
    return CUE_TYPE in (mark.get("type") or "").split()


def _ids(element: etree._Element) -> Iterator[str]:
    return (id_ for each in element.iter(MEI + "note", MEI + "chord", MEI + "rest") if (id_ := each.get(XML_ID)))


def _events(layer: etree._Element) -> Iterator[tuple[etree._Element, set[Fraction]]]:
    """What stands in a layer side by side, each with where its notes begin, quarters."""
    at = 0
    for event in layer:
        if isinstance(event.tag, str):
            onsets = {Fraction(at, TICKS)}
            for _, ticks in event_lengths([event], 1, 1):
                onsets.add(Fraction(at, TICKS))
                at += ticks
            yield event, onsets


def _is_struck(event: etree._Element) -> bool:
    notes = event.iter(MEI + "note")
    return any(note.get("visible") != "false" for note in notes)


def _close_up(group: etree._Element, measures: Sequence[etree._Element], cue_staves: Collection[str]) -> None:
    """Lines that ran through the cue staff begin at the player's own; its name goes."""
    tops = (_own_top(measure, cue_staves) for measure in measures)
    top = next((top for top in tops if top is not None), None)
    if top is not None:
        cut_lines(group, top, inf)


def cut_lines(group: etree._Element, top: float, bottom: float) -> None:
    """Names of staves, brackets and bar lines of a system no higher and no lower than some staves.

    Args:
        group: the system's drawing; it is changed.
        top: the upper line of the first of these staves, the engraver's units.
        bottom: the lower line of the last, the same.
    """
    for name in [each for each in group if _name(each) in ("label", "labelAbbr")]:
        lines = [float(text.get("y") or 0.0) for text in name.iter(SVG + "text")]
        if max(lines, default=top) < top or min(lines, default=bottom) > bottom + _NAME:
            group.remove(name)
    signs = [sign for sign in group if _name(sign) == "grpSym"]
    barlines = [
        sign for measure in group if _name(measure) == "measure" for sign in measure if _name(sign) == "barLine"
    ]
    for holder in (group, *signs, *barlines):
        for line in list(holder.iterchildren(SVG + "path")):
            _cut(line, top, bottom)


def _own_top(measure: etree._Element, cue_staves: Collection[str]) -> float | None:
    """The upper line of the player's own first staff; None where no cue staff stands above it."""
    staves = [each for each in measure if _name(each) == "staff"]
    if not any(staff.get("id") in cue_staves for staff in staves):
        return None
    own = (staff for staff in staves if staff.get("id") not in cue_staves)
    return min((height for staff in own for height in line_heights(staff)), default=None)


def _cut(line: etree._Element, top: float, bottom: float) -> None:
    """An upright line between two heights; without it where it lies outside."""
    numbers = NUMBER.findall(line.get("d") or "")
    if len(numbers) != 4 or line.get("stroke-dasharray"):
        return
    x, start, end = (float(numbers[index]) for index in (0, 1, 3))
    if max(start, end) <= top or min(start, end) >= bottom:
        drop(line)
    elif start < top or end > bottom:
        line.set("d", f"M{x:.0f} {max(start, top):.0f} L{numbers[2]} {min(end, bottom):.0f}")
