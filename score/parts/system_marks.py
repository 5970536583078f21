"""What changes with the division into systems: breaks, marks for everybody, bar numbers, names above the cues."""

import re
from collections.abc import Collection, Container, Sequence
from itertools import pairwise

from lxml import etree

from score.parts.cue_notes import cue_words
from score.parts.drawing_tree import drop
from score.parts.hairpin_ends import end_hairpins
from score.parts.instrument_entries import InstrumentEntry
from score.parts.mei import Document
from score.parts.multi_rests import RANGE
from score.parts.printed_bar import CUE_TYPE, FOR_ALL, MEI, PrintedBar, tstamp
from score.parts.seen_staves import has_note
from score.parts.staff_names import CUE_TEXT
from score.parts.sticking_room import STICKING
from score.setup.player_notes import Sticking, Word

_FOR_ALL = {MEI + name for name in ("tempo", "reh", "dir", "repeatMark", "caesura")}
_SHORT = 4
_AGAIN = "again"
"""Type of an instrument's name that a page says again."""
_CUE_WORDS = "166%"
"""Of a word's size at a cue staff: 2.5 mm high, which can be read from a metre away."""
_AFTER_THE_LINE = "0.01"
"""Where a rehearsal mark stands that leaves the engraver room for the number of its bar."""


def set_systems(document: Document, lines: Sequence[range], pages: Collection[int]) -> None:
    """Make the document ready for a division into systems; it can be divided anew at any time.

    Args:
        document: what is engraved.
        lines: for each system its printed bars, as positions in `document.bars`.
        pages: the positions of the bars that begin a page.
    """
    move_marks(document, [top for line in lines for top in [top_staff(document, line)] * len(line)])
    _move_ranges(document, lines)
    firsts = {line[0] for line in lines}
    _leave_room_for_numbers(document, firsts)
    if document.in_bars:
        end_hairpins(document.bars, document.all_bars, firsts)
        name_cues(document, lines)
        _remind(document, document.entries, pages)
    # Also before the first bar: without any break in the document the engraver breaks it for itself.
    break_before(document, [line[0] for line in lines], pages)


def top_staff(document: Document, line: range) -> int:
    """Number of the highest staff that is seen in a system of these bars."""
    seen = [number for position in line for number in document.bars[position].cue_staves]
    return min(seen, default=document.parts[0][0])


def move_marks(document: Document, tops: Sequence[int]) -> None:
    """Put tempi, rehearsal marks and words for everybody on the highest staff that is seen.

    Args:
        document: what is engraved.
        tops: for each printed bar the number of that staff.
    """
    own = document.parts[0][0]
    upper = {str(own), *map(str, document.cue_staves)}
    for bar, top in zip(document.bars, tops, strict=True):
        for event in bar.measure:
            if _is_for_all(event) and event.get("staff") in upper and event.get("place", "above") == "above":
                event.set("staff", str(top))
                _size(event, CUE_TEXT if top != own else "100%")


def _move_ranges(document: Document, lines: Sequence[range]) -> None:
    """Put the bars of multi-bar rests below the lowest staff that is seen in their system: others' words go with them.

    The first part is always seen, another where a note of it stands.
    """
    for line in lines if len(document.parts) > 1 else ():
        measures = [document.bars[position].measure for position in line]
        ranges = [words for measure in measures for words in measure.iterchildren(MEI + "dir")]
        ranges = [words for words in ranges if words.get("type") == RANGE]
        if ranges:
            sounding = {
                staff.get("n") for measure in measures for staff in measure.iter(MEI + "staff") if has_note(staff)
            }
            seen = [part for part in document.parts[1:] if sounding.intersection(map(str, part))]
            lowest = str([document.parts[0], *seen][-1][-1])
            for words in ranges:
                words.set("staff", lowest)


def _is_for_all(event: etree._Element) -> bool:
    return event.tag in _FOR_ALL and (event.tag != MEI + "dir" or FOR_ALL in (event.get("type") or "").split())


def _size(event: etree._Element, size: str) -> None:
    """Give the text of a mark a size: on the cue staff, which is smaller, it would shrink with the staff."""
    if event.find(MEI + "rend") is None or (event.text or "").strip():
        inner = etree.Element(MEI + "rend")
        inner.text, event.text = event.text, None
        event.insert(0, inner)
    for rend in event.findall(MEI + "rend"):
        rend.set("fontsize", size)
        if (rend.tail or "").strip():
            after = etree.Element(MEI + "rend", fontsize=size)
            after.text, rend.tail = re.sub(r"^\s+", "\u00a0", rend.tail or ""), None
            rend.addnext(after)


def _leave_room_for_numbers(document: Document, firsts: Container[int]) -> None:
    """At the beginning of a system the engraver leaves out the bar's number where a rehearsal mark stands."""
    for position, bar in enumerate(document.bars):
        for mark in bar.measure.iterchildren(MEI + "reh"):
            if position in firsts and mark.get("tstamp", "0") in ("0", "1"):
                mark.set("tstamp", _AFTER_THE_LINE)
            elif mark.get("tstamp") == _AFTER_THE_LINE and position not in firsts:
                del mark.attrib["tstamp"]


