"""Ties, slurs, hairpins, lines and slides that end nowhere or where they begin: the engraver draws none, we do.

Ties and slurs are left open, hairpins and lines go to the end of their bar, slides to the next note.
"""

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from lxml import etree

from score.parts.event_lengths import TICKS, event_lengths
from score.parts.printed_bar import MEI, XML_ID, PrintedBar, tstamp
from score.piece import Bar

OPEN = "open"
"""Type of a tie, a slur, a hairpin or a line that ends nowhere."""
_TIE, _SLUR, _OPEN_TIE, _HAIRPIN, _SLIDE = (MEI + name for name in ("tie", "slur", "lv", "hairpin", "gliss"))
_LINES = (_HAIRPIN, MEI + "octave", MEI + "bracketSpan")
_OF_NOTE, _LONGEST = Fraction(9, 10), Fraction(9, 10)
"""How far an open tie goes: of its note, and at the most, quarters."""


def open_curves(bars: Sequence[PrintedBar], all_bars: Sequence[Bar], staff: int) -> list[int]:
    """Let what has no end reach to the end of its own note, of its bar, or to the next note; a tie becomes an open one.

    Args:
        bars: every measure, one a bar.
        all_bars: the piece's bars.
        staff: number of the player's first staff, for lines of which the import has lost theirs.

    Returns:
        The bars, as indices, in which a tie, a slur, a hairpin or a line without an end begins.
    """
    opened: list[int] = []
    homes = _homes(bars)
    for place, (printed, bar) in enumerate(zip(bars, all_bars, strict=True)):
        for hairpin in printed.measure.iterchildren(*_LINES):
            if hairpin.get("staff") is None and hairpin.get("startid") is None:
                hairpin.set("staff", str(staff))
            if _stretch(hairpin, bar):
                opened.append(bar.index)
        for slide in printed.measure.iterchildren(_SLIDE):
            _end_at_next(slide, printed.measure)
        for tie in printed.measure.iterchildren(_TIE):
            _end_in_time(tie, homes, place)
        endless = [curve for curve in printed.measure.iterchildren(_TIE, _SLUR) if _is_endless(curve)]
        places = _places(printed.measure) if endless else {}
        for curve in endless:
            name = (curve.get("startid") or "")[1:]
            if name in places:
                _open(curve, *places[name], bar)
                opened.append(bar.index)
    return opened


def _stretch(hairpin: etree._Element, bar: Bar) -> bool:
    """Let a hairpin or a line that ends where it begins go on for a beat, one without an end to the end of its bar.

    Returns:
        Whether it had no end.
    """
    start, (bars, _, end) = hairpin.get("tstamp"), (hairpin.get("tstamp2") or "").partition("m+")
    if start and end and bars == "0" and float(end) <= float(start):
        hairpin.set("tstamp2", f"0m+{float(start) + 1:g}")
    is_endless = bool(start) and not end and hairpin.get("endid") is None
    if is_endless:
        hairpin.set("tstamp2", f"0m+{tstamp(bar.length, bar)}")
        hairpin.set("type", OPEN)
    return is_endless


def _end_at_next(slide: etree._Element, measure: etree._Element) -> None:
    """Let a slide without an end go to the next note of its layer, in its own bar or the one after."""
    start = (slide.get("startid") or "")[1:]
    if not start or slide.get("endid") is not None:
        return
    for layer in measure.iter(MEI + "layer"):
        struck = _struck(layer)
        place = next((number for number, chord in enumerate(struck) if start in chord), -1)
        if place >= 0:
            following = [*struck[place + 1 :], *_struck(_layer_after(layer, measure))]
            if following:
                slide.set("endid", f"#{following[0][0]}")


def _struck(layer: etree._Element | None) -> list[list[str]]:
    """The ids of a layer's notes, those of a chord together."""
    chords: dict[object, list[str]] = {}
    for note in () if layer is None else layer.iter(MEI + "note"):
        holder = note.getparent()
        is_alone = holder is None or holder.tag != MEI + "chord"
        chords.setdefault(note if is_alone else holder, []).append(note.get(XML_ID) or "")
    return list(chords.values())


def _layer_after(layer: etree._Element, measure: etree._Element) -> etree._Element | None:
    """The layer of the same staff and number in the next bar."""
    staff, following = layer.getparent(), measure.getnext()
    if staff is None or following is None:
        return None
    for other in following.iterchildren(MEI + "staff"):
        if other.get("n") == staff.get("n"):
            return next((each for each in other.iter(MEI + "layer") if each.get("n") == layer.get("n")), None)
    return None


def _homes(bars: Sequence[PrintedBar]) -> dict[str, int]:
    """In which of the measures each note stands, by its id."""
    return {note.get(XML_ID) or "": place for place, bar in enumerate(bars) for note in bar.measure.iter(MEI + "note")}


def _end_in_time(tie: etree._Element, homes: Mapping[str, int], place: int) -> None:
    """A tie that ends nowhere is joined by the engraver with any later end on its pitch, bars away: it has no end."""
    end = tie.get("endid")
    if end is not None and homes.get(end[1:], place) > place + 1:
        del tie.attrib["endid"]


def _is_endless(curve: etree._Element) -> bool:
    has_end = curve.get("endid") is not None or curve.get("tstamp2") is not None
    start = curve.get("startid")
    return start is not None and not start.startswith("#cue-") and not has_end


def _open(curve: etree._Element, start: Fraction, length: Fraction, bar: Bar) -> None:
    if curve.tag == _TIE:
        curve.tag = _OPEN_TIE
        length = min(length * _OF_NOTE, _LONGEST)
    curve.set("tstamp2", f"0m+{tstamp(start + length, bar)}")
    curve.set("type", OPEN)


def _places(measure: etree._Element) -> dict[str, tuple[Fraction, Fraction]]:
    """Where the notes of a measure begin and how long they are, quarters, by their ids."""
    return {name: place for layer in measure.iter(MEI + "layer") for name, place in _places_in(layer)}


def _places_in(layer: etree._Element) -> Iterator[tuple[str, tuple[Fraction, Fraction]]]:
    lengths = dict(event_lengths(layer, 1, 1))
    at, length = 0, 0
    graces: list[str] = []
    for event in layer.iter(MEI + "note", MEI + "chord", MEI + "rest", MEI + "space"):
        name = event.get(XML_ID) or ""
        if event.get("grace") is not None:
            graces.append(name)
            continue
        if event in lengths:
            at, length = at + length, lengths[event]
        # A grace note's curve reaches to the note that it stands before.
        yield from ((grace, (Fraction(at, TICKS), Fraction(0))) for grace in graces)
        graces.clear()
        yield name, (Fraction(at, TICKS), Fraction(length, TICKS))
