"""The copy of a part that goes to the engraver: its notes named, and what it does not know said in what it knows.

The part that a player gets as MusicXML is never changed; this copy is only engraved. A note that has a name in it
keeps that name in the drawing, so that every note can be looked for there.
"""

import re
from collections.abc import Callable, Mapping
from itertools import count

from lxml import etree

from score.parts.beam_ends import has_odd_beams, mend_beams
from score.parts.drawing_tree import drop
from score.parts.ending_pairs import has_odd_endings, pair_endings
from score.parts.fermatas import join_fermatas
from score.parts.said_signs import SAID, said_on
from score.parts.slur_pairs import has_odd_slurs, pair_slurs
from score.parts.tablature import FIGURES, tablature_notes, write_out_tablature
from score.parts.wavy_lines import wavy_lines
from score.printing.music_font import sign_named

DAMP, DAMP_ALL = "\ue638", "\ue639"
"""SMuFL pluckedDamp and pluckedDampAll."""
NUMBERED = "n\u2060"
"""Before a word that begins with a figure, which the engraver would take for the number of a verse and leave out: a
letter, and a sign that joins words, which no score has behind it."""

_NOTE = re.compile(rb"<note(?=[\s>])(?![^>]*\sid=)")
_UNKNOWN = re.compile(
    rb"<(?:damp|damp-all|eyeglasses|string-mute|percussion|symbol|other-direction|other-dynamics|open|wavy-line|lyric"
    rb"|senza-misura|%b)\b|<beat-type>\s*0*\s*</|<tremolo\b[^>]*\btype=.start|<direction-type>\s*<dashes\b|</notations>\s*<notations\b"
    rb"|<tuplet\b[^>]*\bnumber=.[2-9]|<fermata[^>]*(?:/|>[a-z-]*</fermata)>\s*<fermata\b|<sign>\s*TAB\b|<bracket\b(?![^>]*\bline-type)"
    % "|".join(sorted(SAID)).encode()
)


def named_notes(own_parts: bytes) -> bytes:
    """The parts as text, every note with an id; ids that stand there already stay."""
    prefix = b"own-"
    while prefix in own_parts:
        prefix += b"-"
    numbers = count(1)
    return _NOTE.sub(lambda match: b'<note id="%s%d"' % (prefix, next(numbers)), own_parts)


def has_unknown_signs(musicxml: bytes) -> bool:
    """Whether the engraver would leave out what we can say in another way, or join beginnings with wrong ends."""
    return _UNKNOWN.search(musicxml) is not None or any(
        is_odd(musicxml) for is_odd in (has_odd_slurs, has_odd_endings, has_odd_beams)
    )


def say_unknown_signs(root: etree._Element) -> None:
    """Put what the engraver leaves out into signs and words that it draws, and end what the score does not."""
    for kind in root.iter("direction-type"):
        for sign in list(kind):
            text = _DIRECTIONS.get(str(sign.tag), _nothing)(sign)
            if text:
                words = etree.Element("words", {str(k): str(v) for k, v in sign.attrib.items()})
                words.text = text
                kind.replace(sign, words)
    for technical in root.iter("technical"):
        for sign in technical.findall("open"):
            sign.tag = "open-string"  # the same small circle
    for time in root.iter("time"):
        units = [(unit.text or "").strip().strip("0") for unit in time.iterfind("beat-type")]
        if time.find("senza-misura") is not None or "" in units:
            _hide_meter(time)
    for verse in root.iter("text"):
        if (verse.text or "").lstrip()[:1].isdigit():
            verse.text = f"{NUMBERED}{verse.text}"
    for line in root.iter("bracket"):
        if line.get("line-type") is None:
            line.set("line-type", "solid")  # which the engraver leaves out where the score does not say it
    for part in root.iter("part"):
        write_out_tablature(part)
    _say_on_notes(root)
    _mend_parts(root)


def _mend_parts(root: etree._Element) -> None:
    """End lines, pair slurs and endings, join tremolos: part by part."""
    between = any(sign.get("type") == "start" for sign in root.iter("tremolo"))
    dashes = next(root.iter("dashes"), None) is not None
    for part in root.iter("part"):
        _end_wavy_lines(part)
        if dashes:
            _draw_lone_dashes(part)
        pair_slurs(part)
        pair_endings(part)
        mend_beams(part)
        if between:
            _join_lone_tremolos(part)


def _hide_meter(time: etree._Element) -> None:
    """A meter that is not printed in place of none, or of one in parts of nothing: the engraver's process would end."""
    time[:] = [etree.Element("beats"), etree.Element("beat-type")]
    for number in time:
        number.text = "4"
    time.set("print-object", "no")


