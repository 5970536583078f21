"""Room for cue lines: between each other for their names, and over the player's own notes.

The engraver keeps notes of two staves from touching, but slurs run into the line above, and stems end close to it.
"""

from collections.abc import Iterable, Iterator, Sequence
from math import ceil, floor, inf
from typing import NamedTuple

from lxml import etree

from score.parts.drawing_tree import drawing_paths, elements, markup
from score.parts.drawn_boxes import DrawnBox, drawn_boxes
from score.parts.drawn_extents import extents
from score.parts.drawn_moves import move, moved_points
from score.parts.drawn_staves import SVG, coordinates, line_heights, slur_points
from score.parts.printed_bar import AGREED, CUE_TYPE, FOR_ALL, MEI

_CUE_STAFF, _CUE_TIE = "cue-staff", "cue-tie"
"""Types in the document, classes in the drawing."""
_OF_OTHERS = frozenset({CUE_TYPE, FOR_ALL, AGREED})
"""Types of words that do not stand over the player's own notes."""
_APART = "6vu"
"""From one cue line to the next where each has its own, in the engraver's units: a name's height."""
_AIR = 80.0
"""Least distance from the lowest cue line to what stands below it, in the drawing's units: 0.8 mm."""
_OVER_NOTES = (["trill"], ["fermata"], ["mordent"], ["turn"])
"""Classes of signs that the engraver may set close below a cue line."""
_NEAR = 50.0
"""Least distance from what hangs below the line to what stands right under it."""
_SIGN_AIR = 60.0
"""How much more than that a trill or a fermata needs, or a rest above it looks like part of it."""
_AT_THE_LINE, _MUCH, _TO_STAFF = 20.0, 100.0, 480.0
"""What still stands at the line; room that is worth taking away; from the lowest cue line to the player's own staff."""
_MEASURES, _ENDINGS, _LINES, _DOTS, _OVER = drawing_paths(
    f'./s:g[@class="measure"][s:g[contains(@class, "{_CUE_STAFF}")]]',
    './s:g[contains(concat(" ", @class, " "), " ending ")]/s:g[@class="voltaBracket"]',
    './s:path|./s:g[@class="measure"]/s:g[starts-with(@class, "barLine")]/s:path',
    './s:g[@class="measure"]/s:g[starts-with(@class, "barLine")]/s:use',
    './s:g[starts-with(@class, "label")]|./s:g[@class="measure"]/s:g[not(starts-with(@class, "staff") or'
    ' starts-with(@class, "barLine"))]'
    '|./s:g[starts-with(@class, "ending")]/s:g',
)


class _CueMeasure(NamedTuple):
    """A drawn measure with a cue staff.

    Attributes:
        cues, staves: its cue staves, and the player's own, from the highest down.
        others: what stands beside them, each with its classes.
    """

    cues: list[etree._Element]
    staves: list[etree._Element]
    others: list[tuple[list[str], etree._Element]]

    @property
    def own(self) -> Iterator[tuple[str, etree._Element]]:
        """Slurs, ties and words of the player's own part, each with what it is."""
        return ((names[0], group) for names, group in self.others if _is_own(names) and len(group))

    @property
    def ties(self) -> list[etree._Element]:
        """Of the cue lines."""
        return [group for names, group in self.others if _CUE_TIE in names]


class _CueHeights(NamedTuple):
    """The lowest cue line, and the top of the player's own staff."""

    line: float
    own: float

    @property
    def middle(self) -> float:
        """Between the two."""
        return (self.line + self.own) / 2


def mark_cue_staves(measures: Iterable[etree._Element], cue_staves: range) -> None:
    """Name what belongs to the cue staves, so that it can be told from the player's own staff in the drawing."""
    numbers = {str(number) for number in cue_staves}
    for measure in measures:
        for event in measure:
            if event.tag == MEI + "staff" and event.get("n") in numbers:
                event.set("type", _CUE_STAFF)
            elif event.tag == MEI + "tie" and (event.get("startid") or "").startswith("#cue-"):
                event.set("type", _CUE_TIE)


def space_cue_lines(root: etree._Element, cue_staves: range) -> None:
    """Where several cue lines stand over each other, leave room for the names beside them."""
    apart = {str(number) for number in range(cue_staves.start + 1, cue_staves.stop + 1)} if len(cue_staves) > 1 else ()
    for staff in root.iter(MEI + "staffDef"):
        if staff.get("n") in apart:
            staff.set("spacing", _APART)


def clear_cue_line(system: etree._Element) -> None:
    """Raise the cue lines of an engraved system, and all that stands over them, as far as the own notes need.

    Below the brackets of endings they are lowered where the engraver leaves more room than that.
    """
    measures = [_sorted(measure) for measure in elements(_MEASURES, system)]
    if not measures:
        return
    line = max(_bottom(staff) for measure in measures for staff in measure.cues)
    notes, signs = min(_tops_below(measures), default=inf), min(_sign_tops(measures, line), default=inf)
    top = min(notes, signs - _SIGN_AIR)
    lacking = max(line + _AIR - min(notes, signs), _lacking_below_signs(measures, line, top))
    if lacking > 0 or elements(_ENDINGS, system):
        own = min(_top(staff) for measure in measures for staff in measure.staves)
        limits = _CueHeights(line, own)
        _raise(system, measures, limits, -ceil(lacking) if lacking > 0 else _spare(system, measures, limits))