def name_cues(document: Document, lines: Sequence[range]) -> None:
    """Say at every system whose rhythm a cue line shows; where each has its own line, its name stands beside it."""
    for number, row in zip(document.cue_staves, document.rows, strict=True):
        for line in lines:
            named = len(document.rows) > 1
            for position in line:
                bar = document.bars[position]
                if number not in bar.cue_staves:
                    continue
                cue = row[bar.first]
                _drop_cue_words(bar, str(number))
                label = "" if len(document.rows) > 1 else cue.label or ("" if named else cue.source)
                named = True
                for words in cue_words(cue._replace(label=label), str(number), document.all_bars[bar.first]):
                    words.set("type", CUE_TYPE)
                    _enlarge(words)
                    bar.measure.append(words)


def _enlarge(words: etree._Element) -> None:
    """As large as words at the player's own staff; blanks after a short name, or it is set beside a stem, not above."""
    for rend in words.findall(MEI + "rend"):
        rend.set("fontsize", _CUE_WORDS)
        if rend.text and len(rend.text) < _SHORT:
            rend.text += "\u00a0" * (_SHORT - len(rend.text))


def _drop_cue_words(bar: PrintedBar, staff: str) -> None:
    for event in bar.measure.findall(MEI + "dir"):
        if event.get("type") == CUE_TYPE and event.get("staff") == staff:
            bar.measure.remove(event)


def add_words(document: Document, words: Sequence[Word]) -> None:
    """Small words in italics above the player's own staff."""
    for index, at, text in words:
        _add_text(document, (index, at, text), document.parts[0][0], "70%")


def add_stickings(document: Document, stickings: Sequence[Sticking]) -> None:
    """Suggested stickings above the staff they are for, in italics, for the score's own stand upright."""
    for bar, at, mallets, part in stickings:
        _add_text(document, (bar, at, mallets), document.parts[part][0], "80%", STICKING)


def _add_text(document: Document, word: Word, staff: int, size: str, kind: str = "") -> None:
    index, at, text = word
    bar = next((bar for bar in document.bars if bar.first <= index <= bar.last), None)
    if bar is None or not document.in_bars:
        return
    place = {"staff": str(staff), "tstamp": tstamp(at, document.all_bars[index]), "place": "above"}
    event = etree.SubElement(bar.measure, MEI + "dir", place)
    if kind:
        event.set("type", kind)
    etree.SubElement(event, MEI + "rend", fontstyle="italic", fontsize=size).text = text


def break_before(document: Document, firsts: Sequence[int], pages: Container[int] = ()) -> None:
    """Begin a system at each of these printed bars; earlier breaks go.

    A page begins at those that are in `pages`: the engraver takes twice as long over one endless page.
    """
    for tag in ("sb", "pb"):
        for old in list(document.root.iter(MEI + tag)):
            drop(old)
    for position in firsts:
        # At the beginning of an ending the break stands before it: inside, the engraver takes it for a continued one.
        place = document.bars[position].measure
        while (parent := place.getparent()) is not None and _is_first_in_ending(place, parent):
            place = parent
        place.addprevious(etree.Element(MEI + ("pb" if position in pages else "sb")))


def _is_first_in_ending(place: etree._Element, parent: etree._Element) -> bool:
    """Whether no bar stands before a bar in an ending; a new key or meter may."""
    first = next(parent.iterchildren(MEI + "measure", MEI + "ending"), None)
    return parent.tag == MEI + "ending" and first is place


def _remind(document: Document, entries: Sequence[InstrumentEntry | None], pages: Collection[int]) -> None:
    """Say the instrument at the first entry of every page but the first, unless the score says it there.

    Args:
        document: what is engraved.
        entries: by bar of the piece.
        pages: the positions of the printed bars that begin a page.
    """
    for bar in document.bars:
        _forget(bar.measure)
    for first, end in pairwise([*sorted(pages), len(document.bars)]):
        for bar in document.bars[first:end] if first else ():
            entry = entries[bar.first]
            if entry is not None:
                if not _is_said(bar.measure, entry.name):
                    _say(document, bar.measure, bar.first, entry)
                break


def _forget(measure: etree._Element) -> None:
    """Take out the names that were said again when the part was divided otherwise."""
    for event in list(measure.iterchildren(MEI + "dir")):
        if event.get("type") == _AGAIN:
            measure.remove(event)
            continue
        for name in [rend for rend in event.iterchildren(MEI + "rend") if rend.get("type") == _AGAIN]:
            event.text = name.tail
            event.remove(name)


def _is_said(measure: etree._Element, name: str) -> bool:
    texts = ("".join(map(str, event.itertext())).lower() for event in measure.iterchildren(MEI + "dir"))
    return any(name.lower() in text for text in texts)


def _say(document: Document, measure: etree._Element, index: int, entry: InstrumentEntry) -> None:
    staff = str(document.parts[entry.part][0])
    where = {"staff": staff, "place": "above", "tstamp": tstamp(entry.at, document.all_bars[index])}
    name = f"({entry.name.lower()})"
    # Before words that stand there already: two lines of words would push the cue line up.
    for event in measure.iterchildren(MEI + "dir"):
        if event.get("type") is None and all(event.get(key, where[key]) == value for key, value in where.items()):
            before = etree.Element(MEI + "rend", type=_AGAIN)
            before.text, before.tail, event.text = f"{name}\u00a0", event.text, None
            event.insert(0, before)
            return
    etree.SubElement(measure, MEI + "dir", where, type=_AGAIN).text = name
