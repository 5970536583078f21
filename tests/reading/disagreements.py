"""Our reading beside partitura's, note by note inside the bar, and the reasons where they differ.

A note is (bar, offset in the bar, sounding length with ties, MIDI pitch or None, is a grace note). Lengths and
offsets are quarters, to a thousandth. The reasons are found in the document itself, not in our reading.
"""

import zipfile
from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable
from fractions import Fraction
from pathlib import Path

import partitura
from lxml import etree
from partitura.score import GraceNote, Measure, Note, Part, UnpitchedNote

from score.piece import Piece, StrokeKind

Sounded = tuple[int, Fraction, Fraction, int | None, bool]

HIDDEN = "a hidden note is not printed, so it is no stroke; partitura counts it"
CLOSING_GRACE = "a grace note that closes a bar belongs to the note before it; partitura puts it into the next bar"
TRANSPOSED = "the part transposes; partitura gives the written pitch"
TWO_NOTES = "a tremolo between two notes is one roll of both; partitura gives two notes"
UNISON = "the same pitch twice in a chord is one stroke; partitura gives two notes"
ALTER = "an accidental is drawn but not sounding, or sounds between two keys; partitura goes by what is drawn"
PLACELESS = "an unpitched note without a place or in a percussion clef; partitura leaves it out or makes it a pitch"
TWO_VOICES = "two voices tie the same pitch at once; partitura joins one of them"
UNEVEN = "the notes of a chord are written with different lengths; partitura gives them one"


def document(path: Path) -> etree._Element:
    """The score's own document, partwise, unread by us."""
    data = path.read_bytes()
    if data.startswith(b"PK"):
        with zipfile.ZipFile(path) as archive:
            container = etree.fromstring(archive.read("META-INF/container.xml"))
            data = archive.read(container.find(".//{*}rootfile").get("full-path"))  # type: ignore[arg-type]
    return etree.fromstring(data, etree.XMLParser(no_network=True, load_dtd=False))


def of_partitura(path: Path) -> list[Counter[Sounded]]:
    """partitura's notes, part by part; tied notes once."""
    return [_part(part) for part in partitura.load_musicxml(str(path)).parts]


def _part(part: Part) -> Counter[Sounded]:
    starts = [measure.start.t for measure in part.iter_all(Measure)]
    quarters = part.quarter_map
    found: Counter[Sounded] = Counter()
    for note in part.iter_all(Note, include_subclasses=True):
        if note.tie_prev is not None:
            continue
        bar = bisect_right(starts, note.start.t) - 1
        grace = isinstance(note, GraceNote)
        at = _exact(quarters(note.start.t) - quarters(starts[bar]))
        length = Fraction(0) if grace else _exact(quarters(note.end_tied.t) - quarters(note.start.t))
        found[bar, at, length, None if isinstance(note, UnpitchedNote) else note.midi_pitch, grace] += 1
    for note in part.iter_all(UnpitchedNote):
        bar = bisect_right(starts, note.start.t) - 1
        at = _exact(quarters(note.start.t) - quarters(starts[bar]))
        found[bar, at, _exact(quarters(note.end_tied.t) - quarters(note.start.t)), None, False] |= 1
    return found


def _exact(quarters: float) -> Fraction:
    return Fraction(float(quarters)).limit_denominator(1000)


def of_piece(piece: Piece) -> list[Counter[Sounded]]:
    """Our notes, part by part."""
    found: list[Counter[Sounded]] = [Counter() for _ in range(max(max(player.parts) for player in piece.players) + 1)]
    for player in piece.players:
        for stroke in player.strokes:
            for pitch in stroke.pitches or (None,) * len(stroke.places):
                at, length = stroke.at.limit_denominator(1000), stroke.length.limit_denominator(1000)
                found[stroke.part][stroke.bar, at, length, pitch, stroke.kind is StrokeKind.GRACE] += 1
    return found