def _spare(system: etree._Element, measures: Sequence[_CueMeasure], limits: _CueHeights) -> float:
    """How much lower the cue lines may stand: the bracket of an ending over the player's own staff leaves its room."""
    staying = [markup(staff) for measure in measures for staff in measure.staves]
    for group in elements(_OVER, system):
        is_name = (group.get("class") or "").startswith("label")
        if len(group) and not is_name and extents(markup(group))[1] > _limit(group, limits):
            staying.append(markup(group))
    hanging = [markup(group) for measure in measures for group in (measure.cues[-1], *measure.ties)]
    lowest = max(limits.line + _AIR, extents("".join(hanging))[1] + _NEAR)
    spare = floor(min(limits.own - _TO_STAFF - limits.line, extents("".join(staying))[0] - lowest))
    return spare if spare > _MUCH else 0.0


def _sorted(measure: etree._Element) -> _CueMeasure:
    sorts = _CueMeasure([], [], [])
    for group in measure:
        names = (group.get("class") or "").split()
        if _CUE_STAFF in names:
            sorts.cues.append(group)
        elif names == ["staff"]:
            sorts.staves.append(group)
        else:
            sorts.others.append((names, group))
    return sorts


def _top(staff: etree._Element) -> float:
    return min(line_heights(staff), default=0.0)


def _bottom(staff: etree._Element) -> float:
    return max(line_heights(staff), default=0.0)


def _lacking_below_signs(measures: Sequence[_CueMeasure], line: float, top: float) -> float:
    """How much higher the cue line must go for rests, accents and ties that hang below it.

    Args:
        measures: with a cue staff.
        line: height of the lowest cue line.
        top: of the highest thing that stands below it.
    """
    drawn = [markup(group) for measure in measures for group in (measure.cues[-1], *measure.ties)]
    if extents("".join(drawn))[1] + _NEAR <= max(top, line + _AIR):
        return 0.0
    return max((by for measure in measures for by in _meeting(measure, line)), default=0.0)


def _meeting(measure: _CueMeasure, line: float) -> Iterator[float]:
    """How far what hangs below a measure's cue line reaches into what stands there."""
    hanging = list(_hanging(measure, line))
    lowest = max((over.bottom for over in hanging), default=-inf) + _NEAR
    for box in _boxes_below(measure) if hanging else ():
        for over in hanging if box.top < lowest else ():
            if over.left < box.right + _NEAR and over.right > box.left - _NEAR and over.top < box.top:
                yield over.bottom + _NEAR - box.top


def _hanging(measure: _CueMeasure, line: float) -> Iterator[DrawnBox]:
    """What hangs below the lowest cue line of a measure."""
    yield from (box for box in drawn_boxes(measure.cues[-1]) if box.bottom > line + _AT_THE_LINE)
    for group in measure.ties:
        yield from (DrawnBox(x, y, x, bottom=y) for x, y in _curve(group) if y > line)


def _boxes_below(measure: _CueMeasure) -> list[DrawnBox]:
    """What stands below the cue line: the player's highest staff, its trills, words, slurs by points on them."""
    below = [box for staff in measure.staves[:1] for box in drawn_boxes(staff)]
    for names, group in measure.others:
        signs = drawn_boxes(group) if names[:1] in _OVER_NOTES else ()
        below += (box._replace(top=box.top - _SIGN_AIR) for box in signs)
    for name, group in measure.own:
        curves = (DrawnBox(x, y, x, bottom=y) for x, y in _curve(group))
        below += drawn_boxes(group) if name == "dir" else curves
    return below


def _tops_below(measures: Iterable[_CueMeasure]) -> Iterator[float]:
    """How far up reaches what stands below the cue line: notes of the player's highest staff, slurs and words."""
    drawn: list[str] = []
    for measure in measures:
        drawn += map(markup, measure.staves[:1])
        for name, group in measure.own:
            if name == "dir":
                drawn.append(markup(group))
            else:
                yield from (y for _, y in _curve(group))
    # Measured together: each by itself would take twice as long.
    if drawn:
        yield extents("".join(drawn))[0]


def _sign_tops(measures: Iterable[_CueMeasure], line: float) -> Iterator[float]:
    """How far up trills and fermatas of the player's own staff go: those that lie below the cue line or upon it."""
    for measure in measures:
        for names, group in measure.others:
            if names[:1] in _OVER_NOTES and len(group):
                top, bottom = extents(markup(group))
                if bottom > line + _AT_THE_LINE:
                    yield top


def _curve(group: etree._Element) -> Iterator[tuple[float, float]]:
    """Points of a slur's lines."""
    for path in group.iterchildren(SVG + "path"):
        numbers = coordinates(path.get("d") or "")[:8]
        if len(numbers) == 8:
            yield from slur_points(numbers, 10)


def _raise(system: etree._Element, measures: Iterable[_CueMeasure], limits: _CueHeights, by: float) -> None:
    """Move cue staves and what stands over them; lines that begin above the middle and end below it grow."""
    for line in elements(_LINES, system):
        line.set("d", moved_points(line.get("d") or "", by, limits.middle))
    for dot in elements(_DOTS, system):
        if extents(markup(dot))[1] <= limits.middle:
            move(dot, by)
    for measure in measures:
        for staff in measure.cues:
            move(staff, by)
    for group in elements(_OVER, system):
        limit = _limit(group, limits)
        if limit > -inf and len(group) and extents(markup(group))[1] <= limit:
            move(group, by)


def _limit(group: etree._Element, limits: _CueHeights) -> float:
    """How low a group may end that goes up with the cue line; the player's own words and slurs stay."""
    names = (group.get("class") or "").split()
    if _is_own(names):
        return -inf
    beside = names[:1] in (["label"], ["labelAbbr"]) or _CUE_TIE in names
    return limits.middle if beside else limits.line + _AT_THE_LINE


def _is_own(names: Sequence[str]) -> bool:
    """Whether a group of these classes is a slur or a word of the player's own part."""
    if names[:1] in (["slur"], ["tie"], ["lv"]):
        return _CUE_TIE not in names
    return names[:1] == ["dir"] and not _OF_OTHERS.intersection(names)
