"""Where everything stands inside its bar, exactly, from the durations of the MusicXML document itself.

MusicXML (4.0, note, backup, forward) places elements by a cursor: a note moves it on by its duration, a
chord note starts with the note before it, a grace note takes no time, a cue note takes its own, and
backup and forward move it alone. Durations are counted in divisions of a quarter, which each part sets
for itself and may change. Positions here are quarters from the beginning of the bar, from 0.
"""

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple, TypeAlias

from lxml import etree

from score.reading.note_signs import NoteSigns, note_signs

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


class Placed(NamedTuple):
    """One child of a measure and where it stands.

    Attributes:
        element: the child itself.
        at: the cursor's offset in the bar, quarters; a chord note has the onset of its chord.
        length: quarters, of a note (0 for a grace note); 0 for everything else.
        offset: quarters by which an `<offset>` moves a direction, harmony or sound; 0 for others.
        signs: what a note says; None for everything else.
    """

    element: Element
    at: Fraction
    length: Fraction = _ZERO
    offset: Fraction = _ZERO
    signs: NoteSigns | None = None

    @property
    def shown_at(self) -> Fraction:
        """Where the element means to stand, its own offset included, never before the bar."""
        return max(_ZERO, self.at + self.offset) if self.offset else self.at


Ticks: TypeAlias = int | Fraction
"""A place counted in divisions of a quarter: whole in nearly every score."""


class Cursor:
    """Walks the bars of one part in order and keeps the divisions in force.

    Args:
        divisions: of a quarter, before the first bar.
        signs: what notes say, as far as it is known.

    Attributes:
        divisions: in force after the last bar walked.
        end: the furthest point reached in the last bar walked, quarters.
    """

    def __init__(self, divisions: Fraction = Fraction(1), signs: Mapping[Element, NoteSigns] = {}) -> None:
        self.divisions, self._signs = divisions, signs
        self.end = _ZERO
        self._quarters: dict[Ticks, Fraction] = {}

    def walk(self, measure: Element) -> list[Placed]:
        """Every child element of one `<measure>` in document order, with its place."""
        placed: list[Placed] = []
        at: Ticks = 0
        onset: Ticks = 0
        end: Ticks = 0
        for element in measure.iterchildren("*"):
            tag = element.tag
            if tag == "note":
                signs = self._signs.get(element) or note_signs(element)
                length = 0 if signs.grace else max(0, _ticks(signs.duration))
                if not signs.chord:
                    onset = at
                    at += length
                    end = max(end, at)
                placed.append(Placed(element, self._at(onset), self._at(length), signs=signs))
            elif tag == "backup" or tag == "forward":
                placed.append(Placed(element, self._at(at)))
                step = _ticks(element.findtext("duration"))
                at = max(0, at - step) if tag == "backup" else at + max(0, step)
                end = max(end, at)
            elif tag == "attributes":
                scale = self._attributes(element)
                if scale != 1:
                    at, onset, end = (_whole(place * scale) for place in (at, onset, end))
                placed.append(Placed(element, self._at(at)))
            else:
                offset = _ticks(element.findtext("offset"))
                placed.append(Placed(element, self._at(at), offset=self._at(offset)))
        self.end = self._at(end)
        return placed

    def skip(self, measure: Element) -> None:
        """Go over a bar of which no place is asked."""
        for attributes in measure.iterchildren("attributes"):
            self._attributes(attributes)

    def _attributes(self, element: Element) -> Fraction:
        """By how much more a quarter is divided from here on."""
        stated = number(element.findtext("divisions"))
        if stated is None or stated <= 0 or stated == self.divisions:
            return Fraction(1)
        before, self.divisions = self.divisions, stated
        self._quarters.clear()
        return stated / before

    def _at(self, ticks: Ticks) -> Fraction:
        """The same in quarters; equal places are one value, which makes comparing them cheap."""
        quarters = self._quarters.get(ticks)
        if quarters is None:
            exact = Fraction(ticks) / self.divisions
            quarters = self._quarters[ticks] = _shared(exact.numerator, exact.denominator)
        return quarters


@lru_cache(maxsize=4096)
def _ticks(text: str | None) -> Ticks:
    """A duration as it stands; 0 for none."""
    stated = number(text)
    return 0 if stated is None else _whole(stated)


def _whole(value: Ticks) -> Ticks:
    return value.numerator if value.denominator == 1 else value


@lru_cache(maxsize=65536)
def _shared(numerator: int, denominator: int) -> Fraction:
    return Fraction(numerator, denominator) if numerator else _ZERO


Walk: TypeAlias = tuple[list[Placed], Fraction]
"""One bar of a part: its children with their places, and the furthest point reached."""

_kept: ContextVar[dict[Element, list[Walk]] | None] = ContextVar("kept walks", default=None)


@contextmanager
def walks_kept(root: Element, signs: Mapping[Element, NoteSigns] = {}) -> Iterator[None]:
    """Walk the parts of a score once for everything that happens inside; the score must not change meanwhile.

    Args:
        root: of the score.
        signs: what notes say, as far as it is known.
    """
    token = _kept.set({part: _walks(part, signs) for part in root.iterchildren("part")})
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


def _walks(part: Element, signs: Mapping[Element, NoteSigns] = {}) -> list[Walk]:
    cursor = Cursor(signs=signs)
    return [(cursor.walk(measure), cursor.end) for measure in part.iterchildren("measure")]