def reasons(root: etree._Element, part: int, ours: Iterable[Sounded], theirs: Iterable[Sounded]) -> Counter[str]:
    """Why these notes are only in ours or only in theirs; what no reason covers is counted under ""."""
    looker = _Looker(root.findall("part")[part])
    ours, theirs = list(ours), list(theirs)
    found = Counter(looker.reason(note, False, theirs) for note in ours)
    found.update(looker.reason(note, True, ours) for note in theirs)
    return found


class _Looker:
    """Looks for reasons in the bars of one part."""

    def __init__(self, part: etree._Element) -> None:
        self.bars = part.findall("measure")
        self.transposes = part.find("measure/attributes/transpose") is not None
        self.percussion = any(sign.text == "percussion" for sign in part.iterfind("measure/attributes/clef/sign"))

    def reason(self, note: Sounded, is_theirs: bool, others: list[Sounded]) -> str:
        bar, _, _, pitch, grace = note
        here = self.bars[bar].findall("note") if bar < len(self.bars) else []
        before = self.bars[bar - 1].findall("note") if bar else []
        if grace and (_closing_graces(here) or _closing_graces(before)):
            return CLOSING_GRACE
        if is_theirs and any(item.get("print-object") == "no" and _midi(item) == pitch for item in here):
            return HIDDEN
        if self.transposes:
            return TRANSPOSED
        if any(item.get("type") in ("start", "stop") for one in here for item in one.iterfind("notations//tremolo")):
            return TWO_NOTES
        if pitch is None or self.percussion:
            return PLACELESS
        if any(_same_but_pitch(note, other) for other in others) and any(_is_drawn_otherwise(item) for item in here):
            return ALTER
        if any(_uneven_chord(notes) for notes in (here, before)):
            return UNEVEN
        if any(_tied_twice(notes) for notes in (here, before)):
            return TWO_VOICES
        return UNISON if is_theirs and _has_unison(here) else ""


def _midi(note: etree._Element) -> int | None:
    """MIDI number as written, None when unpitched: step, octave and whole alterations."""
    if note.find("pitch") is None:
        return None
    step = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}[note.findtext("pitch/step")]  # type: ignore[index]
    return 12 * (int(note.findtext("pitch/octave")) + 1) + step + round(float(note.findtext("pitch/alter", "0")))  # type: ignore[arg-type]


def _closing_graces(notes: list[etree._Element]) -> bool:
    """Whether some voice of the bar ends with grace notes."""
    last = {note.findtext("voice", "1"): note for note in notes}
    return any(note.find("grace") is not None for note in last.values())


def _is_drawn_otherwise(note: etree._Element) -> bool:
    alter = note.findtext("pitch/alter")
    if note.find("notations/accidental-mark") is not None:
        return True
    return (alter is None) != (note.findtext("accidental") in (None, "natural")) or "." in (alter or "")


def _same_but_pitch(note: Sounded, other: Sounded) -> bool:
    """The same place and length, and a pitch at most a whole tone away."""
    near = note[3] is not None and other[3] is not None and abs(note[3] - other[3]) <= 2
    return near and note[:3] == other[:3] and note[4] == other[4]


def _uneven_chord(notes: list[etree._Element]) -> bool:
    first = ""
    for note in notes:
        if note.find("chord") is None:
            first = note.findtext("duration", "")
        elif note.findtext("duration", "") != first:
            return True
    return False


def _tied_twice(notes: list[etree._Element]) -> bool:
    tied = [_midi(note) for note in notes if any(tie.get("type") == "start" for tie in note.iterfind("tie"))]
    return len(tied) > len(set(tied))


def _has_unison(notes: list[etree._Element]) -> bool:
    chord: list[str] = []
    for note in notes:
        pitch = "".join(note.xpath("string(pitch)").split())  # type: ignore[arg-type]
        if note.find("chord") is None:
            chord = []
        if pitch in chord:
            return True
        chord.append(pitch)
    return False
