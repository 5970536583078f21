"""From a cue-annotated part to the document that is engraved: MEI, edited for the page.

The engraver imports MusicXML; what the page needs and the importer does not do is done here: empty cue
staves and other resting staves hide, the player's own staff stays, rests join into multi-bar rests, meters
print where they should, and marks for everybody move to a staff that is seen.
"""

import re
from collections.abc import Container, Iterator, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple

from lxml import etree

from score.parts.cue_notes import write_cues
from score.parts.cue_staff import ARROW, CueBar
from score.parts.multi_rests import join_rests
from score.parts.printed_bar import MEI, PrintedBar, remove, tstamp
from score.piece import Bar, Piece

_FOR_ALL = {MEI + name for name in ("tempo", "reh", "dir", "repeatMark", "caesura")}


class Document(NamedTuple):
    """A part ready to engrave.

    Attributes:
        root: the MEI document.
        bars: every printed measure, in order.
        cue_staves: numbers of the cue staves.
        parts: for each of the player's parts, the numbers of its staves.
        lengths: of the piece's bars, quarters; as many as there are measures where those are not the bars.
        in_bars: whether the measures are the piece's bars one for one; if not, nothing was joined.
    """

    root: etree._Element
    bars: tuple[PrintedBar, ...]
    cue_staves: range
    parts: tuple[range, ...]
    lengths: tuple[Fraction, ...]
    in_bars: bool


def part_document(
    mei: str,
    piece: Piece,
    player: int,
    rows: Sequence[Sequence[CueBar]],
    staves: Sequence[int],
    *,
    rests_joined: bool = True,
) -> Document:
    """The document to engrave.

    Args:
        mei: what the engraver imported from the part's MusicXML with empty cue staves.
        piece: the piece.
        player: the player's number.
        rows: what each cue staff holds, bar by bar.
        staves: how many staves each of the player's own parts has.
        rests_joined: bars of rest become one multi-bar rest where nothing stands in them.
    """
    root = etree.fromstring(mei.encode())
    cue_staves = range(1, len(rows) + 1)
    parts = tuple(_numbered(staves, len(rows) + 1))
    bars = [PrintedBar(measure, index, index, cued=False) for index, measure in enumerate(root.iter(MEI + "measure"))]
    in_bars = len(bars) == len(piece.bars)
    if in_bars:
        write_cues([bar.measure for bar in bars], piece.bars, rows)
    for bar in bars:
        if in_bars:
            bar.cued = any(row[bar.first].signs for row in rows)
            _mark_words(bar, rows, cue_staves)
    show_only_what_sounds(root)
    _name_staves(root, _instrument_names(piece, player), cue_staves, parts)
    _group_own_staves(root, cue_staves)
    space_tempo_words(root)
    if in_bars:
        _print_meters(root, bars, piece.bars, cue_staves)
        bars = join_rests(bars, piece, parts) if rests_joined else bars
    for bar in bars:
        _keep_own_staff(bar.measure, parts)
    lengths = tuple(bar.length for bar in piece.bars) if in_bars else (Fraction(4),) * len(bars)
    return Document(root, tuple(bars), cue_staves, parts=parts, lengths=lengths, in_bars=in_bars)


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
                _size(event, "154%" if cue_is_seen else "100%")


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


def add_words(document: Document, words: Sequence[tuple[int, Fraction, str]], piece: Piece) -> None:
    """Small words above the player's own staff.

    Args:
        document: what is engraved.
        words: (bar index, quarters in the bar, text).
        piece: the piece, for the bars' meters.
    """
    if not document.in_bars:
        return
    where = {index: bar for bar in document.bars for index in range(bar.first, bar.last + 1)}
    for index, at, text in words:
        place = {"staff": str(document.parts[0][0]), "tstamp": tstamp(at, piece.bars[index]), "place": "above"}
        event = etree.SubElement(where[index].measure, MEI + "dir", place)
        rend = etree.SubElement(event, MEI + "rend", fontstyle="italic", fontsize="70%")
        rend.text = text


def break_before(document: Document, firsts: Sequence[int], pages: Container[int] = ()) -> None:
    """Begin a system at each of these printed bars (positions in `document.bars`); earlier breaks go.

    A page begins at those that are in `pages`: the engraver takes twice as long over one endless page.
    """
    for tag in ("sb", "pb"):
        for old in list(document.root.iter(MEI + tag)):
            remove(old)
    for position in firsts:
        # At the beginning of an ending the break stands before it: inside, the engraver takes it for a continued one.
        place = document.bars[position].measure
        while (parent := place.getparent()) is not None and parent.tag == MEI + "ending" and parent[0] is place:
            place = parent
        place.addprevious(etree.Element(MEI + ("pb" if position in pages else "sb")))


