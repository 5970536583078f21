"""Every sign of a part as it stands in its source: what must be found again on its pages."""

import re
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from lxml import etree

from score.parts.accidentals import accidental_of
from score.parts.said_signs import HOLDERS, SAID, said
from score.parts.tablature import follow_clefs, is_in_the_figure, is_tablature
from score.parts.wavy_lines import wavy_lines
from score.printing.music_font import sign_named

_TEXT_SIGNS: Mapping[str, str] = {
    "words": "words",
    "rehearsal": "rehearsal mark",
    "fingering": "sticking",
    "other-direction": "words",
    "text": "word under the staff",
}
"""Signs that are looked for by their text."""

_SIGNS: Mapping[str, str] = {
    "damp": "damp mark",
    "damp-all": "damp mark",
    "metronome": "tempo",
    "segno": "segno",
    "coda": "coda",
    "dynamics": "dynamic",
    "wedge": "hairpin",
    "pedal": "pedal",
    "octave-shift": "octave line",
    "dashes": "dashed line",
    "bracket": "line",
    "percussion": "pictogram",
    "symbol": "symbol",
    "string-mute": "mute",
    "eyeglasses": "eyeglasses",
    "tied": "tie",
    "slur": "slur",
    "tuplet": "tuplet",
    "tremolo": "roll",
    "trill-mark": "trill",
    "wavy-line": "wavy line",
    "fermata": "fermata",
    "arpeggiate": "arpeggio",
    "glissando": "glissando",
    "slide": "glissando",
    "breath-mark": "breath",
    "caesura": "caesura",
    "turn": "turn",
    "inverted-turn": "turn",
    "delayed-turn": "turn",
    "delayed-inverted-turn": "turn",
    "vertical-turn": "turn",
    "inverted-vertical-turn": "turn",
    "mordent": "mordent",
    "inverted-mordent": "mordent",
    "schleifer": "mordent",
    "haydn": "mordent",
}
_MIDDLES = {"stop", "continue", "change", "sostenuto", "resume", "discontinue"}
_NO_INK = {"accidental-mark", "staff-divide", "other-notation", "non-arpeggiate", "rootless"}
_ROUND_HEADS = {"", "normal", "none", "so"}
_ONCE_A_BAR = {"rehearsal mark", "tempo", "segno", "coda", "repeat", "ending", "clef", "meter"}
"""Signs that several parts of one player have in common: printed once."""


class SourceSign(NamedTuple):
    """A sign of the source.

    Attributes:
        bar: index of its bar.
        kind: what it is, as a player would call it.
        text: its words, or which one it is, "" where that does not matter.
        note: id of the note that it is or stands on, "" where it stands alone.
        part: id of its part.
    """

    bar: int
    kind: str
    text: str = ""
    note: str = ""
    part: str = ""

    @property
    def name(self) -> str:
        """What it is called in a message."""
        return f'{self.kind} "{self.text}"' if self.text and self.kind != "key" else self.kind


def source_signs(root: etree._Element, cue_parts: int) -> tuple[SourceSign, ...]:
    """The signs of a part document in which notes have ids, in the order of the parts and bars.

    Args:
        root: the document, its cue staves still empty.
        cue_parts: how many parts before the player's own are cue staves: of these only what holds for everybody.
    """
    signs: list[SourceSign] = []
    once: set[tuple[int, str, str]] = set()
    for position, part in enumerate(root.iterfind("part")):
        for sign in _part_signs(part, only_for_all=position < cue_parts):
            key = sign.bar, sign.kind, sign.text
            if sign.kind in _ONCE_A_BAR:
                if key in once:
                    continue
                once.add(key)
            signs.append(sign)
    return tuple(signs)


def _part_signs(part: etree._Element, only_for_all: bool) -> Iterator[SourceSign]:
    name = part.get("id") or ""
    lone = {home_of(line.signs[0]) for line in wavy_lines(part) if line.is_lone}
    tablature, meter = set[str](), ""
    for bar, measure in enumerate(part.iterfind("measure")):
        chord: set[str] = set()
        for element in measure:
            if element.get("print-object") == "no" or (only_for_all and element.tag in ("note", "attributes")):
                continue
            if element.tag == "note" and next(element.iterchildren("chord"), None) is None:
                chord = set()
            elif element.tag == "attributes":
                follow_clefs(element, tablature)
            figured = bool(tablature) and element.tag == "note" and (element.findtext("staff") or "1") in tablature
            for kind, text, note in _signs_of(element, chord):
                # A meter that is said again says nothing.
                if (kind == "wavy line" and note in lone) or (kind == "meter" and text == meter):
                    continue
                if figured and is_in_the_figure(kind, text):
                    continue
                meter = text if kind == "meter" else meter
                yield SourceSign(bar, kind, text, note=note, part=name)


def home_of(sign: etree._Element) -> str:
    """The id of the note that a sign stands on."""
    return next(sign.iterancestors("note")).get("id") or ""


_KindTextNote = tuple[str, str, str]


def _signs_of(element: etree._Element, chord: set[str]) -> Iterator[_KindTextNote]:
    if element.tag == "note":
        yield from _note_signs(element, chord)
    elif element.tag == "direction":
        yield from _direction_signs(element)
    elif element.tag == "attributes":
        yield from _attribute_signs(element)
    elif element.tag == "barline":
        yield from _barline_signs(element)


