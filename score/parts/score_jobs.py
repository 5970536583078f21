"""What goes to the process that engraves the score for all, and what comes back; light, for whoever only asks."""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from score.parts.paper import Paper
from score.piece import Piece
from score.printing.hand_signs import HandMark
from score.reading.reading_result import Source
from score.time.pulse import PulseOptions

SCORE_PAPERS = {
    "a4": Paper(210.0, 297.0, side=14.0, top=14.0, bottom=16.0),
    "a3": Paper(297.0, 420.0, side=16.0, top=16.0, bottom=18.0),
    "letter": Paper(215.9, 279.4, side=14.0, top=14.0, bottom=16.0),
}
"""ISO 216 A4 and A3; ANSI/ASME Y14.1 Letter. Narrower margins than parts: a score is also read at a table."""


class ScoreOptions(NamedTuple):
    """How the score looks.

    Attributes:
        paper: "a4", "a3" or "letter".
        landscape: the sheet lies on its long side.
        staff_mm: height of a five-line staff, mm.
        curve: the tempo drawn over bars that the group shapes.
    """

    paper: str = "a4"
    landscape: bool = False
    staff_mm: float = 5.0
    curve: bool = False

    @property
    def sheet(self) -> Paper:
        """The sheet as it lies."""
        paper = SCORE_PAPERS[self.paper]
        return paper._replace(width=paper.height, height=paper.width) if self.landscape else paper


class ScorePages(NamedTuple):
    """An engraved score.

    Attributes:
        pdf: the document.
        bars: indices of the bars of each system, page by page.
        warnings: what a reader should know of the pages, one sentence each.
    """

    pdf: bytes
    bars: tuple[tuple[range, ...], ...]
    warnings: tuple[str, ...]


class ScoreMark(NamedTuple):
    """A mark over the score.

    Attributes:
        bar: index of the bar.
        at: quarters in the bar.
        mark: what is written.
        boxed: it is the name of a chunk, white on black.
    """

    bar: int
    at: Fraction
    mark: HandMark
    boxed: bool = False


class Curve(NamedTuple):
    """Where the tempo is drawn: the group's shapes, and what else it says of tempo."""

    piece: Piece
    pulse: PulseOptions


class ScoreJob(NamedTuple):
    """What is to be engraved.

    Attributes:
        piece: the piece, pickled.
        source: its document.
        options: paper and sizes.
        marks: what is written over it, in order.
        curve: the tempo to draw over bars that a shape changes, None for none.
    """

    piece: bytes
    source: Source
    options: ScoreOptions
    marks: Sequence[ScoreMark]
    curve: Curve | None = None
