"""The group's agreed marks in a player's part: drawn over the engraving where nothing stands, so that no system moves.

Each mark is set into the document as an anchor that takes no room. The engraver says where it stands; it is taken out
again, and the mark is drawn at the lowest free place above the player's own staff.
"""

from collections.abc import Iterator, Sequence
from textwrap import wrap
from typing import NamedTuple

from lxml import etree

from score.activity.agreed_marks import AgreedMark, MarkSort
from score.parts.drawing_tree import drop, parsed_engraving
from score.parts.drawn_boxes import DrawnBox, drawn_boxes
from score.parts.drawn_staves import SVG, UNITS_PER_MM, staff_edges
from score.parts.engraver import EngravedSystem
from score.parts.printed_bar import AGREED, MEI, PrintedBar, tstamp
from score.piece import Piece
from score.printing.hand_signs import HandMark, HandSign

_ABOVE, _BELOW = 0.78, 0.24
"""Of the letters' size."""
_AIR, _OFF_STAFF, _BEFORE = 0.45 * UNITS_PER_MM, 0.8 * UNITS_PER_MM, 0.5 * UNITS_PER_MM
_SIGNS = {MarkSort.BREATH: HandSign.BREATH, MarkSort.LEAD: HandSign.LEAD, MarkSort.LOOK: HandSign.LOOK}
_OVERHANG = 1.5 * UNITS_PER_MM
_STAFF_LINES, _LONGEST = 5, 36


class _MarkScale(NamedTuple):
    """How marks are set, in the engraver's units.

    Attributes:
        size: of the letters.
        later: how much further to the right than its beat a mark may begin.
        rise: how far to the right it goes where it comes to stand lower by one.
    """

    size: float
    later: tuple[float, ...]
    rise: float

    def box(self, hand: HandMark, x: float, bottom: float) -> DrawnBox:
        """Where a line stands."""
        return DrawnBox(x, bottom - (_ABOVE + _BELOW) * self.size, x + hand.width(self.size), bottom=bottom)


_NEAR, _IN_ITS_BAR = 4.5 * UNITS_PER_MM, 0.6
"""So far to the right any mark may begin; further only in the first part of its bar."""
_USUAL = _MarkScale(3.1 * UNITS_PER_MM, tuple(step * 1.5 * UNITS_PER_MM for step in range(4)), 2.0)
_CROWDED = _MarkScale(2.2 * UNITS_PER_MM, tuple(step * 1.5 * UNITS_PER_MM for step in range(20)), 8.0)


class _Anchor(NamedTuple):
    """Where the engraver put a mark: which one, its place, and left edge and first place of its measure."""

    number: int
    x: float
    y: float
    measure: etree._Element
    is_first: bool


def marks_for(marks: Sequence[AgreedMark], player: int) -> tuple[AgreedMark, ...]:
    """The marks of one player's part, in its words."""
    return tuple(mark._replace(text=mark.text_for(player)) for mark in marks if player in mark.players)


def set_anchors(bars: Sequence[PrintedBar], marks: Sequence[AgreedMark], staff: int, piece: Piece) -> None:
    """Set an anchor for each mark into its bar; a bar with one is not joined to a rest before it.

    Args:
        bars: every bar of the piece, none joined yet.
        marks: of the player's part.
        staff: number of the player's first staff.
        piece: the piece.
    """
    for number, mark in enumerate(marks):
        place = {"staff": str(staff), "tstamp": tstamp(mark.at, piece.bars[mark.bar]), "place": "above", "type": AGREED}
        event = etree.SubElement(bars[mark.bar].measure, MEI + "dir", place)
        etree.SubElement(event, MEI + "rend", fontsize="1%").text = f"@{number}"


