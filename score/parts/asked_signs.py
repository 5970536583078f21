"""What the engraver's import leaves out of a part or adds to it: put back into the document, or taken out of it."""

import re
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise

from lxml import etree

from score.parts.drawing_tree import dissolve, drop
from score.parts.own_drawing import SHAPES, dashes_type, has_dashes, head_type
from score.parts.printed_bar import MEI, XML_ID, PrintedBar
from score.piece import Piece
from score.printing.music_font import FIRST_SIGN, LAST_SIGN, has_sign, sign_named

# MusicXML's noteheads by what draws them: signs of the music font for whole, half and shorter notes, or our own.
_FONT_HEADS: Mapping[str, tuple[str, str, str]] = {
    "square": ("E0B8", "E0B8", "E0B9"),
    "la": ("E0B8", "E0B8", "E0B9"),
    "slashed": ("E0D3", "E0D1", "E0CF"),
    "back slashed": ("E0D4", "E0D2", "E0D0"),
    "mi": ("E0DD", "E0DD", "E0DB"),
}
_OWN_HEADS: Mapping[str, str] = {
    "triangle": "triangle",
    "do": "triangle",
    "inverted triangle": "inverted-triangle",
    "left triangle": "left-triangle",
    "arrow up": "arrow-up",
    "arrow down": "arrow-down",
    "rectangle": "rectangle",
    "cluster": "rectangle",
    "circled": "circled",
    "circle dot": "circle-dot",
    "re": "bowl",
    "fa": "flag",
    "fa up": "flag-up",
    "ti": "cone",
}
_SPAN = re.compile(r"(?:(\d+)m\+)?([\d.]+)")
_WORDS = MEI + "dir", MEI + "dynam"
"""What words become: those of loudness are dynamics."""
_SPACE = MEI + "space"
_EVENTS = {MEI + name for name in ("note", "chord", "rest")}
assert set(_OWN_HEADS.values()) <= SHAPES


def shape_heads(root: etree._Element, heads: Mapping[str, str]) -> None:
    """Give notes the heads that the engraver does not know.

    Args:
        root: the document.
        heads: MusicXML's notehead, or the SMuFL name of one, by the id of its note.
    """
    for note in root.iter(MEI + "note"):
        head = heads.get(note.get(XML_ID) or "", "")
        if head in _FONT_HEADS:
            code = _FONT_HEADS[head][_fullness(note)]
            # For a sign that its font lacks the engraver's process would end.
            if has_sign(code):
                note.set("head.shape", f"U+{code}")
        elif letter := sign_named(head):
            note.attrib.pop("glyph.name", "")
            note.set("head.shape", f"U+{ord(letter):X}")
        elif head in _OWN_HEADS:
            if "head.shape" in note.attrib:
                del note.attrib["head.shape"]
            note.set("type", head_type(_OWN_HEADS[head]))


def _fullness(note: etree._Element) -> int:
    """Which of a head's forms: of a whole note, of a half note or one that the score wants hollow, of shorter ones."""
    form = {"1": 0, "2": 1}.get(_duration(note), 2)
    asked = {"void": 1, "solid": 2}.get(note.get("head.fill") or "", form)
    return asked if form else form


def _duration(note: etree._Element) -> str:
    holder = note.getparent()
    return note.get("dur") or (holder.get("dur") if holder is not None else None) or "4"


def show_font_signs(root: etree._Element) -> None:
    """Signs of the music font stand in the document as letters: print them as what they are."""
    for event in root.iter(MEI + "dir"):
        text = "".join(map(str, event.itertext())).strip()
        if _is_font_sign(text):
            for child in list(event):
                event.remove(child)
            event.text = None
            etree.SubElement(event, MEI + "rend", {"glyph.auth": "smufl"}).text = text
        for words in event.iter(MEI + "rend"):
            if _is_font_sign((words.text or "").strip()):
                words.set("glyph.auth", "smufl")


def _is_font_sign(text: str) -> bool:
    return bool(text) and all(FIRST_SIGN <= sign <= LAST_SIGN and has_sign(f"{ord(sign):X}") for sign in text)


def mark_dashes(root: etree._Element, bars: Sequence[PrintedBar], piece: Piece) -> None:
    """Words with dashes say how far these go, so that they can be drawn."""
    beats = 4
    for event in root.iter(MEI + "meterSig", *_WORDS):
        if event.tag == MEI + "meterSig":
            beats = sum(int(part) for part in (event.get("count") or "").split("+") if part.isdecimal()) or 4
            continue
        end = _SPAN.fullmatch(event.get("tstamp2") or "")
        if end is None or event.get("extender") != "true":
            continue
        percent = min(100, max(0, round(100 * (float(end[2]) - 1) / beats)))
        _ask_for_dashes(event, int(end[1] or 0), percent)
    for change in piece.tempo_changes if len(bars) == len(piece.bars) else ():
        # Of several parts the engraver's import loses the end of dashes.
        for event in bars[change.start.bar].measure.iterchildren(MEI + "dir"):
            if change.extent == "dashes" and event.get("extender") == "true" and event.get("tstamp2") is None:
                length = piece.bars[change.end.bar].length
                percent = round(100 * change.end.at / length) if length else 0
                _ask_for_dashes(event, change.end.bar - change.start.bar, percent)
    for event in root.iter(*_WORDS):
        if event.get("extender") == "true" and event.get("tstamp2") is None and not has_dashes(event.get("type") or ""):
            # Dashes that never end go to the end of their bar.
            _ask_for_dashes(event, 0, 100)