def _note_signs(note: etree._Element, chord: set[str]) -> Iterator[_KindTextNote]:
    # One walk over its children takes less time than a search for each of these.
    name, parts = note.get("id") or "", {child.tag for child in note}
    if "rest" in parts:
        yield "rest", "", name
    else:
        yield "note", "", name
        if "accidental" in parts:
            yield "accidental", accidental_of(note), name
        head = head_of(note) if "notehead" in parts else ""
        if head not in _ROUND_HEADS:
            yield "notehead", head, name
    for notations in note.iterchildren("notations") if "notations" in parts else ():
        if notations.get("print-object") != "no":
            for sign in _notation_signs(notations, name, chord):
                # How a rest is struck is nothing to print.
                if sign[0] != "articulation" or "rest" not in parts:
                    yield sign
    for text in note.iterfind("lyric/text") if "lyric" in parts else ():
        if (text.text or "").strip():
            yield _TEXT_SIGNS["text"], _plain(text), name


def head_of(note: etree._Element) -> str:
    """The name of a note's head; of one that only the font names, its SMuFL name, "" where the font lacks it."""
    head = note.find("notehead")
    name = "" if head is None else (head.text or "").strip()
    smufl = "" if head is None else head.get("smufl") or ""
    return (smufl if sign_named(smufl) else "") if name == "other" else name


def _notation_signs(notations: etree._Element, name: str, chord: set[str]) -> Iterator[_KindTextNote]:
    for sign in notations:
        tag = str(sign.tag)
        if tag in HOLDERS:
            for inner in sign:
                yield from _of_note(inner, name, chord, holder=tag)
        else:
            yield from _of_note(sign, name, chord, holder="")


def _of_note(sign: etree._Element, name: str, chord: set[str], holder: str) -> Iterator[_KindTextNote]:
    tag, kind = str(sign.tag), sign.get("type") or ""
    if _is_no_sign(sign):
        return
    if tag == "tied":
        yield ("open tie" if kind == "let-ring" else "tie"), "", name
        return
    if tag == "tuplet" and (sign.get("show-number") == "none" and sign.get("bracket") == "no"):
        return
    # What belongs to a chord is often written on each of its notes and printed once.
    key = f"{tag} {sign.get('number') or ''} {_plain(sign)}"
    if tag == "fermata":
        key = f"fermata {fermata_side(sign)}"
    if key in chord and tag not in ("fingering", "glissando", "slide"):
        return
    chord.add(key)
    if tag in SAID:
        if text := said(sign):
            yield "words", text, name
    elif tag in _TEXT_SIGNS:
        if _plain(sign):
            yield _TEXT_SIGNS[tag], _plain(sign), name
    elif tag == "tremolo" and kind not in ("", "single", "start"):
        return
    elif tag in _SIGNS:
        yield _SIGNS[tag], "", name
    elif holder:
        yield "articulation", tag.replace("-", " "), name
    else:
        yield tag.replace("-", " "), "", name


def fermata_side(fermata: etree._Element) -> str:
    """On which side of its note a fermata of MusicXML stands: two on one side are printed once."""
    return fermata.get("type") or "upright"


def _is_no_sign(sign: etree._Element) -> bool:
    """Whether nothing is printed here: a remark of the file, the middle or end of something, what is hidden."""
    tag = sign.tag
    return (
        not isinstance(tag, str) or sign.get("type") in _MIDDLES or tag in _NO_INK or sign.get("print-object") == "no"
    )


def _direction_signs(direction: etree._Element) -> Iterator[_KindTextNote]:
    for kind in direction.iterfind("direction-type"):
        for sign in kind:
            tag = str(sign.tag)
            if _is_no_sign(sign):
                continue
            if tag in _TEXT_SIGNS:
                if _plain(sign):
                    yield _TEXT_SIGNS[tag], _plain(sign), ""
            else:
                yield _SIGNS.get(tag, tag.replace("-", " ")), "", ""


def _attribute_signs(attributes: etree._Element) -> Iterator[_KindTextNote]:
    for sign in attributes:
        if sign.get("print-object") == "no":
            continue
        if sign.tag == "clef" and sign.findtext("sign") != "none" and not is_tablature(sign):
            yield "clef", "", ""
        elif sign.tag == "key" and _plain_number(sign.findtext("fifths")):
            yield "key", str(int(sign.findtext("fifths") or 0)), ""
        elif sign.tag == "time" and sign.find("senza-misura") is None:
            yield "meter", _meter(sign), ""


def _meter(time: etree._Element) -> str:
    """A meter's fractions, and what is written in their place."""
    pairs = zip(time.findall("beats"), time.findall("beat-type"), strict=False)
    fractions = "+".join(f"{_plain(beats).replace(' ', '')}/{_plain(unit)}" for beats, unit in pairs)
    symbol = {"common": "common", "cut": "cut", "single-number": "num"}.get(time.get("symbol") or "", "")
    return f"{fractions} {symbol}".strip()


def _plain_number(text: str | None) -> bool:
    return re.fullmatch(r"\s*-?[0-7]\s*", text or "") is not None


def _barline_signs(barline: etree._Element) -> Iterator[_KindTextNote]:
    for sign in barline:
        if sign.tag == "repeat":
            yield "repeat", sign.get("direction") or "", ""
        elif sign.tag == "ending" and sign.get("type") == "start" and sign.get("print-object") != "no":
            yield "ending", sign.get("number") or "", ""
        elif sign.tag in ("fermata", "segno", "coda"):
            yield _SIGNS[str(sign.tag)], "", ""


def _plain(element: etree._Element) -> str:
    return " ".join((element.text or "").split())
