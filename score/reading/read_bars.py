"""What concerns a bar for everybody: label, length, meter, key, rehearsal mark, barline, repeat signs."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from score.piece import Bar
from score.reading.meters import USUAL, BeamRun, WrittenMeter, grouped, written_meter
from score.reading.part_heads import bar_number
from score.reading.roadmap import BarSigns, read_roadmap
from score.reading.xml_cursor import Element, Placed, number, walk_part


@dataclass(slots=True)
class _BarFacts:
    """What one bar's own elements say, over all parts."""

    label: str = ""
    meter: WrittenMeter | None = None
    key: int | None = None
    marks: dict[str, None] = field(default_factory=dict)
    right: str = "regular"
    left: str = "regular"
    beams: list[BeamRun] = field(default_factory=list)


def read_bars(root: Element, lengths: Sequence[Fraction]) -> tuple[Bar, ...]:
    """Every bar of a partwise score.

    Args:
        root: a repaired `<score-partwise>`.
        lengths: notated length of every bar, quarters.
    """
    facts = [_BarFacts() for _ in lengths]
    for part in root.iterchildren("part"):
        _read_part(part, facts)
    return _bars(facts, lengths, read_roadmap(root, tuple(lengths)))


def _bars(facts: list[_BarFacts], lengths: Sequence[Fraction], roadmap: list[BarSigns]) -> tuple[Bar, ...]:
    bars: list[Bar] = []
    start, meter, key = Fraction(0), USUAL, 0
    for index, (fact, signs) in enumerate(zip(facts, roadmap, strict=True)):
        meter = fact.meter or meter
        key = key if fact.key is None else fact.key
        follower = facts[index + 1].left if index + 1 < len(facts) else "regular"
        bars.append(
            Bar(
                index,
                fact.label,
                start,
                length=lengths[index],
                meter=grouped(meter, fact.beams),
                key=key,
                rehearsal_mark=" ".join(fact.marks),
                barline=fact.right if fact.right != "regular" else follower,
                repeat_start=signs.forward,
                repeat_times=signs.times,
                endings=tuple(sorted(signs.endings)),
                signs=signs.words,
            )
        )
        start += lengths[index]
    return tuple(bars)


def _read_part(part: Element, facts: list[_BarFacts]) -> None:
    shift = 0
    is_drums = False
    for index, (measure, placed) in enumerate(zip(part.iterchildren("measure"), walk_part(part), strict=True)):
        fact = facts[index]
        fact.label = fact.label or bar_number(measure, index)
        for item in placed:
            element = item.element
            if element.tag == "attributes":
                is_drums = _is_drums(element, is_drums)
                shift = _shift(element, shift)
                _attributes(element, fact, shift, is_drums)
            elif element.tag == "barline":
                _barline(element, fact)
            elif element.tag == "direction":
                for mark in element.iterfind("direction-type/rehearsal"):
                    fact.marks.update({" ".join((mark.text or "").split()): None} if (mark.text or "").strip() else {})
        fact.beams += _beams(placed)


def _attributes(element: Element, fact: _BarFacts, shift: int, is_drums: bool) -> None:
    time = element.find("time")
    if time is not None and fact.meter is None:
        fact.meter = written_meter(time)
    fifths = number(element.findtext("key/fifths"))
    if fifths is not None and fact.key is None and not is_drums and abs(fifths) <= 14:
        fact.key = _sounding_key(int(fifths), shift)


def _is_drums(element: Element, before: bool) -> bool:
    sign = element.findtext("clef/sign")
    return before if sign is None else sign.strip() == "percussion"


def _shift(element: Element, before: int) -> int:
    stated = number(element.findtext("transpose/chromatic"))
    return before if stated is None else int(stated)


def _sounding_key(fifths: int, shift: int) -> int:
    """A written key moved by semitones: each is seven fifths, kept within six flats and six sharps."""
    moved = fifths + 7 * (shift % 12) if shift % 12 else fifths
    return moved if not shift % 12 else (moved + 5) % 12 - 5


def _barline(element: Element, fact: _BarFacts) -> None:
    style = (element.findtext("bar-style") or "").strip()
    location = element.get("location", "right")
    if style and style != "regular":
        if location == "right" and fact.right == "regular":
            fact.right = style
        elif location == "left" and style != "heavy-light" and fact.left == "regular":
            fact.left = style


def _beams(placed: list[Placed]) -> list[BeamRun]:
    """The first-level beams of a bar, each voice on its own."""
    starts: dict[tuple[str, str], Fraction] = {}
    beams: list[BeamRun] = []
    for item in placed:
        beam = item.signs.beam if item.signs is not None else None
        if item.signs is None or beam is None:
            continue
        voice = (item.signs.voice or "1", item.signs.staff or "1")
        if beam == "begin":
            starts[voice] = item.at
        elif beam == "end" and voice in starts:
            beams.append(BeamRun(starts.pop(voice), item.at + item.length))
    return beams
