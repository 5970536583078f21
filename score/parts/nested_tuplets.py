"""Tuplets inside tuplets: the engraver's import joins only one of those that begin or end on one note.

The outer ones are taken out of its copy and put around the inner ones in what it imported.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from lxml import etree

from score.beats import value_length
from score.parts.drawing_tree import dissolve, drop, parsed_engraving
from score.parts.inner_tuplets import INNER, figures_type
from score.parts.printed_bar import MEI, XML_ID

_EVENTS = frozenset(MEI + name for name in ("note", "chord", "rest", "space"))


class OuterTuplet(NamedTuple):
    """A tuplet that holds another.

    Attributes:
        first, last: ids of the notes that it begins and ends on.
        attributes: of its element in the engraver's document.
    """

    first: str
    last: str
    attributes: dict[str, str]


@dataclass(slots=True)
class _Begun:
    """A tuplet that has begun: its sign, the note that it begins on, how many in the time of how many; then its end."""

    sign: etree._Element
    first: etree._Element
    actual: int
    normal: int
    last: etree._Element | None = None
    end: etree._Element | None = None
    is_outer: bool = False


def take_outer_tuplets(root: etree._Element) -> tuple[OuterTuplet, ...]:
    """Take tuplets that hold others out of a MusicXML document, innermost first; those inside say their own figures."""
    return tuple(
        _taken(begun)
        for measure in root.iterfind("part/measure")
        if next(measure.iter("tuplet"), None) is not None
        for begun in _ended(measure)
        if begun.is_outer
    )


def _ended(measure: etree._Element) -> list[_Begun]:
    """The tuplets that begin and end in a measure, in the order of their ends; those that never end are taken out."""
    ended: list[_Begun] = []
    open_tuplets: dict[str, dict[str, _Begun]] = {}
    for note in measure.iterchildren("note"):
        signs = list(note.iter("tuplet"))
        if not signs:
            continue
        voice = open_tuplets.setdefault(note.findtext("voice") or "1", {})
        for sign in signs:
            if sign.get("type") == "start":
                voice[sign.get("number") or "1"] = _begun(sign, note, list(voice.values()), signs)
        ends = {sign.get("number") or "1": sign for sign in signs if sign.get("type") == "stop"}
        # Of those that end on one note, the last to begin is the innermost.
        for number in [each for each in reversed(voice) if each in ends]:
            begun = voice.pop(number)
            begun.last, begun.end = note, ends[number]
            for other in voice.values():
                other.is_outer = True
            ended.append(begun)
    for voice in open_tuplets.values():
        for begun in voice.values():
            drop(begun.sign)
    return ended


def _begun(
    sign: etree._Element, note: etree._Element, around: Sequence[_Begun], beside: Sequence[etree._Element]
) -> _Begun:
    """A tuplet that begins, and its figures: as written, else what is left of its note's between others."""
    ratio = _written(sign)
    if ratio is not None:
        _write(sign, *ratio)
    else:
        ratio = _whole(note)
        for each in around:
            ratio = (ratio[0] * each.normal, ratio[1] * each.actual)
        for other in beside:
            inner = _written(other) if other is not sign and other.get("type") == "start" else None
            ratio = (ratio[0] * inner[1], ratio[1] * inner[0]) if inner else ratio
        left = Fraction(*ratio)
        # 9 in the time of 4 within 3 in the time of 2 are 3 in the time of 2.
        ratio = left.numerator, left.denominator
        if around:
            _write(sign, *ratio)
    return _Begun(sign, note, actual=ratio[0], normal=ratio[1])


def _written(sign: etree._Element) -> tuple[int, int] | None:
    """The figures of a tuplet, both counted in notes of the first one's value; None where it says none."""
    texts = [(sign.findtext(f"tuplet-{name}/tuplet-number") or "").strip() for name in ("actual", "normal")]
    if not all(text.isdecimal() and int(text) for text in texts):
        return None
    actual, normal = (_value(sign, name) for name in ("actual", "normal"))
    within = int(texts[1]) * (normal / actual if actual and normal else 1)
    return int(texts[0]), int(within) if within == int(within) else int(texts[1])


def _value(sign: etree._Element, name: str) -> Fraction | None:
    dots = len(sign.findall(f"tuplet-{name}/tuplet-dot"))
    return value_length((sign.findtext(f"tuplet-{name}/tuplet-type") or "").strip(), dots)


