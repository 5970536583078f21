"""How much a score may hold, and the one-line refusals of what is no score at all."""

import re
from collections.abc import Sequence
from fractions import Fraction

from score.errors import ScoreFileError
from score.reading.note_signs import note_signs
from score.reading.xml_cursor import Element, number

MOST_BYTES = 64 * 1024 * 1024
"""Of a score file, before and after unpacking."""
MOST_BARS = 5_000
MOST_NOTES = 400_000
MOST_TAGS = 8_000_000
"""Start and end tags together: more than any score within the other limits needs."""
MOST_DIVISIONS = 1_000_000
"""Of a quarter; the finest in use anywhere are some tens of thousands."""
LONGEST_BAR = 4_096
"""Quarters in one bar."""
DEEPEST = 100_000
"""Open elements at a time; a score has about ten, and the parser itself stops at 256."""

_NOTE = re.compile(rb"<note[\s>/]")
_MEASURE = re.compile(rb"<measure[\s>/]")
_PART = re.compile(rb"<part[\s>/]")
_DIVISIONS = re.compile(rb"<divisions\b[^<>]*>([^<]*)<")
_PART_ID = re.compile(rb"<part\b[^<>]*?\bid\s*=\s*[\"']([^\"'<]*)")
_BAR_NUMBER = re.compile(rb"<measure\b[^<>]*?\bnumber\s*=\s*[\"']([^\"'<]*)")
_ENDLESS = re.compile(rb"<[^<]{1000000}")
_SLICE = 2**20
_USE_SCORE = "use a MusicXML score (.musicxml, .xml or .mxl)"


def check_size(name: str, size: int) -> None:
    """Refuse a file or an unpacked score that is too large, in bytes."""
    if size > MOST_BYTES:
        raise ScoreFileError(
            "Score too large",
            f"{name} holds more than {MOST_BYTES // 1024 // 1024} MB",
            "export the piece by movements",
        )


def check_text(name: str, text: bytes) -> None:
    """Refuse by counting tags, before a tree is built that would fill the memory."""
    if text.count(b"<") > MOST_TAGS:
        raise ScoreFileError("Score too large", f"{name} has over {MOST_TAGS} tags", "export the piece by movements")
    if _ENDLESS.search(text):
        raise _not_music(name, "one tag or text of over a million letters")
    if _deepest(text) > DEEPEST:
        raise _not_music(name, "elements nested without end")
    notes = sum(1 for _ in _NOTE.finditer(text))
    if not notes:
        raise _no_notes(name)
    _check_count(name, notes, "notes", MOST_NOTES)
    _check_divisions(name, text)
    bars = sum(1 for _ in _MEASURE.finditer(text))
    parts = sum(1 for _ in _PART.finditer(text))
    # Partwise, the bars of all parts have been counted together.
    timewise = b"<score-timewise" in text[:4096]
    _check_count(name, bars if timewise else bars // max(1, parts), "bars", MOST_BARS)


def check_score(name: str, root: Element) -> None:
    """Refuse a partwise score that no reading could make sense of.

    Raises:
        ScoreFileError: no notes, too many bars or notes, divisions or durations that cannot be.
    """
    bars = max((len(part.findall("measure")) for part in root.iterchildren("part")), default=0)
    _check_count(name, bars, "bars", MOST_BARS)
    _check_count(name, sum(1 for _ in root.iterfind("part/measure/note")), "notes", MOST_NOTES)
    if not any(_is_played(note) for note in root.iterfind("part/measure/note")):
        raise _no_notes(name)


def check_lengths(name: str, lengths: Sequence[Fraction]) -> None:
    """Refuse a bar no one could write down; lengths in quarters."""
    longest = max(lengths, default=Fraction(0))
    if longest > LONGEST_BAR:
        raise ScoreFileError(
            "Absurd durations",
            f"{name} has a bar of {float(longest):.0f} quarters, number {lengths.index(longest) + 1} in order",
            "export the score again and check its divisions",
        )


def _deepest(text: bytes) -> int:
    """About how many elements are open at a time, from counts of tags a slice at a time."""
    depth = deepest = 0
    for start in range(0, len(text), _SLICE):
        piece = text[start : start + _SLICE]
        depth += (
            piece.count(b"<") - 2 * piece.count(b"</") - piece.count(b"/>") - piece.count(b"<!") - piece.count(b"<?")
        )
        deepest = max(deepest, depth)
    return deepest


def _is_played(note: Element) -> bool:
    return note.find("rest") is None and not note_signs(note).foreign_cue


def _check_divisions(name: str, text: bytes) -> None:
    for stated in _DIVISIONS.finditer(text):
        said = stated.group(1).decode("utf-8", "replace").strip()
        value = number(said)
        if value is None or not 0 < value <= MOST_DIVISIONS:
            part, bar = _last(_PART_ID, text, stated.start()), _last(_BAR_NUMBER, text, stated.start())
            raise ScoreFileError(
                "Impossible divisions",
                f"{name}, part {part}, bar {bar}: a quarter is divided into {said[:20]!r} parts",
                "export the score again; divisions are whole numbers from 1",
            )


def _last(pattern: re.Pattern[bytes], text: bytes, end: int) -> str:
    """The last match before a place, "?" where there is none."""
    matches = [match.group(1) for match in pattern.finditer(text, 0, end)]
    return matches[-1].decode("utf-8", "replace") if matches else "?"


def _check_count(name: str, count: int, what: str, most: int) -> None:
    if count > most:
        raise ScoreFileError(
            "Score too large", f"{name} has {count} {what}, more than {most}", "export the piece by movements"
        )


def _not_music(name: str, what: str) -> ScoreFileError:
    return ScoreFileError("Not a score", f"{name} holds {what}", _USE_SCORE)


def _no_notes(name: str) -> ScoreFileError:
    return ScoreFileError("No notes", f"{name} has no notes to play", _USE_SCORE)
