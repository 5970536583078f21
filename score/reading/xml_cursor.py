"""Where everything stands inside its bar, exactly, from the durations of the MusicXML document itself.

MusicXML (4.0, note, backup, forward) places elements by a cursor: a note moves it on by its duration, a
chord note starts with the note before it, a grace note takes no time, a cue note takes its own, and
backup and forward move it alone. Durations are counted in divisions of a quarter, which each part sets
for itself and may change. Positions here are quarters from the beginning of the bar, from 0.
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple, TypeAlias

from lxml import etree

Element: TypeAlias = etree._Element

_DECIMAL = re.compile(r"[+-]?\d{1,15}(\.\d{0,15})?|[+-]?\.\d{1,15}", re.ASCII)
_ZERO = Fraction(0)


@lru_cache(maxsize=4096)
def number(text: str | None) -> Fraction | None:
    """An XML decimal as a fraction; None when it is missing or no plain decimal.

    Exponents and endless digits are no decimals: they would cost unbounded memory.
    """
    plain = (text or "").strip()
    return Fraction(plain) if _DECIMAL.fullmatch(plain) else None


def is_foreign_cue(note: Element) -> bool:
    """Whether a `<note>` is another player's, printed small.

    MusicXML 4.0, cue and type: a cue note of size "full" is drawn as an ordinary one, so its player plays it.
    """
    if note.find("cue") is None:
        return False
    printed = note.find("type")
    return printed is None or printed.get("size") != "full"


class Placed(NamedTuple):
    """One child of a measure and where it stands.

    Attributes:
        element: the child itself.
        at: the cursor's offset in the bar, quarters; a chord note has the onset of its chord.
        length: quarters, of a note (0 for a grace note); 0 for everything else.
        offset: quarters by which an `<offset>` moves a direction, harmony or sound; 0 for others.
    """

    element: Element
    at: Fraction
    length: Fraction = _ZERO
    offset: Fraction = _ZERO

    @property
    def shown_at(self) -> Fraction:
        """Where the element means to stand, its own offset included, never before the bar."""
        return max(_ZERO, self.at + self.offset)


class Cursor:
    """Walks the bars of one part in order and keeps the divisions in force.

    Attributes:
        divisions: in force after the last bar walked.
        end: the furthest point reached in the last bar walked, quarters.
    """

    def __init__(self, divisions: Fraction = Fraction(1)) -> None:
        self.divisions = divisions
        self.end = _ZERO

    def walk(self, measure: Element) -> list[Placed]:
        """Every child element of one `<measure>` in document order, with its place."""
        placed: list[Placed] = []
        at = onset = end = _ZERO
        for element in measure.iterchildren("*"):
            match element.tag:
                case "note":
                    length = self._length(element)
                    if element.find("chord") is None:
                        onset = at
                        at += length
                        end = max(end, at)
                    placed.append(Placed(element, onset, length))
                case "backup" | "forward":
                    placed.append(Placed(element, at))
                    step = self._quarters(element.findtext("duration"))
                    at = max(_ZERO, at - step) if element.tag == "backup" else at + max(_ZERO, step)
                    end = max(end, at)
                case "attributes":
                    self._attributes(element)
                    placed.append(Placed(element, at))
                case _:
                    placed.append(Placed(element, at, offset=self._quarters(element.findtext("offset"))))
        self.end = end
        return placed

    def _attributes(self, element: Element) -> None:
        stated = number(element.findtext("divisions"))
        if stated is not None and stated > 0:
            self.divisions = stated

    def _length(self, element: Element) -> Fraction:
        if element.find("grace") is not None:
            return _ZERO
        length = self._quarters(element.findtext("duration"))
        return length if length.numerator > 0 else _ZERO

    def _quarters(self, text: str | None) -> Fraction:
        return _in_quarters(text, self.divisions) if text else _ZERO


@lru_cache(maxsize=4096)
def _in_quarters(text: str, divisions: Fraction) -> Fraction:
    """The few durations of a score, each worked out once."""
    stated = number(text)
    return _ZERO if stated is None else stated / divisions


Walk: TypeAlias = tuple[list[Placed], Fraction]
"""One bar of a part: its children with their places, and the furthest point reached."""

_kept: ContextVar[dict[Element, list[Walk]] | None] = ContextVar("kept walks", default=None)


@contextmanager
def walks_kept(root: Element) -> Iterator[None]:
    """Walk the parts of a score once for everything that happens inside; the score must not change meanwhile."""
    token = _kept.set({part: _walks(part) for part in root.iterchildren("part")})
    try:
        yield
    finally:
        _kept.reset(token)


def part_walks(part: Element) -> list[Walk]:
    """The bars of one partwise `<part>` in order; not to be changed by the caller."""
    kept = _kept.get()
    return kept[part] if kept is not None and part in kept else _walks(part)


def walk_part(part: Element) -> Iterator[list[Placed]]:
    """The bars of one partwise `<part>` in order, each as `Cursor.walk` gives it."""
    for placed, _ in part_walks(part):
        yield placed


def _walks(part: Element) -> list[Walk]:
    cursor = Cursor()
    return [(cursor.walk(measure), cursor.end) for measure in part.iterchildren("measure")]