def _whole(note: etree._Element) -> tuple[int, int]:
    texts = [(note.findtext(f"time-modification/{name}-notes") or "").strip() for name in ("actual", "normal")]
    return (int(texts[0]), int(texts[1])) if all(text.isdecimal() and int(text) for text in texts) else (1, 1)


def _write(sign: etree._Element, actual: int, normal: int) -> None:
    for name, number in (("actual", actual), ("normal", normal)):
        for old in sign.findall(f"tuplet-{name}"):
            drop(old)
        etree.SubElement(etree.SubElement(sign, f"tuplet-{name}"), "tuplet-number").text = str(number)


def _taken(begun: _Begun) -> OuterTuplet:
    sign, last = begun.sign, begun.first if begun.last is None else begun.last
    attributes = {"num": str(begun.actual), "numbase": str(begun.normal)}
    if sign.get("placement"):
        attributes |= {f"{name}.place": str(sign.get("placement")) for name in ("num", "bracket")}
    if sign.get("bracket"):
        attributes["bracket.visible"] = "true" if sign.get("bracket") == "yes" else "false"
    if sign.get("show-number") in ("both", "none"):
        is_shown = sign.get("show-number") == "both"
        attributes |= {"num.format": "ratio"} if is_shown else {"num.visible": "false"}
    for each in (sign, begun.end):
        if each is not None:
            drop(each)
    return OuterTuplet(_name(begun.first), _name(last), attributes)


def _name(note: etree._Element) -> str:
    """A note's id, which it gets where it has none."""
    if not note.get("id"):
        place = "-".join(str(len(list(each.itersiblings(preceding=True)))) for each in (note, *note.iterancestors()))
        note.set("id", f"tuplet-{place}")
    return str(note.get("id"))


def put_around(mei: str, tuplets: Sequence[OuterTuplet]) -> str:
    """A document of the engraver with these tuplets around what they hold, where its import has not divided that."""
    root = parsed_engraving(mei)
    events = {event.get(XML_ID): event for event in root.iter(*_EVENTS)}
    for tuplet in tuplets:
        first, last = (_outermost(events.get(name)) for name in (tuplet.first, tuplet.last))
        if first is not None and last is not None:
            _wrap(first, last, tuplet.attributes)
    return etree.tostring(root, encoding="unicode")


def _outermost(event: etree._Element | None) -> etree._Element | None:
    holder = None if event is None else event.getparent()
    return holder if holder is not None and holder.tag == MEI + "chord" else event


def _wrap(first: etree._Element, last: etree._Element, attributes: dict[str, str]) -> None:
    """Put a tuplet around events and what holds them; beams that reach over its ends are dissolved."""
    _dissolve_beams(first, last)
    chain = [last, *last.iterancestors()]
    left = next((each for each in (first, *first.iterancestors()) if each.getparent() in chain), None)
    holder = None if left is None else left.getparent()
    right = None if holder is None else next((each for each in chain if each.getparent() is holder), None)
    if left is None or right is None or holder is None or holder.tag == MEI + "measure":
        return
    inside = list(holder)[holder.index(left) : holder.index(right) + 1]
    events = [event for each in inside for event in each.iter(*_EVENTS) if event.getparent() is not None]
    if events and _outermost(events[0]) is first and _outermost(events[-1]) is last:
        tuplet = etree.Element(MEI + "tuplet", attributes)
        left.addprevious(tuplet)
        tuplet.extend(inside)
        for inner in tuplet.iterdescendants(MEI + "tuplet"):
            _stand_alone(inner, attributes)


def _stand_alone(inner: etree._Element, outer: dict[str, str]) -> None:
    """The engraver counts the innermost tuplet alone: let an inner one count for the outer one too.

    Its own figures are what is drawn.
    """
    inner.set("bracket.visible", "true")
    if not inner.get("type"):
        figures = [
            inner.get("num") or "",
            *([inner.get("numbase") or ""] if inner.get("num.format") == "ratio" else []),
        ]
        inner.set("type", f"{INNER} {figures_type(figures)}")
    for name in ("num", "numbase"):
        inner.set(name, str(int(inner.get(name) or 1) * int(outer[name])))


def _dissolve_beams(first: etree._Element, last: etree._Element) -> None:
    """Take away beams around the first event that begin before it and end within, or around the last that go on."""
    for event, other in ((first, last), (last, first)):
        for beam in list(event.iterancestors(MEI + "beam")):
            within = [_outermost(each) for each in beam.iter(*_EVENTS)]
            at_edge = within[0] is event if event is first else within[-1] is event
            if other not in within and not at_edge:
                dissolve(beam)
