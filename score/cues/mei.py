"""From a cue-annotated part to the document that is engraved: MEI, edited for the page.

The engraver imports MusicXML; what the page needs and the importer does not do is done here: empty cue
staves and other resting staves hide, the player's own staff stays, rests join into multi-bar rests, meters
print where they should, and marks for everybody move to a staff that is seen.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from lxml import etree

from score.cues.part import cue_rows
from score.cues.printed import MEI, PrintedBar, remove
from score.cues.rests import join_rests
from score.cues.sheet import CueSheet
from score.cues.staff import ARROW, CueBar
from score.piece import Bar, Piece

_FOR_ALL = {MEI + name for name in ("tempo", "reh", "dir", "repeatMark", "caesura")}


@dataclass(frozen=True, slots=True)
class Document:
    """A part ready to engrave.

    Attributes:
        root: the MEI document.
        bars: every printed measure, in order.
        cue_staves: numbers of the cue staves.
        parts: for each of the player's parts, the numbers of its staves.
        in_bars: whether the measures are the piece's bars one for one; if not, nothing was joined.
    """

    root: etree._Element
    bars: tuple[PrintedBar, ...]
    cue_staves: range
    parts: tuple[range, ...]
    in_bars: bool


def part_document(mei: str, piece: Piece, sheet: CueSheet, staves: Sequence[int]) -> Document:
    """The document to engrave.

    Args:
        mei: what the engraver imported from the part's MusicXML.
        piece: the piece.
        sheet: the player's cues.
        staves: how many staves each part of the file has, the cue parts first.
    """
    root = etree.fromstring(mei.encode())
    rows = cue_rows(piece, sheet)
    numbers = list(_numbered(staves))
    cue_staves = range(1, len(rows) + 1)
    parts = tuple(numbers[len(rows) :])
    bars = [PrintedBar(measure, index, index, False) for index, measure in enumerate(root.iter(MEI + "measure"))]
    in_bars = len(bars) == len(piece.bars)
    for bar in bars:
        if in_bars:
            bar.cued = any(row[bar.first].signs for row in rows)
            _mark_words(bar, rows, cue_staves)
    _show_only_what_sounds(root)
    _name_staves(root, cue_staves, parts)
    _part_words_from_notes(root)
    if in_bars:
        _print_meters(root, bars, piece.bars, cue_staves)
        bars = join_rests(bars, piece, parts)
    for bar in bars:
        _keep_own_staff(bar.measure, parts)
    return Document(root, tuple(bars), cue_staves, parts, in_bars)


def staves_of(root: etree._Element) -> list[int]:
    """How many staves each part of a MusicXML document has."""
    counts = []
    for part in root.findall("part"):
        declared = [int(float(e.text or 1)) for e in part.iterfind("measure/attributes/staves")]
        counts.append(max(1, *declared) if declared else 1)
    return counts


def move_marks(document: Document, shown: Sequence[bool]) -> None:
    """Put tempi, rehearsal marks and words for everybody on the top staff that is seen.

    Args:
        document: what is engraved.
        shown: for each printed bar, whether the cue staff of its system is seen.
    """
    top, own = str(document.cue_staves[0]), str(document.parts[0][0])
    for bar, cue_is_seen in zip(document.bars, shown, strict=True):
        for event in bar.measure:
            is_mine = event.tag in _FOR_ALL and event.get("staff") in (top, own) and _is_for_all(event)
            if is_mine and event.get("place", "above") == "above":
                event.set("staff", top if cue_is_seen else own)


def break_before(document: Document, firsts: Sequence[int]) -> None:
    """Begin a system at each of these printed bars (positions in `document.bars`); earlier breaks go."""
    for tag in ("sb", "pb"):
        for old in list(document.root.iter(MEI + tag)):
            remove(old)
    for position in firsts:
        document.bars[position].measure.addprevious(etree.Element(MEI + "sb"))


def _numbered(staves: Sequence[int]) -> Iterator[range]:
    first = 1
    for count in staves:
        yield range(first, first + count)
        first += count


def _show_only_what_sounds(root: etree._Element) -> None:
    for score_def in root.iter(MEI + "scoreDef"):
        score_def.set("optimize", "true")
        break
    # A staff shown or hidden in single bars would fight the engraver's own choice by system.
    for staff in root.iter(MEI + "staff"):
        if "visible" in staff.attrib:
            del staff.attrib["visible"]
    for old in [*root.iter(MEI + "sb"), *root.iter(MEI + "pb"), *root.iter(MEI + "expansion")]:
        remove(old)


def _name_staves(root: etree._Element, cue_staves: range, parts: Sequence[range]) -> None:
    """Names stand beside the staves only where a player reads several parts; barlines join what belongs."""
    for group in root.iter(MEI + "staffGrp"):
        if len(parts) == 1:
            for tag in ("label", "labelAbbr"):
                for label in group.findall(f".//{MEI}{tag}"):
                    remove(label)
        group.set("bar.thru", "true")
    for staff in root.iter(MEI + "staffDef"):
        if int(staff.get("n", "0")) in cue_staves:
            for clef in staff.iter(MEI + "clef"):
                clef.set("visible", "false")
            for label in [*staff.findall(MEI + "label"), *staff.findall(MEI + "labelAbbr")]:
                remove(label)


def _print_meters(root: etree._Element, bars: Sequence[PrintedBar], all_bars: Sequence[Bar], cues: range) -> None:
    """The importer hides a changed meter on every staff when one staff hides it; say it staff by staff."""
    staves = [staff.get("n", "1") for staff in next(root.iter(MEI + "scoreDef")).iter(MEI + "staffDef")]
    for bar in bars[1:]:
        now, before = all_bars[bar.first].meter, all_bars[bar.first - 1].meter
        score_def = _score_def_before(bar.measure)
        if score_def is not None:
            for old in [*score_def.findall(MEI + "meterSig"), *score_def.findall(MEI + "meterSigGrp")]:
                score_def.remove(old)
            for old in score_def.findall(f".//{MEI}meterSig"):
                remove(old)
            for name in ("meter.count", "meter.unit", "meter.sym", "meter.visible"):
                if name in score_def.attrib:
                    del score_def.attrib[name]
        if now.text == before.text or "/" not in now.text:
            continue
        if score_def is None:
            score_def = etree.Element(MEI + "scoreDef")
            bar.measure.addprevious(score_def)
        group = score_def.find(f".//{MEI}staffGrp")
        if group is None:
            group = etree.SubElement(score_def, MEI + "staffGrp")
        present = {staff.get("n"): staff for staff in group.iter(MEI + "staffDef")}
        count, _, unit = now.text.rpartition("/")
        for number in staves:
            staff = present.get(number)
            if staff is None:
                staff = etree.SubElement(group, MEI + "staffDef", n=number)
            sign = etree.SubElement(staff, MEI + "meterSig", count=count, unit=unit)
            if int(number) in cues:
                sign.set("visible", "false")


def _score_def_before(measure: etree._Element) -> etree._Element | None:
    previous = measure.getprevious()
    while previous is not None and previous.tag in (MEI + "sb", MEI + "pb"):
        previous = previous.getprevious()
    return previous if previous is not None and previous.tag == MEI + "scoreDef" else None


def _part_words_from_notes(root: etree._Element) -> None:
    """A space between a tempo's words and its metronome note; the importer leaves none."""
    for tempo in root.iter(MEI + "tempo"):
        for before, after in pairwise(tempo.findall(MEI + "rend")):
            if after.get("glyph.auth") and before.text and not (before.tail or "").strip():
                before.text = f"{before.text.rstrip()}\u00a0\u00a0"


