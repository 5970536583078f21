"""One part from its bars to a flat list of written notes and rests, each exactly placed."""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from score.reading.bar_lengths import whole_bar_rests
from score.reading.note_signs import NoteSigns
from score.reading.part_heads import PartHead, bar_labels
from score.reading.reading_log import WarningLog
from score.reading.repair_notes import part_staves
from score.reading.xml_cursor import Element, Placed, number, walk_part


class WrittenNote(NamedTuple):
    """One `<note>` as it stands on the page.

    Attributes:
        id: position among all notes of the part, from 0.
        element: the note itself.
        signs: what it says.
        bar, at, length: place and length, quarters (length 0 for a grace note).
        staff: from 1.
        voice: the voice's name.
        chord: id of the first note of its chord; its own when it has none.
        grace: it takes no time.
        transpose: the `<transpose>` in force on its staff, or None.
        clef: sign of the clef in force on its staff ("G", "percussion"), "" when there is none.
        lines: number of lines of its staff.
        whole_bar: a rest for the whole bar.
    """

    id: int
    element: Element
    signs: NoteSigns
    bar: int
    at: Fraction
    length: Fraction
    staff: int
    voice: str
    chord: int
    grace: bool = False
    transpose: Element | None = None
    clef: str = ""
    lines: int = 5
    whole_bar: bool = False

    def marks(self, path: str) -> list[Element]:
        """Every element at a path inside the note's notations ("ornaments/tremolo")."""
        if not self.signs.notations:
            return []
        return [mark for notations in self.signs.notations for mark in notations.iterfind(path)]


class PartScan(NamedTuple):
    """One part, walked through.

    Attributes:
        head: what the part list says.
        labels: how messages call its bars.
        bars: every child of every bar with its place, in document order.
        notes: notes to be played, in document order: no rests, no printed cues, nothing hidden.
        rests: printed rests.
        lengths: of all bars, quarters.
        staves: number of staves.
    """

    head: PartHead
    labels: tuple[str, ...]
    bars: tuple[tuple[Placed, ...], ...]
    notes: tuple[WrittenNote, ...]
    rests: tuple[WrittenNote, ...]
    lengths: tuple[Fraction, ...]
    staves: int = 1


def scan_part(part: Element, head: PartHead, lengths: Sequence[Fraction], log: WarningLog) -> PartScan:
    """Walk one part of a repaired score.

    Args:
        part: the `<part>`.
        head: its names.
        lengths: notated length of every bar of the score, quarters.
        log: notes hidden notes and printed cues that were left out.
    """
    labels = bar_labels(part)
    scanner = _Scanner(head, labels, log)
    bars = tuple(tuple(placed) for placed in walk_part(part))
    for index, placed in enumerate(bars):
        scanner.bar(index, placed, lengths[index])
    return PartScan(
        head,
        labels,
        bars,
        notes=tuple(scanner.notes),
        rests=tuple(scanner.rests),
        lengths=tuple(lengths),
        staves=part_staves(part),
    )


class _Scanner:
    def __init__(self, head: PartHead, labels: Sequence[str], log: WarningLog) -> None:
        self.head, self.labels, self.log = head, labels, log
        self.notes: list[WrittenNote] = []
        self.rests: list[WrittenNote] = []
        self.count = 0
        self.clefs: dict[int, str] = {}
        self.lines: dict[int, int] = {}
        self.cue_staves: set[int] = set()
        self.transposes: dict[int, Element | None] = {}

    def bar(self, index: int, placed: Sequence[Placed], length: Fraction) -> None:
        whole = whole_bar_rests(placed)
        notes: list[WrittenNote] = []
        for item in placed:
            if item.element.tag == "attributes":
                self._attributes(item.element)
            elif item.signs is not None:
                note = self._note(index, item, item.signs, notes[-1] if notes else None)
                whole_rest = item in whole
                notes.append(note._replace(at=Fraction(0), length=length, whole_bar=True) if whole_rest else note)
        for note in _with_after_graces(notes):
            self._keep(note)

    def _attributes(self, element: Element) -> None:
        for clef in element.iterfind("clef"):
            self.clefs[_whole(clef.get("number"), 1)] = (clef.findtext("sign") or "").strip()
        for details in element.iterfind("staff-details"):
            if details.find("staff-lines") is not None:
                self.lines[_whole(details.get("number"), 1)] = _whole(details.findtext("staff-lines"), 5)
            if details.findtext("staff-type") == "cue":
                self.cue_staves.add(_whole(details.get("number"), 1))
        for transpose in element.iterfind("transpose"):
            staff = transpose.get("number")
            self.transposes = {} if staff is None else self.transposes
            self.transposes[0 if staff is None else _whole(staff, 1)] = transpose

    def _note(self, bar: int, item: Placed, signs: NoteSigns, before: WrittenNote | None) -> WrittenNote:
        staff = _whole(signs.staff, 1)
        self.count += 1
        chord = before.chord if before is not None and signs.chord else self.count - 1
        return WrittenNote(
            self.count - 1,
            item.element,
            signs,
            bar=bar,
            at=item.at,
            length=item.length,
            staff=staff,
            voice=(signs.voice or "1").strip(),
            chord=chord,
            grace=signs.grace,
            transpose=self.transposes.get(staff, self.transposes.get(0)),
            clef=self.clefs.get(staff, ""),
            lines=self.lines.get(staff, 5),
        )

    def _keep(self, note: WrittenNote) -> None:
        hidden = note.element.get("print-object") == "no"
        if note.signs.foreign_cue or note.staff in self.cue_staves:
            return
        if note.signs.rest:
            if not hidden:
                self.rests.append(note)
        elif hidden:
            self.log.add("hidden notes were left out: they are not printed", self.head.called, self.labels[note.bar])
        else:
            self.notes.append(note)


def _with_after_graces(notes: list[WrittenNote]) -> list[WrittenNote]:
    """Grace notes that close a voice's bar belong to the note before them, not to a bar that is over."""
    last_onset: dict[str, Fraction] = {}
    last_main: dict[str, int] = {}
    for position, note in enumerate(notes):
        if not note.grace:
            last_onset[note.voice], last_main[note.voice] = note.at, position
    return [
        note._replace(at=last_onset[note.voice])
        if note.grace and last_main.get(note.voice, len(notes)) < position
        else note
        for position, note in enumerate(notes)
    ]


def _whole(text: str | None, default: int) -> int:
    value = number(text)
    return int(value) if value is not None and value >= 1 else default
