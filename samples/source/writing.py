"""A sample score as a MusicXML 4.0 document."""

from collections.abc import Sequence
from math import lcm

from engraving import Accidentals
from layout import BarPlan, Encoding, Part, Score, TempoMark
from lxml import etree
from notation import Event, Item, close_before_barlines, read_bar, tie_over
from xml_notes import VoiceWriter, add, add_clef

_DOCTYPE = (
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN"'
    ' "http://www.musicxml.org/dtds/partwise.dtd">'
)


def score_bytes(score: Score) -> bytes:
    """The whole document; the same score gives the same bytes on every machine."""
    root = etree.Element("score-partwise", version="4.0")
    _head(root, score)
    _part_list(root, score.parts)
    for number, part in enumerate(score.parts, start=1):
        _PartWriter(part, f"P{number}", score.bars, top=number == 1).write(root)
    etree.indent(root, "  ")
    document: bytes = etree.tostring(root, xml_declaration=True, encoding="UTF-8", doctype=_DOCTYPE)
    return document + b"\n"


def _head(root: etree._Element, score: Score) -> None:
    if score.movement:
        add(root, "movement-title", score.title)
    else:
        add(add(root, "work"), "work-title", score.title)
    identification = add(root, "identification")
    add(identification, "rights", "CC0; invented for Inbreath")
    encoding = add(identification, "encoding")
    add(encoding, "software", "Inbreath samples")
    for element in ("accidental", "beam", "stem"):
        add(encoding, "supports", element=element, type="yes")


def _part_list(root: etree._Element, parts: Sequence[Part]) -> None:
    part_list = add(root, "part-list")
    channel = 0
    for number, part in enumerate(parts, start=1):
        score_part = add(part_list, "score-part", id=f"P{number}")
        add(score_part, "part-name", part.name)
        add(score_part, "part-abbreviation", part.short)
        if part.encoding is Encoding.IDS:
            channel = _instruments(score_part, part, f"P{number}", channel)


def _instruments(score_part: etree._Element, part: Part, part_id: str, channel: int) -> int:
    for number, instrument in enumerate(part.instruments, start=1):
        element = add(score_part, "score-instrument", id=f"{part_id}-I{number}")
        add(element, "instrument-name", instrument.name)
        add(element, "instrument-sound", instrument.sound)
    for number, instrument in enumerate(part.instruments, start=1):
        midi = add(score_part, "midi-instrument", id=f"{part_id}-I{number}")
        if instrument.unpitched:
            add(midi, "midi-channel", 10)
            add(midi, "midi-program", 1)
            add(midi, "midi-unpitched", instrument.unpitched)
        else:
            channel += 1
            add(midi, "midi-channel", channel)
            add(midi, "midi-program", instrument.program)
    return channel