def _numbered(staves: Sequence[int], first: int) -> Iterator[range]:
    for count in staves:
        yield range(first, first + count)
        first += count


def show_only_what_sounds(root: etree._Element) -> None:
    """Staves without a note hide, system by system; the document's own breaks go."""
    for score_def in root.iter(MEI + "scoreDef"):
        score_def.set("optimize", "true")
        break
    # A staff shown or hidden in single bars would fight the engraver's own choice by system.
    for staff in root.iter(MEI + "staff"):
        if "visible" in staff.attrib:
            del staff.attrib["visible"]
    for old in [*root.iter(MEI + "sb"), *root.iter(MEI + "pb"), *root.iter(MEI + "expansion")]:
        remove(old)


def _name_staves(root: etree._Element, names: Sequence[str], cue_staves: range, parts: Sequence[range]) -> None:
    """Instruments' names stand beside the staves only where a player reads several parts."""
    staves = {int(staff.get("n", "0")): staff for staff in root.iter(MEI + "staffDef")}
    for number in cue_staves:
        for clef in staves[number].iter(MEI + "clef"):
            clef.set("visible", "false")
    for tag in ("label", "labelAbbr"):
        for label in list(root.iter(MEI + tag)):
            remove(label)
    if len(parts) > 1:
        for name, part in zip(names, parts, strict=True):
            holder = staves[part[0]] if len(part) == 1 else staves[part[0]].getparent()
            assert holder is not None
            label = etree.Element(MEI + "label")
            label.text = name
            holder.insert(0, label)


def _group_own_staves(root: etree._Element, cue_staves: range) -> None:
    """Barlines run through all staves; the player's own stand in a group of their own.

    Without that group the engraver draws no ending brackets where the cue staff above them is hidden.
    """
    top = next(root.iter(MEI + "staffGrp"))
    own = etree.Element(MEI + "staffGrp")
    for item in list(top):
        if item.tag == MEI + "staffGrp" or (item.tag == MEI + "staffDef" and int(item.get("n", "0")) not in cue_staves):
            own.append(item)
    top.append(own)
    for group in top.iter(MEI + "staffGrp"):
        group.set("bar.thru", "true")


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


def _instrument_names(piece: Piece, number: int) -> list[str]:
    """What each of the player's parts is called without the player's own name ("Player 1 – marimba")."""
    player = piece.player(number)
    return [name.removeprefix(player.name).strip(" \u2013\u2014-:,") or name for name in player.part_names]


def space_tempo_words(root: etree._Element) -> None:
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
        plays = any(has_note(staff) for staff in staves)
        for staff in staves:
            if (position == 0 or plays) and not has_note(staff):
                layer = staff.find(MEI + "layer")
                if layer is not None:
                    layer.insert(0, unseen_note())


def has_note(staff: etree._Element) -> bool:
    """Whether a note stands in it, seen or not."""
    return next(staff.iter(MEI + "note"), None) is not None


def unseen_note() -> etree._Element:
    """What keeps a staff in sight where nothing sounds."""
    return etree.Element(MEI + "note", {"grace": "unacc", "dur": "16", "loc": "4", "visible": "false"})


def _mark_words(bar: PrintedBar, rows: Sequence[Sequence[CueBar]], cues: range) -> None:
    """Tell the cue staff's own words (who is shown, who moves next) from words for everybody beside them."""
    cue_words = {text for row in rows for text in (row[bar.first].label, f"{ARROW} {row[bar.first].next}") if text}
    for event in bar.measure.findall(MEI + "dir"):
        if int(event.get("staff", "0").split()[0]) in cues:
            text = " ".join("".join(map(str, event.itertext())).split())
            event.set("type", "cue" if text in cue_words else "for-all")
            if text in cue_words:
                _widen(event)


def _widen(event: etree._Element) -> None:
    """Blanks after a short name: without them the engraver sets it beside a stem, not above."""
    rend = event.find(MEI + "rend")
    if rend is not None and rend.text and len(rend.text) < 4:
        rend.text += "\u00a0" * (4 - len(rend.text))


def _is_for_all(event: etree._Element) -> bool:
    return event.tag != MEI + "dir" or event.get("type") == "for-all"
