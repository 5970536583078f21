"""The proof of a part: its engraved bars read back and compared with the signs of its source."""

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from lxml import etree

from score.parts.arpeggios import JOINED
from score.parts.drawn_staves import HREF, SVG
from score.parts.engraver import QUOTE, EngravedSystem
from score.parts.engraver_copy import DAMP, DAMP_ALL
from score.parts.open_curves import OPEN
from score.parts.own_drawing import OWN_DASH, OWN_HEAD
from score.parts.printed_bar import MEI, XML_ID, PrintedBar
from score.parts.source_signs import SourceSign

_WAVY, _WAVE = "wavy", "E59"
"""What a trill with a line is counted as beside it, and how the signs that make the line begin."""
_CLASSES: Mapping[str, tuple[str, ...]] = {
    "dynamic": ("dynam",),
    "hairpin": ("hairpin",),
    "tempo": ("tempo",),
    "segno": ("repeatMark",),
    "coda": ("repeatMark",),
    "pedal": ("pedal",),
    "octave line": ("octave",),
    "dashed line": ("dashes", "bracketSpan"),
    "line": ("bracketSpan",),
    "tie": ("tie",),
    "open tie": ("lv",),
    "slur": ("slur",),
    "tuplet": ("tuplet",),
    "roll": ("bTrem", "fTrem"),
    "trill": ("trill",),
    "wavy line": (_WAVY,),
    "fermata": ("fermata",),
    "arpeggio": ("arpeg",),
    "glissando": ("gliss",),
    "breath": ("breath",),
    "caesura": ("caesura",),
    "turn": ("turn",),
    "mordent": ("mordent",),
    "articulation": ("artic",),
    "accidental": ("accid",),
    "clef": ("clef",),
    "key": ("keySig",),
    "meter": ("meterSig", "meterSigGrp"),
}
"""Kinds of signs that are counted bar by bar, and what the engraver's drawing calls them."""
_COUNTED = {name for names in _CLASSES.values() for name in names} - {"trill", "tie", "lv"}
_AHEAD = {"clef", "key", "meter"}
"""What stands before a barline, too, where it changes."""
_WORDS = {"dir", "tempo", "reh", "dynam", "verse", "syl", "repeatMark", "ending"}
_READ = {"note", "rest", "mRest", "chord", "staff", "multiRest", "mRpt", "mRpt2", "multiRpt", "beatRpt", "barLine"}
_READ |= {"trill", "tie", "lv", "fing", *_COUNTED, *_WORDS}
"""Whatever is of interest of a bar's drawing; most groups are stems, heads and layers."""
_ORDINARY = {"E0A0", "E0A2", "E0A3", "E0A4"}
_HEAD = re.compile(r"#([0-9A-F]{4})")
_BRACKETED = re.compile(r'<g id="([^"]+)" class="ending [^"]*"><g [^>]*class="voltaBracket"')
_BLANKS = re.compile(r"[\s_\u203f\ue551]+")
"""What words are compared without: blanks, and the arcs that the engraver draws for a low line."""
_DYNAMICS = str.maketrans("\ue520\ue521\ue522\ue523\ue524\ue525\ue526", "pmfrszn")
"""SMuFL's letters of dynamics, which the engraver sets into words too."""
_PICTOGRAMS = {"mute", "eyeglasses", "pictogram", "symbol"}


@dataclass(slots=True)
class _DrawnBar:
    """What is drawn in one printed bar."""

    counts: Counter[str] = field(default_factory=Counter)
    texts: str = ""
    tempi: str = ""
    stickings: Counter[str] = field(default_factory=Counter)
    names: set[str] = field(default_factory=set)
    staves: set[str] = field(default_factory=set)
    rests_joined: bool = False
    shaped: set[str] = field(default_factory=set)
    in_bracket: bool = False
    is_repeated: bool = False


def unprinted_signs(
    signs: Sequence[SourceSign], bars: Sequence[PrintedBar], systems: Sequence[EngravedSystem]
) -> tuple[SourceSign, ...]:
    """The signs of the source that are not on the pages.

    Args:
        signs: of the source.
        bars: every printed bar.
        systems: the engraver's drawing of them.
    """
    bracketed = {name for system in systems for name in _BRACKETED.findall(system.svg)}
    drawn = [_bar(measure) for system in systems for measure in system.measures]
    for printed, bar in zip(bars, drawn, strict=True):
        ending = printed.measure.getparent()
        bar.counts["arpeg"] += _joined_arpeggios(printed.measure) if bar.counts["arpeg"] else 0
        bar.in_bracket = ending is not None and ending.get(XML_ID) in bracketed
    proof = _Proof(drawn, [bar.measure for bar in bars])
    printed_in = {index: n for n, bar in enumerate(bars) for index in range(bar.first, bar.last + 1)}
    return tuple(sign for sign in signs if not proof.has(sign, printed_in.get(sign.bar, -1)))


def _joined_arpeggios(measure: etree._Element) -> int:
    """How many signs of the source a bar's arpeggios stand for beyond their number: one goes through several staves."""
    arpeggios = (each for each in measure.iterchildren(MEI + "arpeg") if each.get("type") != JOINED)
    return sum(len((arpeggio.get("plist") or "").split()) - 1 for arpeggio in arpeggios)