def _keep_own_staff(measure: etree._Element, parts: Sequence[range]) -> None:
    """A staff without a note is hidden: an invisible grace note keeps the player's first part in sight.

    Of a player's other parts all staves stay where one of them plays.
    """
    by_number = {staff.get("n"): staff for staff in measure.findall(MEI + "staff")}
    for position, part in enumerate(parts):
        staves = [by_number[str(number)] for number in part if str(number) in by_number]
        plays = any(_has_note(staff) for staff in staves)
        for staff in staves:
            if (position == 0 or plays) and not _has_note(staff):
                layer = staff.find(MEI + "layer")
                if layer is not None:
                    layer.insert(0, _unseen_note())


def _has_note(staff: etree._Element) -> bool:
    return next(staff.iter(MEI + "note"), None) is not None


def _unseen_note() -> etree._Element:
    return etree.Element(MEI + "note", {"grace": "unacc", "dur": "16", "loc": "4", "visible": "false"})


def _mark_words(bar: PrintedBar, rows: Sequence[Sequence[CueBar]], cues: range) -> None:
    """Tell the cue staff's own words (who is shown, who moves next) from words for everybody beside them."""
    cue_words = {text for row in rows for text in (row[bar.first].label, f"{ARROW} {row[bar.first].next}") if text}
    for event in bar.measure.findall(MEI + "dir"):
        if int(event.get("staff", "0").split()[0]) in cues:
            text = " ".join("".join(map(str, event.itertext())).split())
            event.set("type", "cue" if text in cue_words else "for-all")


def _is_for_all(event: etree._Element) -> bool:
    return event.tag != MEI + "dir" or event.get("type") == "for-all"
