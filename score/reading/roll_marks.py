"""Which notes are rolled: a tremolo on one note, between two, a wavy line or a trill.

Source: MusicXML 4.0, tremolo, wavy-line, trill-mark; a buzz roll is a tremolo of type "unmeasured".
"""

from typing import NamedTuple

from score.reading.part_scan import PartScan, WrittenNote
from score.reading.reading_log import WarningLog
from score.reading.xml_cursor import Element, number


class Rolls(NamedTuple):
    """The rolls of one part.

    Attributes:
        marks: number of tremolo strokes by id of a rolled chord's first note (0 for a line or trill).
        pairs: id of the second chord of a tremolo between two, by id of the first.
    """

    marks: dict[int, int]
    pairs: dict[int, int]


def part_rolls(scan: PartScan, log: WarningLog) -> Rolls:
    """Every roll of a part; a tremolo or a line that lacks its end is a roll on its first note, with a warning."""
    marks: dict[int, int] = {}
    pairs: dict[int, int] = {}
    open_pairs: dict[tuple[int, str], WrittenNote] = {}
    for note in scan.notes:
        for tremolo in note.marks("ornaments/tremolo"):
            _tremolo(note, tremolo, marks, pairs, open_pairs)
        if _is_trilled(note):
            marks.setdefault(note.chord, 0)
    for note in open_pairs.values():
        what = "a tremolo between two notes has no second note; it was read as a roll"
        log.add(what, scan.head.called, scan.labels[note.bar])
    for note in _under_lines(scan, log):
        marks.setdefault(note.chord, 0)
    return Rolls(marks, pairs)


def _tremolo(
    note: WrittenNote,
    tremolo: Element,
    marks: dict[int, int],
    pairs: dict[int, int],
    open_pairs: dict[tuple[int, str], WrittenNote],
) -> None:
    strokes = number(tremolo.text)
    count = int(strokes) if strokes is not None and 0 <= strokes <= 8 else 3
    voice = (note.staff, note.voice)
    match tremolo.get("type", "single"):
        case "start":
            marks.setdefault(note.chord, count)
            open_pairs[voice] = note
        case "stop":
            first = open_pairs.pop(voice, None) or _other_staff(open_pairs, note)
            if first is not None:
                pairs[first.chord] = note.chord
            else:
                marks.setdefault(note.chord, count)
        case _:
            marks.setdefault(note.chord, count)


def _other_staff(open_pairs: dict[tuple[int, str], WrittenNote], note: WrittenNote) -> WrittenNote | None:
    """A tremolo may go over to the other staff in the same voice."""
    key = next((key for key in open_pairs if key[1] == note.voice), None)
    return None if key is None else open_pairs.pop(key)


def _is_trilled(note: WrittenNote) -> bool:
    for ornaments in note.marks("ornaments"):
        if ornaments.find("trill-mark") is not None:
            return True
        if any("buzzRoll" in item.get("smufl", "") for item in ornaments.iterfind("other-ornament")):
            return True
    return False


def _under_lines(scan: PartScan, log: WarningLog) -> list[WrittenNote]:
    """The notes that wavy lines stand over, from the line's first note to its last in that voice."""
    rolled: list[WrittenNote] = []
    lines: dict[tuple[int, str, str], list[WrittenNote]] = {}
    for note in scan.notes:
        for key, under in lines.items():
            if key[:2] == (note.staff, note.voice):
                under.append(note)
        for line in note.marks("ornaments/wavy-line"):
            rolled.append(note)
            key = (note.staff, note.voice, line.get("number", "1"))
            if line.get("type") == "start":
                lines[key] = [note]
            elif line.get("type") == "stop":
                rolled += lines.pop(key, [])
    for under in lines.values():
        what = "a wavy line never ends; only its first note was read as a roll"
        log.add(what, scan.head.called, scan.labels[under[0].bar])
    return rolled