def _ask_for_dashes(event: etree._Element, bars: int, percent: int) -> None:
    event.set("type", f"{event.get('type') or ''} {dashes_type(bars, percent)}".strip())


def clear_tuplets(root: etree._Element) -> None:
    """Brackets of tuplets go above where dynamics stand below: the engraver would set one upon the other.

    All of a run of bars with tuplets go the same way.
    """
    runs: dict[str, list[etree._Element]] = {}
    crowded: set[str] = set()
    for measure in root.iter(MEI + "measure"):
        signs = measure.iterchildren(MEI + "dynam", MEI + "hairpin")
        below = {sign.get("staff") for sign in signs if sign.get("place") != "above"}
        for staff in measure.iterchildren(MEI + "staff"):
            number = staff.get("n") or ""
            tuplets = list(staff.iter(MEI + "tuplet")) if len(staff) == 1 else []
            if not tuplets:
                _lift(runs.pop(number, []) if number in crowded else [])
                runs.pop(number, None)
                crowded.discard(number)
                continue
            runs.setdefault(number, []).extend(tuplets)
            if number in below:
                crowded.add(number)
    for number in crowded:
        _lift(runs.get(number, []))


def _lift(tuplets: Iterable[etree._Element]) -> None:
    for tuplet in tuplets:
        tuplet.set("bracket.place", "above")
        tuplet.set("num.place", "above")


def drop_repeated_tempi(root: etree._Element) -> None:
    """A tempo that several staves of a player say at one place is printed once."""
    for measure in root.iter(MEI + "measure"):
        said: set[tuple[str | None, str]] = set()
        for tempo in list(measure.iterchildren(MEI + "tempo")):
            tempo_here = tempo.get("tstamp"), "".join(map(str, tempo.itertext()))
            if tempo_here in said:
                drop(tempo)
            said.add(tempo_here)


def space_tempo_words(root: etree._Element) -> None:
    """A space between a tempo's words and its metronome note; the importer leaves none."""
    for tempo in root.iter(MEI + "tempo"):
        for before, after in pairwise(tempo.findall(MEI + "rend")):
            if after.get("glyph.auth") and before.text and not (before.tail or "").strip():
                before.text = f"{before.text.rstrip()}\u00a0\u00a0"


def drop_endless_beams(root: etree._Element) -> None:
    """Beams that go on over more than one barline come from a beginning whose end the file has lost."""
    for measure in root.iter(MEI + "measure"):
        for beam in list(measure.iterchildren(MEI + "beamSpan")):
            following = measure.getnext()
            near = [measure] if following is None else [measure, following]
            names = {note.get(XML_ID) for each in near for note in each.iter(MEI + "note", MEI + "chord")}
            if (beam.get("endid") or "")[1:] not in names:
                drop(beam)


def measure_graces(root: etree._Element) -> None:
    """Grace notes that the score gives no value are eighths: inside a beam the engraver would lose their height."""
    for note in root.iter(MEI + "note", MEI + "chord"):
        if note.get("grace") is not None and note.get("dur") is None and _is_outermost(note):
            note.set("dur", "8")


def drop_hidden(root: etree._Element) -> None:
    """Notes for playback only leave no ink: they go, or become blanks where others stand beside them."""
    hidden = [event for event in root.iter(*_EVENTS) if event.get("visible") == "false" and _is_outermost(event)]
    names = {note.get(XML_ID) for event in hidden for note in (event, *event.iter(MEI + "note"))}
    for event in hidden:
        _blank(event)
    for holder in _innermost_first(root.iter(MEI + "beam", MEI + "tuplet", MEI + "bTrem", MEI + "fTrem")):
        if len(holder) and holder[0].tag == _SPACE and all(child.tag == _SPACE for child in holder):
            _unwrap(holder)
    for layer in list(root.iter(MEI + "layer")):
        _close_up(layer)
    _drop_events_of(root, names)


def _is_outermost(event: etree._Element) -> bool:
    holder = event.getparent()
    return event.tag == MEI + "chord" or holder is None or holder.tag != MEI + "chord"


def _blank(event: etree._Element) -> None:
    holder = event.getparent()
    if event.get("grace") or holder is None:
        drop(event)
        return
    space = etree.Element(MEI + "space", {name: event.get(name) or "" for name in ("dur", "dots") if event.get(name)})
    holder.replace(event, space)


def _innermost_first(holders: Iterable[etree._Element]) -> list[etree._Element]:
    return list(holders)[::-1]


def _unwrap(holder: etree._Element) -> None:
    """Blanks need no beam; those of a tuplet keep it, without a figure, for they are as long as it says."""
    if holder.tag == MEI + "tuplet":
        holder.set("num.visible", "false")
        holder.set("bracket.visible", "false")
        return
    dissolve(holder)


def _close_up(layer: etree._Element) -> None:
    """A layer of nothing but blanks goes where another stands beside it; alone it is one blank bar."""
    staff = layer.getparent()
    if staff is None or not len(layer) or layer[0].tag not in (_SPACE, MEI + "tuplet"):
        return
    if any(child.tag not in (_SPACE, MEI + "tuplet") for child in layer):
        return
    if next(layer.iter(*_EVENTS), None) is not None:
        return
    if len(staff.findall(MEI + "layer")) > 1:
        staff.remove(layer)
    else:
        layer[:] = [etree.Element(MEI + "mSpace")]


def _drop_events_of(root: etree._Element, names: set[str | None]) -> None:
    if not names:
        return
    for measure in root.iter(MEI + "measure"):
        for event in list(measure):
            ends = {(event.get(name) or "")[1:] for name in ("startid", "endid") if event.get(name)}
            if ends & names:
                measure.remove(event)
