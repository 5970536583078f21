"""Stickings: fingerings on the notes, or short lyrics and words that can be nothing else."""

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction

from score.reading.direction_words import is_hand, is_mallet
from score.reading.directions import Direction
from score.reading.part_scan import PartScan, WrittenNote
from score.reading.xml_cursor import Element

_ENOUGH = 2
_MOST_PART = 0.9


class Stickings:
    """Finds the stickings of a part's notes.

    Lyrics count when nine tenths of a verse are stickings, words when at least two places have one; a
    lone "1" or "R" may mean something else (common practice, no source).
    """

    def __init__(self, scan: PartScan, directions: Sequence[Direction]) -> None:
        self.verses = _sticking_verses(scan)
        self.words = _sticking_words(directions)

    def of_note(self, note: WrittenNote) -> list[str]:
        """The stickings printed on one note."""
        texts = [_text(item) for item in note.marks("technical/fingering")]
        for lyric in note.signs.lyrics if self.verses else ():
            if lyric.get("number", "1") in self.verses:
                texts.append(" ".join((lyric.findtext("text") or "").split()))
        return [text for text in texts if text]

    def at_place(self, bar: int, at: Fraction, staff: int) -> str:
        """The sticking that words give a place, or ""."""
        return self.words.get((bar, at, staff), "")


def _text(item: Element) -> str:
    return " ".join((item.text or "").split())


def _is_sticking(text: str) -> bool:
    return is_hand(text) or is_mallet(text)


def _sticking_verses(scan: PartScan) -> frozenset[str]:
    seen: Counter[str] = Counter()
    sticking: Counter[str] = Counter()
    for note in scan.notes:
        for lyric in note.signs.lyrics:
            verse, text = lyric.get("number", "1"), lyric.findtext("text") or ""
            seen[verse] += 1
            sticking[verse] += _is_sticking(text)
    return frozenset(verse for verse in seen if sticking[verse] >= max(_ENOUGH, _MOST_PART * seen[verse]))


def _sticking_words(directions: Sequence[Direction]) -> dict[tuple[int, Fraction, int], str]:
    stickings = {
        (item.bar, item.at, item.staff): item.text
        for item in directions
        if item.tag == "words" and _is_sticking(item.text)
    }
    hands = sum(1 for text in stickings.values() if is_hand(text))
    several = len(set(stickings.values())) >= _ENOUGH
    if not several:
        return {}
    # Digits alone may be rehearsal figures or desks; they need hands beside them, or numbers enough.
    return stickings if hands or len(stickings) >= 2 * _ENOUGH else {}
