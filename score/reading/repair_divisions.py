"""Parts that never say how a quarter is divided: worked out from note values and durations."""

from collections import Counter
from fractions import Fraction

from lxml import etree

from score.beats import value_length
from score.reading.part_heads import PartHead, bar_called
from score.reading.reading_log import WarningLog
from score.reading.xml_cursor import Element, number

_ENOUGH = 200


def mend_divisions(root: Element, heads: list[PartHead], log: WarningLog) -> None:
    """Give a part that has durations before any `<divisions>` the divisions it must have meant."""
    parts = root.findall("part")
    for part, head in zip(parts, heads, strict=True):
        first = part.find("measure")
        if first is None or not _lacks_divisions(part):
            continue
        value, why = _divisions(part, parts)
        attributes = etree.Element("attributes")
        etree.SubElement(attributes, "divisions").text = str(value)
        first.insert(0, attributes)
        log.add(f"divisions are missing; a quarter was taken as {value} of them, {why}", head.called, _bar(first))


def note_length(note: Element) -> Fraction | None:
    """What a note's written value, dots and tuplet ratio make, quarters; None when it has no known value."""
    plain = value_length((note.findtext("type") or "").strip(), len(note.findall("dot")))
    ratio = note.find("time-modification")
    if plain is None or ratio is None:
        return plain
    actual, normal = number(ratio.findtext("actual-notes")), number(ratio.findtext("normal-notes"))
    return plain * normal / actual if actual and normal and actual > 0 and normal > 0 else plain


def _lacks_divisions(part: Element) -> bool:
    """Whether a duration comes before the first divisions."""
    for item in part.iterfind("measure/*"):
        if item.find("divisions") is not None:
            return False
        if item.find("duration") is not None:
            return True
    return False


def _divisions(part: Element, parts: list[Element]) -> tuple[Fraction, str]:
    stated = _stated(part)
    if stated:
        return stated, "as the part says later"
    guesses = Counter(_guesses(part))
    if guesses:
        return guesses.most_common(1)[0][0], "from its note values"
    others = [value for other in parts if (value := _stated(other))]
    return (others[0], "as in another part") if others else (Fraction(1), "for want of note values")


def _stated(part: Element) -> Fraction | None:
    value = number(part.findtext("measure/attributes/divisions"))
    return value if value and value > 0 else None


def _guesses(part: Element) -> list[Fraction]:
    guesses: list[Fraction] = []
    for note in part.iterfind("measure/note"):
        length, duration = note_length(note), number(note.findtext("duration"))
        if length and duration and duration > 0 and (duration / length).denominator == 1:
            guesses.append(duration / length)
        if len(guesses) >= _ENOUGH:
            break
    return guesses


def _bar(measure: Element) -> str:
    return bar_called(measure, 0)
