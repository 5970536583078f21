"""Paper and what of it the music may use; what is asked of pages, and what is said of them."""

import re
from fractions import Fraction
from typing import NamedTuple

from score.errors import RequestError
from score.memory.fade import Fade
from score.parts.print_record import PageChange, PrintedPage
from score.parts.source_signs import SourceSign
from score.time.pulse import PulseOptions


class Paper(NamedTuple):
    """A sheet in mm. Margins of about 19 mm, from memory of orchestra librarians' guidelines; a screen needs less."""

    width: float
    height: float
    side: float = 19.0
    top: float = 16.0
    bottom: float = 19.0

    @property
    def music_width(self) -> float:
        """Width of a system, mm."""
        return self.width - 2 * self.side

    @property
    def music_height(self) -> float:
        """Height that systems may fill, mm."""
        return self.height - self.top - self.bottom

    @property
    def head(self) -> float:
        """Where the running head stands, mm from the top."""
        return self.top * 0.625

    @property
    def foot(self) -> float:
        """Where the page number stands, mm from the top."""
        return self.height - self.bottom * 0.63


_SCREEN_MARGINS = (7.0, 11.0, 11.0)
PAPERS = {
    "a4": Paper(210.0, 297.0),
    "letter": Paper(215.9, 279.4),
    "b4": Paper(250.0, 353.0),
    "9x12": Paper(228.6, 304.8),
    "10x13": Paper(254.0, 330.2),
    "tablet": Paper(197.0, 262.0, *_SCREEN_MARGINS),
}
"""ISO 216 A4 and B4; ANSI/ASME Y14.1 Letter, 8.5 × 11 inches; inches as librarians order them; a screen of 3:4, 12.9
inches across, at its true size (common practice, no source)."""
_SIZE = re.compile(r"(\d+(?:\.\d+)?)\s*[x×]\s*(\d+(?:\.\d+)?)\s*(mm|cm|in)?", re.IGNORECASE)
_UNITS = {"mm": 1.0, "cm": 10.0, "in": 25.4}
_LEAST, _MOST = 120.0, 500.0


def paper_named(name: str) -> Paper:
    """The paper of this name, or of this size: "210x280 mm", "9 x 12 in", mm where no unit is given.

    Raises:
        RequestError: neither a name nor a size of paper that holds music.
    """
    named = PAPERS.get(name.strip().lower())
    if named is not None:
        return named
    size = _SIZE.fullmatch(name.strip())
    if size is None:
        raise RequestError("Unknown paper", f"{name} is not a known paper", f'use {", ".join(PAPERS)} or "210x280 mm"')
    unit = _UNITS[(size[3] or "mm").lower()]
    width, height = float(size[1]) * unit, float(size[2]) * unit
    if not (_LEAST <= width <= _MOST and _LEAST <= height <= _MOST):
        what = f"{name} is {width:g} by {height:g} mm"
        raise RequestError("Paper too small or too large", what, f"use {_LEAST:g} to {_MOST:g} mm each way")
    # Less than a hand's breadth narrower than A4, margins would take the music's room.
    return Paper(width, height) if width >= 190 else Paper(width, height, *_SCREEN_MARGINS)


Word = tuple[int, Fraction, str]
"""A small word above the player's staff: index of the bar, quarters in it, text."""


class PageOptions(NamedTuple):
    """How pages look.

    Attributes:
        paper: a name or size as `paper_named` takes it.
        staff_mm: height of the player's five-line staff, mm.
        min_turn_seconds: free hands that a page turn needs, seconds.
        side_by_side: pages open at once on the stand; only after the last of them is a turn.
        booklet: bound, so the first page is a right-hand page and two lie open from then on; overrides `side_by_side`.
        pulse: the group's tempo, in which turns are measured; None for the written one.
        stickings: suggested stickings are printed where the score has none.
        cue_pitches: cues show pitches, on five small lines.
        curve: the tempo that is drawn over bars that a shape changes; None for none.
        fade: what is taken out of the drawing when it is made; None for nothing.
    """

    paper: str = "a4"
    staff_mm: float = 7.5
    min_turn_seconds: float = 2.0
    side_by_side: int = 1
    booklet: bool = False
    pulse: PulseOptions | None = None
    stickings: bool = False
    cue_pitches: bool = False
    curve: PulseOptions | None = None
    fade: Fade | None = None


class Turn(NamedTuple):
    """A page turn.

    Attributes:
        page: the page that is turned, from 1.
        bar: index of the last bar on it.
        seconds: free hands around the line that ends it, infinite after the player's last note.
    """

    page: int
    bar: int
    seconds: float


class PartPages(NamedTuple):
    """An engraved part.

    Attributes:
        pdf: the document.
        page_count: its pages.
        turns: where the player turns; not after the last page.
        warnings: what the player should know of the pages, one sentence each.
        signs: how many signs of the source were looked for on the pages.
        unprinted: those that are not there.
        printed: what each page holds, for the record of prints.
        changes: pages that differ from the last print.
        changed_pdf: these pages alone; empty without any.
    """

    pdf: bytes
    page_count: int
    turns: tuple[Turn, ...]
    warnings: tuple[str, ...]
    signs: int = 0
    unprinted: tuple[SourceSign, ...] = ()
    printed: tuple[PrintedPage, ...] = ()
    changes: tuple[PageChange, ...] = ()
    changed_pdf: bytes = b""