class _Proof:
    """The drawn bars; signs that are counted are ticked off one by one."""

    def __init__(self, drawn: Sequence[_DrawnBar], measures: Sequence[etree._Element]) -> None:
        self._drawn, self._measures = drawn, measures
        self._ticked: dict[int, Counter[str]] = {}
        self._hidden: dict[int, set[str]] = {}

    def has(self, sign: SourceSign, place: int) -> bool:
        """Whether a sign is drawn in the printed bar at this place."""
        if not 0 <= place < len(self._drawn):
            return False
        bar = self._drawn[place]
        if (sign.note and bar.is_repeated) or (sign.kind == "key" and sign.text == "0"):
            return True  # a sign that says "as the bar before"; a key of no sharps and flats
        match sign.kind:
            case "note":
                return sign.note in bar.names
            case "rest":
                # A staff that only rests is left out of its system, bars that only rest become one.
                return sign.note in bar.names or bar.rests_joined or sign.note in self._hidden_rests(place)
            case "notehead":
                return sign.note in bar.shaped
            case "damp mark":
                return DAMP in bar.texts or DAMP_ALL in bar.texts
            case "ending":
                return bar.in_bracket
            case "repeat":
                # A line that ends one repeat and begins the next belongs to the bar before it.
                return any(near.counts["repeat"] for near in self._drawn[max(0, place - 1) : place + 2])
            case "sticking":
                bar.stickings[sign.text] -= 1
                return bar.stickings[sign.text] >= 0
        if sign.kind in _CLASSES:
            return self._tick(sign.kind, place)
        if sign.kind in _PICTOGRAMS:
            return bar.counts["dir"] > 0
        text = _BLANKS.sub("", sign.text)
        # A tempo that several staves of a player say is printed once.
        return bool(text) and (text in bar.tempi or bar.texts.count(text) >= self._told(text, place))

    def _told(self, text: str, place: int) -> int:
        """How often the source says these words in a printed bar, as far as its signs have been asked for."""
        said = self._ticked.setdefault(place, Counter())
        said[f'"{text}'] += 1
        return said[f'"{text}']

    def _hidden_rests(self, place: int) -> set[str]:
        """The rests of a printed bar whose staves its system does not show."""
        if place not in self._hidden:
            staves = self._measures[place].iterchildren(MEI + "staff")
            hidden = (staff for staff in staves if staff.get(XML_ID) not in self._drawn[place].staves)
            rests = (rest for staff in hidden for rest in staff.iter(MEI + "rest", MEI + "mRest"))
            self._hidden[place] = {rest.get(XML_ID) or "" for rest in rests}
        return self._hidden[place]

    def _tick(self, kind: str, place: int) -> bool:
        places = (place - 1, place) if place and kind in _AHEAD else (place,)
        ticked = self._ticked.setdefault(place, Counter())
        names = _CLASSES[kind]
        ticked[names[0]] += 1
        return sum(self._drawn[near].counts[name] for near in places for name in names) >= ticked[names[0]]


def _bar(measure: etree._Element) -> _DrawnBar:
    bar = _DrawnBar()
    texts: list[str] = []
    for group in measure.iter(SVG + "g"):
        names = (group.get("class") or "").split(" ")
        if names[0] in _READ and len(group):
            _take(group, names, bar, texts)
    bar.texts = _BLANKS.sub("", "".join(texts))
    return bar


def _take(group: etree._Element, names: Sequence[str], bar: _DrawnBar, texts: list[str]) -> None:
    name = names[0]
    if name in ("note", "rest", "mRest", "chord"):
        bar.names.add(group.get("id") or "")
        if name == "note" and _is_shaped(group):
            bar.shaped.add(group.get("id") or "")
    elif name == "staff":
        bar.staves.add(group.get("id") or "")
    elif name == "multiRest":
        bar.rests_joined = True
    elif name in ("mRpt", "mRpt2", "multiRpt", "beatRpt"):
        bar.is_repeated = True
    elif name == "barLine":
        bar.counts["repeat"] += any(_HEAD.match(sign.get(HREF) or "") for sign in group.iterchildren(SVG + "use"))
    elif name == "trill":
        codes = [(sign.get(HREF) or "")[1:4] for sign in group.iterchildren(SVG + "use")]
        bar.counts["trill"] += any(code != _WAVE for code in codes)
        bar.counts[_WAVY] += _WAVE in codes
    elif name in ("tie", "lv"):
        # Of a tie that ends nowhere an open one is made.
        bar.counts["tie" if OPEN in names else name] += 1
    elif name == "fing":
        bar.stickings[_text(group).strip()] += 1
    if name in _COUNTED:
        bar.counts[name] += len(group) if name == "artic" else 1
    if name in _WORDS:
        texts.append(_text(group))
        bar.tempi += _BLANKS.sub("", texts[-1]) if name == "tempo" else ""
        bar.counts["dir"] += name == "dir"
        bar.counts["dashes"] += any(line.get("class") == OWN_DASH for line in group.iterchildren(SVG + "rect"))


def _is_shaped(note: etree._Element) -> bool:
    for sign in _signs(note):
        if sign.get("class") == OWN_HEAD:
            return True
        head = _HEAD.match(sign.get(HREF) or "")
        if head and head[1] not in _ORDINARY:
            return True
    return False


def _signs(note: etree._Element) -> Iterator[etree._Element]:
    for group in note:
        if group.get("class") == "notehead":
            yield from group


def _text(group: etree._Element) -> str:
    return "".join(map(str, group.itertext())).replace(QUOTE, '"').translate(_DYNAMICS)
