"""What the part list says of each part: names, and the instruments its notes refer to.

Source: MusicXML 4.0, part-list, score-part, score-instrument, midi-instrument.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from score.reading.xml_cursor import Element, number

_LONGEST_SAID = 5
"""Letters of "1024a" (common practice, no source): nobody calls a bar by a longer label."""
_NUMBERS = re.compile(r"(?:\d{1,2}|[IVX]{1,4})(?:[\s.,/&+\u2013-]*(?:\d{1,2}|[IVX]{1,4}))*\.?")
_FILLER = re.compile(r"MusicXML Part|(?:midi|track|instrument|unnamed|untitled)[ _#-]*\d*", re.IGNORECASE)
"""What exporters write where a part has no name; no page prints it."""
# Where an exporter left a place of its own open: "Hi-Hat%g Closed".
_LEFT_OPEN = re.compile(r"%[A-Za-z](?![A-Za-z])")
_LAST_NUMBER = re.compile(r"0*(\d{1,5}[a-z]?)$")


class ListedInstrument(NamedTuple):
    """One `<score-instrument>` of a part.

    Attributes:
        id: what notes call it.
        name: as stored in the score, "" when there is none.
        sound: standard sound id, "" when there is none.
        midi_unpitched: General MIDI percussion key from 0 (MusicXML counts from 1), or None.
        midi_program: General MIDI program from 0, or None.
    """

    id: str
    name: str
    sound: str = ""
    midi_unpitched: int | None = None
    midi_program: int | None = None


@dataclass(frozen=True, slots=True)
class PartHead:
    """One part as the part list describes it.

    Attributes:
        index: position in the score, from 0.
        id: MusicXML id.
        name: printed name on one line, "" when there is none.
        short: printed abbreviation, "" when there is none.
        instruments: by id, in the order of the list.
        groups: names of the brackets around it in the score, outermost first.
    """

    index: int
    id: str
    name: str
    short: str
    instruments: dict[str, ListedInstrument] = field(default_factory=dict)
    groups: tuple[str, ...] = ()

    @property
    def called(self) -> str:
        """How messages call the part: its name, else its position."""
        return self.name or f"part {self.index + 1}"


def part_heads(root: Element) -> list[PartHead]:
    """One head a `<part>`, in score order, from a score whose part list is complete."""
    listed = {item.get("id"): item for item in root.iterfind("part-list/score-part")}
    groups = _groups(root)
    heads = [_head(index, part.get("id", ""), listed) for index, part in enumerate(root.iterfind("part"))]
    return [_in_group(head, groups.get(head.id, ())) for head in heads]


def bar_number(measure: Element, index: int) -> str:
    """What is printed over a bar, as a player can say it; "" where nothing is.

    Exporters write keys of their own programs there ("INDEX0_MOVEMENT1_MEASURE12"): the number such a key ends with is
    meant, or else its position. MusicXML 4.0: `text` is what is printed where that differs from `number`.
    """
    stated = (measure.get("text") or measure.get("number") or "").strip()
    if len(stated) <= _LONGEST_SAID:
        return stated
    digits = _LAST_NUMBER.search(stated)
    return digits.group(1) if digits else str(index + 1)


def bar_called(measure: Element, index: int) -> str:
    """How messages call a bar: its printed number, or its position where it has none."""
    return bar_number(measure, index) or f"({index + 1})"


def bar_labels(part: Element) -> tuple[str, ...]:
    """How messages call the bars of a part."""
    return tuple(bar_called(measure, index) for index, measure in enumerate(part.iterchildren("measure")))


def _in_group(head: PartHead, groups: tuple[str, ...]) -> PartHead:
    """The head with its brackets; a part called by numbers alone has its bracket's name before them."""
    if groups and _NUMBERS.fullmatch(head.name):
        return replace(head, groups=groups, name=f"{groups[-1]} {head.name}", short="")
    return replace(head, groups=groups)


def _groups(root: Element) -> dict[str, tuple[str, ...]]:
    """Names of the open part groups at each listed part, by part id."""
    open_groups: dict[str, str] = {}
    groups: dict[str, tuple[str, ...]] = {}
    for item in root.iterfind("part-list/*"):
        if item.tag == "part-group":
            number_, name = item.get("number", "1"), _name(item, "group-name")
            open_groups.pop(number_, None)
            if item.get("type") == "start":
                open_groups[number_] = name
        elif item.tag == "score-part":
            groups[item.get("id", "")] = tuple(name for name in open_groups.values() if name)
    return groups


def _head(index: int, part: str, entries: Mapping[str | None, Element]) -> PartHead:
    listed = entries.get(part)
    if listed is None:
        return PartHead(index, part, "", short="")
    return PartHead(
        index,
        part,
        _name(listed, "part-name"),
        short=_name(listed, "part-abbreviation"),
        instruments=_listed_instruments(listed),
    )


def _name(listed: Element, tag: str) -> str:
    """The printed form wins over the plain one, which programs also use as a key."""
    shown = listed.find(f"{tag}-display")
    if shown is not None and shown.get("print-object") != "no":
        text = "".join(_display_text(item) for item in shown.iterchildren("*"))
        if text.strip():
            return _one_line(text)
    return _one_line(listed.findtext(tag, ""))


def _display_text(item: Element) -> str:
    if item.tag == "accidental-text":
        return {"flat": "\u266d", "sharp": "\u266f", "natural": "\u266e"}.get(item.text or "", "")
    return item.text or ""


def _listed_instruments(listed: Element) -> dict[str, ListedInstrument]:
    instruments: dict[str, ListedInstrument] = {}
    for item in listed.iterfind("score-instrument"):
        midi = next((m for m in listed.iterfind("midi-instrument") if m.get("id") == item.get("id")), None)
        instruments[item.get("id", "")] = ListedInstrument(
            item.get("id", ""),
            _one_line(item.findtext("instrument-name", "")),
            _one_line(item.findtext("instrument-sound", "")),
            midi_unpitched=midi_number(midi, "midi-unpitched"),
            midi_program=midi_number(midi, "midi-program"),
        )
    return instruments


def midi_number(midi: Element | None, tag: str) -> int | None:
    """A MIDI number counted from 0, from an element that counts from 1; None when it is none."""
    value = None if midi is None else number(midi.findtext(tag))
    return int(value) - 1 if value is not None and 1 <= value <= 128 else None


def _one_line(text: str) -> str:
    line = " ".join(_LEFT_OPEN.sub("", text).split())
    return "" if _FILLER.fullmatch(line) else line
