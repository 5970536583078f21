"""Every sign that says where to go next: repeats, endings, segno, coda, Fine, D.C., D.S., in any part.

Signs stand in one part or another and are given as barlines, symbols, words or `<sound>` attributes
(MusicXML 4.0: repeat, ending, segno, coda, sound). The union over all parts holds for everyone.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise

from score.reading.xml_cursor import Element, Placed, walk_part

_SEGNO, _CODA = "\U0001d10b", "\U0001d10c"
_TO_CODA = re.compile(r"^(?:to|al|zur|a la|alla)\s+(?:the\s+)?coda\b", re.I)
_JUMP = re.compile(
    r"\b(?:d\.?\s?c\.?|da\s?capo)(?=\s|$|[.,])|\b(?:d\.?\s?s\.?|dal\s?segno)(?=\s|$|[.,\U0001d10b])", re.I
)
_AL_FINE = re.compile(r"\bal\s+fine\b", re.I)
_AL_CODA = re.compile(r"\b(?:al|e poi(?: la)?)\s+coda\b", re.I)
_FINE = re.compile(r"^fine\.?$", re.I)
_TIMES = re.compile(r"\b(\d{1,2})\s?(?:x|×|times|mal|fois|volte)(?=\W|$)", re.I)
_DOUBLE = ("light-light", "light-heavy", "heavy-heavy")
_ENDING_NUMBER = re.compile(r"\d{1,3}")
LARGEST_TIMES = 64


@dataclass(slots=True)
class BarSigns:
    """The signs of one bar, gathered over all parts.

    Attributes:
        forward: a repeat begins here.
        forward_inside: it begins inside the bar, not at its start.
        times: how often the passage that ends here is played; 0 when none ends.
        backward_inside: it ends inside the bar.
        endings: numbers of the ending brackets that cover the bar.
        ending_starts: a bracket begins here.
        segnos, codas: names of the targets at this bar.
        to_coda: names of the codas departed for at this bar's end.
        fine: the end, after a jump.
        jump: "D.C." or "D.S.", "" for none.
        segno: name of the segno a D.S. goes to.
        al: "fine", "coda" or "".
        double: a double or final barline ends the bar.
        jump_first: the jump stands at the first beat.
        jump_moved: it stands at the first beat of the next bar, after this bar's double barline.
    """

    forward: bool = False
    forward_inside: bool = False
    times: int = 0
    backward_inside: bool = False
    endings: set[int] = field(default_factory=set)
    ending_starts: bool = False
    segnos: set[str] = field(default_factory=set)
    codas: set[str] = field(default_factory=set)
    to_coda: set[str] = field(default_factory=set)
    fine: bool = False
    jump: str = ""
    segno: str = ""
    al: str = ""
    double: bool = False
    jump_first: bool = False
    jump_moved: bool = False

    @property
    def words(self) -> tuple[str, ...]:
        """The jumps and their targets in trade words."""
        jump = f"{self.jump} al {self.al.title()}" if self.jump and self.al else self.jump
        named = (
            (bool(self.segnos), "segno"),
            (bool(self.codas), "coda"),
            (bool(self.to_coda), "to Coda"),
            (self.fine, "Fine"),
            (bool(jump), jump),
        )
        return tuple(word for holds, word in named if holds)


def read_roadmap(root: Element, lengths: list[Fraction] | tuple[Fraction, ...]) -> list[BarSigns]:
    """The signs of every bar of a partwise score."""
    signs = [BarSigns() for _ in lengths]
    loose_codas: list[int] = []
    for part in root.iterchildren("part"):
        brackets = _Brackets(signs)
        for bar, placed in enumerate(walk_part(part)):
            for item in placed:
                if item.element.tag == "barline":
                    _barline(item, signs, bar, lengths[bar])
                    brackets.see(item.element, bar)
                elif item.element.tag in ("direction", "sound"):
                    _direction(item, signs, bar, lengths[bar], loose_codas)
            brackets.end_bar(bar)
        brackets.close()
    _place_loose_codas(signs, sorted(set(loose_codas)))
    _move_late_jumps(signs)
    return signs


def _barline(item: Placed, rows: list[BarSigns], bar: int, length: Fraction) -> None:
    signs = rows[bar]
    for repeat in item.element.iterfind("repeat"):
        inside = item.element.get("location") == "middle" or 0 < item.at < length
        if repeat.get("direction") == "forward":
            # Some exporters put the sign on the right barline of the bar before.
            late = item.element.get("location") == "right" and not inside and bar + 1 < len(rows)
            begun = rows[bar + 1] if late else signs
            begun.forward = True
            begun.forward_inside |= inside
        elif repeat.get("direction") == "backward":
            stated = repeat.get("times", "")
            times = int(stated) if stated.isdecimal() and len(stated) < 4 else 2
            signs.times = max(signs.times, min(max(times, 1), LARGEST_TIMES))
            signs.backward_inside |= inside
    style, location = (item.element.findtext("bar-style") or "").strip(), item.element.get("location", "right")
    if style in _DOUBLE and location != "middle":
        rows[bar if location == "right" else max(0, bar - 1)].double = True
    _targets(item.element, signs, signs)


def _targets(element: Element, here: BarSigns, sounding: BarSigns) -> None:
    """Segno and coda signs and attributes that stand on a barline."""
    for kind, names in (("segno", here.segnos), ("coda", here.codas)):
        if element.find(kind) is not None or element.get(kind):
            names.add(element.get(kind) or "")


class _Brackets:
    """Ending brackets of one part: from their start to their stop, or to the repeat sign that closes them."""

    def __init__(self, signs: list[BarSigns]) -> None:
        self.signs = signs
        self.open: set[int] | None = None
        self.start = 0
        self.stopping = False

    def see(self, barline: Element, bar: int) -> None:
        for ending in barline.iterfind("ending"):
            if ending.get("type") == "start":
                self._begin(ending, bar)
            elif self.open is not None:
                self.stopping = True
        if self.open is not None and any(r.get("direction") == "backward" for r in barline.iterfind("repeat")):
            # An exporter may forget the stop; the repeat sign ends its bracket all the same.
            self.stopping = True

    def end_bar(self, bar: int) -> None:
        if self.open is not None:
            self.signs[bar].endings |= self.open
        if self.stopping:
            self.open, self.stopping = None, False

    def close(self) -> None:
        if self.open is not None:
            # Never stopped: only its first bar is sure to belong to it.
            for signs in self.signs[self.start + 1 :]:
                signs.endings -= self.open

    def _begin(self, ending: Element, bar: int) -> None:
        if self.open is not None:
            for signs in self.signs[bar:]:
                signs.endings -= self.open
        stated = ending.get("number", "") or (ending.text or "")
        self.open = {int(text) for text in _ENDING_NUMBER.findall(stated)} or {1}
        self.start, self.stopping = bar, False
        self.signs[bar].ending_starts = True


def _direction(item: Placed, signs: list[BarSigns], bar: int, length: Fraction, loose_codas: list[int]) -> None:
    here = signs[bar]
    # A target printed at the very end of a bar belongs to the next one.
    at_end = item.shown_at >= length and bar + 1 < len(signs)
    target = signs[bar + 1] if at_end else here
    words = " ".join(text for text in _texts(item.element) if text)
    departs = bool(_TO_CODA.search(words)) or bool(_JUMP.search(words))
    if item.element.find("direction-type/segno") is not None and not _JUMP.search(words):
        target.segnos.add("")
    if item.element.find("direction-type/coda") is not None and not departs:
        loose_codas.append(bar + 1 if at_end else bar)
    _words(words, here, target)
    here.jump_first |= bool(_JUMP.search(words)) and item.shown_at == 0
    sounds = [item.element] if item.element.tag == "sound" else item.element.findall("sound")
    for sound in sounds:
        _sound(sound, here, target)


def _texts(direction: Element) -> Iterator[str]:
    for child in direction.iterfind("direction-type/*"):
        if child.tag in ("words", "symbol"):
            yield " ".join((child.text or "").split())


def _words(words: str, here: BarSigns, target: BarSigns) -> None:
    jump = _JUMP.search(words)
    if jump:
        here.jump = "D.C." if "c" in jump.group().casefold() else "D.S."
        here.al = "fine" if _AL_FINE.search(words) else "coda" if _AL_CODA.search(words) else here.al
    elif _TO_CODA.search(words):
        here.to_coda.add("")
    elif _FINE.match(words):
        here.fine = True
    elif words == _SEGNO:
        target.segnos.add("")
    elif words in (_CODA, "Coda", "CODA", f"{_CODA} Coda"):
        target.codas.add("")
    times = _TIMES.search(words)
    if times and here.times:
        here.times = min(int(times.group(1)) or 1, LARGEST_TIMES)


def _sound(sound: Element, here: BarSigns, target: BarSigns) -> None:
    if sound.get("dacapo") == "yes":
        here.jump = here.jump or "D.C."
    if sound.get("dalsegno"):
        here.jump = here.jump or "D.S."
        here.segno = sound.get("dalsegno", "")
    if sound.get("tocoda"):
        here.to_coda.add(sound.get("tocoda", ""))
    if sound.get("segno"):
        target.segnos.add(sound.get("segno", ""))
    if sound.get("coda"):
        target.codas.add(sound.get("coda", ""))
    here.fine |= bool(sound.get("fine"))
    target.forward |= sound.get("forward-repeat") == "yes"


def _move_late_jumps(signs: list[BarSigns]) -> None:
    """A jump printed right after a double barline is taken at that barline, unless its own bar ends with one too.

    Common practice, no source: programs tie words to the next note, and what follows the barline is the coda.
    """
    for before, here in pairwise(signs):
        if here.jump and here.jump_first and before.double and not before.jump and not here.double:
            before.jump, before.segno, before.al, before.jump_moved = here.jump, here.segno, here.al, True
            here.jump, here.segno, here.al = "", "", ""


def _place_loose_codas(signs: list[BarSigns], bars: list[int]) -> None:
    """Of coda signs without words, the last is the target and those before it are departures."""
    departs = any(sign.to_coda for sign in signs)
    targets = any(sign.codas for sign in signs)
    for count, bar in enumerate(bars):
        is_last = count == len(bars) - 1
        if (is_last and not targets) or departs or len(bars) == 1:
            signs[bar].codas.add("")
        else:
            signs[bar].to_coda.add("")
