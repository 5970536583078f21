"""Marks at one place: fermatas, caesuras, breaths, words, mallets, damping, changes of instrument."""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from score.piece import Mark, MarkKind
from score.reading.direction_words import is_bare_stick, is_damp, is_sticks, pieces
from score.reading.directions import Direction
from score.reading.note_instruments import Kit
from score.reading.part_scan import PartScan, WrittenNote
from score.reading.pictograms import sticks_sign
from score.reading.xml_cursor import Placed


def part_marks(scan: PartScan, directions: Sequence[Direction], kit: Kit, percussive: bool) -> list[Mark]:
    """Every mark of a part, by place.

    Args:
        scan: the part.
        directions: its directions.
        kit: its instruments; the words and signs that named one become changes of instrument.
        percussive: whether words may speak of mallets and damping.
    """
    marks = [*_of_notes(scan), *_of_barlines(scan), *_of_directions(scan, directions, percussive)]
    for naming in kit.namings:
        marks.append(_mark(scan, MarkKind.INSTRUMENT, naming.bar, naming.at, naming.text, naming.staff))
    in_order = sorted(dict.fromkeys(marks), key=lambda mark: (mark.bar, mark.at, mark.part, mark.staff))
    return list(_without_ways(in_order))


def _without_ways(marks: Sequence[Mark]) -> Iterator[Mark]:
    """A "stick" is a way of striking, as "rim" is, until other mallets have been taken: then it is a change of them."""
    others_taken = False
    for mark in marks:
        if mark.kind is MarkKind.STICKS:
            is_way = is_bare_stick(mark.text)
            if is_way and not others_taken:
                continue
            others_taken = not is_way
        yield mark


def damp_places(scan: PartScan, directions: Sequence[Direction]) -> set[tuple[int, Fraction, int]]:
    """(bar, offset, staff) of every damp sign; staff 0 speaks for all staves."""
    places: set[tuple[int, Fraction, int]] = set()
    for item in directions:
        if item.tag in ("damp", "damp-all"):
            places.add((item.bar, item.at, 0 if item.tag == "damp-all" else item.staff))
        elif item.tag == "words" and is_damp(item.text):
            places.add((item.bar, item.at, item.staff))
    for note in scan.notes:
        if any((mark.text or "").strip() == "damp" for mark in note.marks("technical/handbell")):
            places.add((note.bar, note.at, note.staff))
    return places


def _of_notes(scan: PartScan) -> Iterator[Mark]:
    for note in (*scan.notes, *scan.rests):
        for fermata in note.marks("fermata"):
            text = (fermata.text or "").strip() or "normal"
            yield _mark(scan, MarkKind.FERMATA, note.bar, note.at, text, note.staff)
        for tag, kind in (("caesura", MarkKind.CAESURA), ("breath-mark", MarkKind.BREATH)):
            for mark in note.marks(f"articulations/{tag}"):
                yield _mark(scan, kind, note.bar, _end(scan, note), (mark.text or "").strip(), note.staff)


def _end(scan: PartScan, note: WrittenNote) -> Fraction:
    """A breath and a caesura stand after their note."""
    return min(note.at + note.length, scan.lengths[note.bar])


def _of_barlines(scan: PartScan) -> Iterator[Mark]:
    """A fermata over a barline is a silence between two bars, as a caesura is."""
    for bar, placed in enumerate(scan.bars):
        for item in placed:
            if item.element.tag == "barline" and item.element.find("fermata") is not None:
                yield _mark(scan, MarkKind.CAESURA, bar, _barline_at(scan, bar, item), "fermata over the barline", 1)


def _barline_at(scan: PartScan, bar: int, item: Placed) -> Fraction:
    match item.element.get("location", "right"):
        case "left":
            return Fraction(0)
        case "middle":
            return min(item.at, scan.lengths[bar])
        case _:
            return scan.lengths[bar]


def _of_directions(scan: PartScan, directions: Sequence[Direction], percussive: bool) -> Iterator[Mark]:
    for item in directions:
        match item.tag:
            case "damp" | "damp-all":
                yield _mark(scan, MarkKind.DAMP, item.bar, item.at, item.tag, item.staff)
            case "percussion" if sticks_sign(item.element):
                yield _mark(scan, MarkKind.STICKS, item.bar, item.at, sticks_sign(item.element), item.staff)
            case "words" if item.text:
                yield _mark(scan, MarkKind.WORDS, item.bar, item.at, item.text, item.staff)
                if percussive:
                    yield from _of_words(scan, item)


def _of_words(scan: PartScan, item: Direction) -> Iterator[Mark]:
    for piece in pieces(item.text):
        if is_sticks(piece):
            yield _mark(scan, MarkKind.STICKS, item.bar, item.at, piece, item.staff)
        elif is_damp(piece):
            yield _mark(scan, MarkKind.DAMP, item.bar, item.at, piece, item.staff)


def _mark(scan: PartScan, kind: MarkKind, bar: int, at: Fraction, text: str, staff: int) -> Mark:
    return Mark(kind, bar, at, text=text, part=scan.head.index, staff=staff)
