"""Paper and what of it the music may use; what is asked of pages, and what is said of them."""

from fractions import Fraction
from typing import NamedTuple


class Paper(NamedTuple):
    """A sheet in mm. Margins of about 19 mm, from memory of orchestra librarians' guidelines."""

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


PAPERS = {"a4": Paper(210.0, 297.0), "letter": Paper(215.9, 279.4)}
"""ISO 216 A4; ANSI/ASME Y14.1 Letter, 8.5 × 11 inches."""

Word = tuple[int, Fraction, str]
"""A small word above the player's staff: index of the bar, quarters in it, text."""


class PageOptions(NamedTuple):
    """How pages look.

    Attributes:
        paper: "a4" or "letter".
        staff_mm: height of the player's five-line staff, mm.
        min_turn_seconds: free hands that a page turn needs, seconds.
    """

    paper: str = "a4"
    staff_mm: float = 7.0
    min_turn_seconds: float = 2.0


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
        turns: one for each page but the last.
        warnings: what the player should know of the pages, one sentence each.
    """

    pdf: bytes
    page_count: int
    turns: tuple[Turn, ...]
    warnings: tuple[str, ...]