class _PartWriter:
    """Writes the bars of one part."""

    def __init__(self, part: Part, part_id: str, bars: Sequence[BarPlan], top: bool) -> None:
        self.part, self.part_id, self.bars, self.top = part, part_id, bars, top
        self.voices = {voice: self._read(voice) for voice in sorted(part.music)}
        self.divisions = self._divisions()
        self.signs = [Accidentals() for _ in part.clefs]

    def _read(self, voice: tuple[int, str]) -> list[list[Item]]:
        texts = self.part.music[voice]
        if len(texts) != len(self.bars):
            raise ValueError(f"{self.part.name}, voice {voice}: {len(texts)} bars, not {len(self.bars)}")
        items = []
        for number, (text, plan) in enumerate(zip(texts, self.bars, strict=True), start=1):
            try:
                items.append(read_bar(text, plan.length))
            except ValueError as error:
                raise ValueError(f"{self.part.name}, voice {voice}, bar {number}: {error}") from error
        return tie_over(close_before_barlines(items))

    def _divisions(self) -> int:
        """The fewest parts of a quarter in which every length of this part is whole."""
        lengths = [
            item.length for bars in self.voices.values() for bar in bars for item in bar if isinstance(item, Event)
        ]
        return lcm(*(length.denominator for length in [*lengths, *(bar.length for bar in self.bars)]))

    def write(self, root: etree._Element) -> None:
        """Append the part to the document."""
        element = add(root, "part", id=self.part_id)
        writers = {voice: VoiceWriter(self.part, self.part_id, voice, self.divisions) for voice in self.voices}
        for index, plan in enumerate(self.bars):
            self._measure(element, index, plan, writers)
        for writer in writers.values():
            if writer.hairpin:
                raise ValueError(f"{self.part.name}: a hairpin is never closed")

    def _measure(
        self, element: etree._Element, index: int, plan: BarPlan, writers: dict[tuple[int, str], VoiceWriter]
    ) -> None:
        measure = add(element, "measure", number=index + 1)
        _left_barline(measure, plan)
        self._attributes(measure, plan, self.bars[index - 1] if index else None)
        if self.top:
            _top_directions(measure, plan)
        for signs in self.signs:
            signs.new_bar(plan.fifths)
        for number, (voice, bars) in enumerate(self.voices.items()):
            if number:
                add(add(measure, "backup"), "duration", int(plan.length * self.divisions))
            writers[voice].write_bar(measure, bars[index], plan, self.signs[voice[0] - 1])
        _right_barline(measure, plan, last=index == len(self.bars) - 1)

    def _attributes(self, measure: etree._Element, plan: BarPlan, before: BarPlan | None) -> None:
        key = self.part.clefs != ("percussion",) and (before is None or plan.fifths != before.fifths)
        meter = before is None or plan.meter != before.meter
        if not (key or meter or before is None):
            return
        attributes = add(measure, "attributes")
        if before is None:
            add(attributes, "divisions", self.divisions)
        if key:
            add(add(attributes, "key"), "fifths", plan.fifths)
        if meter:
            time = add(attributes, "time")
            add(time, "beats", plan.meter.split("/")[0])
            add(time, "beat-type", plan.meter.split("/")[1])
        if before is None:
            self._staves(attributes)

    def _staves(self, attributes: etree._Element) -> None:
        many = len(self.part.clefs) > 1
        if many:
            add(attributes, "staves", len(self.part.clefs))
        for number, name in enumerate(self.part.clefs, start=1):
            add_clef(attributes, name, number if many else 0)
        if self.part.lines != 5:
            add(add(attributes, "staff-details"), "staff-lines", self.part.lines)


def _top_directions(measure: etree._Element, plan: BarPlan) -> None:
    if plan.rehearsal:
        add(add(_above(measure), "direction-type"), "rehearsal", plan.rehearsal)
    if plan.tempo:
        _tempo(measure, plan.tempo)
    if plan.words:
        add(add(_above(measure), "direction-type"), "words", plan.words)
    if plan.slowing == "start":
        direction = _above(measure)
        add(add(direction, "direction-type"), "words", "rit.", font_style="italic")
        add(add(direction, "direction-type"), "dashes", type="start", number=1)
    elif plan.slowing == "stop":
        add(add(_above(measure), "direction-type"), "dashes", type="stop", number=1)


def _above(measure: etree._Element) -> etree._Element:
    return add(measure, "direction", placement="above")


def _tempo(measure: etree._Element, tempo: TempoMark) -> None:
    direction = _above(measure)
    add(add(direction, "direction-type"), "words", tempo.words, font_weight="bold")
    metronome = add(add(direction, "direction-type"), "metronome", parentheses="no")
    add(metronome, "beat-unit", tempo.unit)
    add(metronome, "per-minute", tempo.per_minute)
    add(direction, "sound", tempo=f"{tempo.playback:g}")


def _left_barline(measure: etree._Element, plan: BarPlan) -> None:
    if plan.repeat != "forward" and "start" not in plan.ending_edges:
        return
    barline = add(measure, "barline", location="left")
    if plan.repeat == "forward":
        add(barline, "bar-style", "heavy-light")
    if "start" in plan.ending_edges:
        add(barline, "ending", number=plan.ending, type="start")
    if plan.repeat == "forward":
        add(barline, "repeat", direction="forward")


def _right_barline(measure: etree._Element, plan: BarPlan, last: bool) -> None:
    style = "light-heavy" if last or plan.repeat == "backward" else plan.barline
    edge = next((edge for edge in plan.ending_edges if edge != "start"), "")
    if not (style or edge):
        return
    barline = add(measure, "barline", location="right")
    if style:
        add(barline, "bar-style", style)
    if edge:
        add(barline, "ending", number=plan.ending, type=edge)
    if plan.repeat == "backward":
        add(barline, "repeat", direction="backward")