def _say_on_notes(root: etree._Element) -> None:
    """Verses under rests, and signs on notes that have no name, as words; once for the notes of a chord."""
    for note in _notes_with(root, "notations"):
        _join_notations(note)
    for note in _notes_with(root, "fermata"):
        join_fermatas(note)
    verses, signs = (next(root.iter(*tags), None) is not None for tags in (("lyric",), SAID))
    of_chord: set[str] = set()
    figured = {note for part in root.iter("part") for note in tablature_notes(part)} if signs else set()
    for note in list(root.iter("note")) if verses or signs else ():
        if verses and note.find("rest") is not None:
            for verse in note.iterfind("lyric/text"):
                note.addprevious(_words(verse.text or "", "below"))
        if note.find("chord") is None:
            of_chord.clear()
        for sign, text in list(said_on(note)):
            if note in figured and sign.tag in FIGURES:
                continue
            drop(sign)
            if text not in of_chord:
                note.addprevious(_words(text, "above"))
            of_chord.add(text)


def _notes_with(root: etree._Element, tag: str) -> list[etree._Element]:
    """The notes on which such a sign stands, in order."""
    return list(dict.fromkeys(note for sign in root.iter(tag) for note in sign.iterancestors("note")))


def _join_notations(note: etree._Element) -> None:
    """Of several lists of a note's signs the engraver reads the first alone."""
    lists = note.findall("notations")
    if len(lists) < 2:
        return
    lists = [each for each in lists if each.get("print-object") != "no"]
    for other in lists[1:]:
        for sign in list(other):
            holder = lists[0].find(str(sign.tag)) if len(sign) else None
            (lists[0] if holder is None else holder).extend([sign] if holder is None else list(sign))
        note.remove(other)


def _draw_lone_dashes(part: etree._Element) -> None:
    """Dashes that no words stand before are a dashed line: the engraver knows none without words."""
    lone: set[str] = set()
    for direction in part.iterfind("measure/direction"):
        for kind in direction.iterfind("direction-type"):
            for dashes in kind.findall("dashes"):
                number, is_start = dashes.get("number") or "1", dashes.get("type") == "start"
                if is_start and direction.find("direction-type/words") is None:
                    lone.add(number)
                elif number not in lone or is_start:
                    continue
                line = etree.Element("bracket", type=str(dashes.get("type")), number=number)
                line.set("line-end", "none")
                line.set("line-type", "dashed")
                kind.replace(dashes, line)
                if dashes.get("type") == "stop":
                    lone.discard(number)


def _join_lone_tremolos(part: etree._Element) -> None:
    """A tremolo between two notes that has no second one is a roll on the first: the engraver would lose the bar."""
    for measure in part.iterfind("measure"):
        begun: dict[str, etree._Element] = {}
        for note in measure.iterfind("note"):
            if note.find("chord") is not None:
                continue
            voice, sign = note.findtext("voice") or "1", note.find("notations/ornaments/tremolo")
            kind = "" if sign is None else sign.get("type") or ""
            before = begun.pop(voice, None)
            if before is not None and kind != "stop":
                before.set("type", "single")
            if sign is not None and kind == "start":
                begun[voice] = sign
        for sign in begun.values():
            sign.set("type", "single")


def _end_wavy_lines(part: etree._Element) -> None:
    """A wavy line that the score never ends goes as far as the last note that it is written on."""
    for line in list(wavy_lines(part)):
        if not line.has_end:
            _end_here(line.signs[-1])


def _end_here(line: etree._Element) -> None:
    if line.get("type") == "continue":
        line.set("type", "stop")
    else:
        end = etree.Element("wavy-line", type="stop")
        if number := line.get("number"):
            end.set("number", number)
        line.addnext(end)


def _words(text: str, placement: str) -> etree._Element:
    direction = etree.Element("direction", placement=placement)
    etree.SubElement(etree.SubElement(direction, "direction-type"), "words").text = text
    return direction


def _nothing(sign: etree._Element) -> str:
    return ""


def _symbol(sign: etree._Element) -> str:
    name = (sign.text or "").strip()
    return sign_named(name) or name


def _struck_with(sign: etree._Element) -> str:
    """Percussion pictograms as words: "soft yarn", "claves", "timpani"."""
    names = [" ".join((part.text or "").split()) or _name(part) for part in sign.iterdescendants("*")]
    return " ".join(name for name in reversed(names) if name)


def _name(part: etree._Element) -> str:
    return "" if len(part) else str(part.tag).replace("-", " ")


_DIRECTIONS: Mapping[str, Callable[[etree._Element], str]] = {
    "damp": lambda sign: DAMP,
    "damp-all": lambda sign: DAMP_ALL,
    "eyeglasses": lambda sign: "(look up)",
    "string-mute": lambda sign: f"mute {sign.get('type') or 'on'}",
    "percussion": _struck_with,
    "symbol": _symbol,
    "other-direction": lambda sign: "" if sign.get("print-object") == "no" else (sign.text or "").strip(),
}
