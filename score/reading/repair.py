"""Faults of exporters mended in the tree that is read, each with a warning that names part and bar.

Parts are written from the score as it came, which was put by before.
"""

from lxml import etree

from score.reading.note_signs import NoteSigns
from score.reading.part_heads import PartHead, bar_called, part_heads
from score.reading.reading_log import WarningLog
from score.reading.repair_divisions import mend_divisions
from score.reading.repair_notes import NoteMender
from score.reading.xml_cursor import Element


def repair(root: Element, log: WarningLog) -> dict[Element, NoteSigns]:
    """Mend a partwise score in place.

    Returns:
        what the notes say that needed no mending, by the notes.
    """
    _mend_part_list(root, log)
    heads = part_heads(root)
    _even_out(root, heads, log)
    mend_divisions(root, heads, log)
    signs: dict[Element, NoteSigns] = {}
    for part, head in zip(root.iterfind("part"), heads, strict=True):
        mender = NoteMender(part, head, log, signs)
        for index, measure in enumerate(part.iterchildren("measure")):
            mender.mend(measure, bar_called(measure, index))
    return signs


def _mend_part_list(root: Element, log: WarningLog) -> None:
    """Every part gets an id of its own and an entry in the list."""
    listing = root.find("part-list")
    if listing is None:
        listing = etree.Element("part-list")
        root.insert(0, listing)
    listed = [item.get("id") for item in listing.iterchildren("score-part")]
    seen: set[str] = set()
    for index, part in enumerate(root.findall("part")):
        wanted = part.get("id")
        if not wanted or wanted in seen:
            wanted = _free_id(listed, seen, index)
            log.add("the part has no id of its own; it was given one", f"part {index + 1}")
            part.set("id", wanted)
        if wanted not in listed:
            etree.SubElement(etree.SubElement(listing, "score-part", id=wanted), "part-name")
            log.add("the part is not in the score's list of parts; it has no name", f"part {index + 1}")
        seen.add(wanted)


def _free_id(listed: list[str | None], seen: set[str], index: int) -> str:
    """The list's own entry at this position if no other part took it, else a new one."""
    at_place = listed[index] if index < len(listed) else None
    if at_place and at_place not in seen:
        return at_place
    return next(name for n in range(index + 1, index + 10_000) if (name := f"P-{n}") not in seen and name not in listed)


def _even_out(root: Element, heads: list[PartHead], log: WarningLog) -> None:
    """Parts that stop early get empty bars, so that every part has every bar."""
    parts = root.findall("part")
    longest = max(parts, key=lambda part: len(part.findall("measure")), default=None)
    if longest is None:
        return
    numbers = [measure.get("number", "") for measure in longest.iterchildren("measure")]
    for part, head in zip(parts, heads, strict=True):
        has = len(part.findall("measure"))
        if has < len(numbers):
            log.add(f"the part has {has} bars, the score {len(numbers)}; the rest was taken as silence", head.called)
        for label in numbers[has:]:
            etree.SubElement(part, "measure", number=label)