def with_marks(system: EngravedSystem, marks: Sequence[AgreedMark], *, crowded: bool = False) -> EngravedSystem:
    """A system with its marks in place of their anchors; one without anchors is given back as it is.

    Args:
        system: as engraved.
        marks: of the player's part, as anchors were set for them.
        crowded: the page does not hold them at their usual size: smaller, and further along in their bars.
    """
    if f" {AGREED}" not in system.svg:
        return system
    group = parsed_engraving(system.svg)
    anchors = list(_anchors(group))
    boxes = drawn_boxes(group)
    setting = _CROWDED if crowded else _USUAL
    right = max((box.right for box in boxes), default=0.0)
    drawn = []
    for anchor in sorted(anchors, key=lambda each: (each.number, each.x)):
        mark = marks[anchor.number]
        hands = _lines(mark)
        starts = _starts(mark, max(hands, key=lambda hand: hand.width(1)), anchor, right, setting)
        for hand in hands:
            box = _lowest(hand, starts, _own_top(anchor), boxes, setting)
            starts = [box.left]
            boxes.append(box)
            drawn.append(hand.drawn(box.left, box.bottom - _BELOW * setting.size, setting.size))
    # A mark may reach a little into the air between systems, so that a page seldom needs other breaks for it.
    top = min([system.top, *(box.top + _OVERHANG for box in boxes[len(boxes) - len(drawn) :])])
    head, _, tail = etree.tostring(group, encoding="unicode", with_tail=False).rpartition("</g>")
    return system._replace(svg=f"{head}{''.join(drawn)}</g>{tail}", top=top)


def _lines(mark: AgreedMark) -> list[HandMark]:
    """A mark's lines, the lowest first; the sign stands before the first of its words."""
    words = wrap(mark.text, _LONGEST) or [""]
    lines = [HandMark(line) for line in words[:0:-1]]
    return [*lines, HandMark(words[0], _SIGNS.get(mark.sort, HandSign.NONE))]


def _anchors(group: etree._Element) -> Iterator[_Anchor]:
    """Where the anchors stand; they are taken out of the drawing."""
    first = next((each for each in group.iter(SVG + "g") if each.get("class") == "measure"), None)
    for element in [each for each in group.iter(SVG + "g") if AGREED in (each.get("class") or "").split()]:
        measure = element.getparent()
        while measure is not None and measure.get("class") != "measure":
            measure = measure.getparent()
        text = "".join(str(part) for part in element.itertext()).strip()
        xs, ys = _first(element, "x"), _first(element, "y")
        drop(element)
        if measure is not None and text.startswith("@"):
            yield _Anchor(int(text[1:]), xs, ys, measure=measure, is_first=measure is first)


def _first(element: etree._Element, name: str) -> float:
    return next((float(value) for part in element.iter() if (value := part.get(name))), 0.0)


def _starts(mark: AgreedMark, hand: HandMark, anchor: _Anchor, right: float, setting: _MarkScale) -> list[float]:
    """Where a mark may begin: at its beat or a little later in its bar; a breath before it, or before the bar line."""
    width = hand.width(setting.size)
    if mark.sort is not MarkSort.BREATH:
        last = max(_NEAR, (staff_edges(anchor.measure)[1] - anchor.x) * _IN_ITS_BAR)
        steps = (later for later in setting.later if later <= last)
        return [min(anchor.x - _BEFORE + later, right - width) for later in steps]
    if mark.at == 0 and not anchor.is_first:
        return [staff_edges(anchor.measure)[0] - width - _BEFORE]
    return [anchor.x - width - 2 * _BEFORE]


def _own_top(anchor: _Anchor) -> float:
    """The upper line of the staff an anchor stands over."""
    tops = []
    for staff in anchor.measure.iter(SVG + "g"):
        if staff.get("class") == "staff":
            lines = [box.top for path in staff.findall(SVG + "path")[:_STAFF_LINES] for box in drawn_boxes(path)]
            tops += [min(lines)] if lines else []
    under = [top for top in tops if top >= anchor.y - _OFF_STAFF]
    return min(under) if under else max(tops, default=anchor.y)


def _lowest(
    hand: HandMark, starts: Sequence[float], staff_top: float, boxes: Sequence[DrawnBox], setting: _MarkScale
) -> DrawnBox:
    """The place of a line: where it stands lowest, further to the right only where that is worth it."""
    places = [_free(setting.box(hand, start, staff_top - _OFF_STAFF), boxes) for start in dict.fromkeys(starts)]
    return min(places, key=lambda place: place.left - starts[0] - place.bottom * setting.rise)


def _free(place: DrawnBox, boxes: Sequence[DrawnBox]) -> DrawnBox:
    """A box as low as nothing stands, from where it is upwards."""
    height = place.bottom - place.top
    # It moves only up: what stands beside it stays beside it.
    column = [box for box in boxes if box.left < place.right + _AIR and box.right > place.left - _AIR]
    while over := [box.top for box in column if box.near(place, _AIR)]:
        # Over the lowest of what is in the way: what stands higher may leave room between.
        bottom = min(place.bottom - 1.0, max(over) - _AIR)
        place = place._replace(top=bottom - height, bottom=bottom)
    return place
