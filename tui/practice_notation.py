"""Engraved notation in the practice screen: how the rows of a system are shared between the others and the picture."""

from fractions import Fraction
from typing import NamedTuple

from score.memory.fade import Fade
from tui.drawing.palette import Palette
from tui.drawing.system_cells import SystemShape
from tui.drawing.time_grid import Page
from tui.notation import Notation, ShownPicture
from tui.practice_facts import PracticeFacts

_GOOD_ROWS, _LEAST_ROWS = 11, 5
"""Rows a picture wants, for which the others' contours become lower, and rows below which it cannot be read."""
_MOST_LANE_ROWS = 3
_FAINT = 0.55


class PicturedSystem(NamedTuple):
    """A system whose own staff is a picture.

    Attributes:
        shape: the rows above the picture.
        rows: the rows it has.
        shown: the picture.
        places: columns of its moments, quarters from the beginning of the run.
        beats: where its beats begin, quarters from the beginning of its first bar.
        start: quarters from the beginning of the run to its first bar.
    """

    shape: SystemShape
    rows: int
    shown: ShownPicture
    places: tuple[tuple[Fraction, int], ...]
    beats: tuple[Fraction, ...]
    start: Fraction

    def column(self, at: Fraction) -> int:
        """Column of a moment, quarters from the beginning of the run."""
        return self.shown.column(at - self.start)


def engraved_system(
    notation: Notation,
    facts: PracticeFacts,
    page: Page,
    shape: SystemShape,
    width: int,
    colours: Palette,
    fade: Fade | None = None,
) -> PicturedSystem | None:
    """A page as notation in the rows of its shape; None until it is drawn, or where there is no room.

    Args:
        notation: who draws.
        facts: what is practised.
        page: its bars.
        shape: the rows that it has with a staff of cells.
        width: columns.
        colours: of the screen.
        fade: what is hidden, None for nothing.
    """
    others = len(facts.run.lanes) - 1
    total = shape.height(others) - shape.when
    above = _above(shape, others, total)
    is_next = shape.others == 0 or page.first >= len(facts.bars)
    ink = colours.dimmed(colours.ink, _FAINT) if is_next else colours.ink
    shown = notation.picture(facts.bars_of(page), width, total - above.height(others), ink, fade)
    if shown is None:
        return None
    while above.others and others and above.others < _MOST_LANE_ROWS:
        taller = above._replace(others=above.others + 1)
        if total - taller.height(others) < shown.picture.rows:
            break
        above = taller
    bars = facts.run.bars[page.first : page.last + 1]
    start = bars[0].at
    return PicturedSystem(
        above,
        total - above.height(others),
        shown,
        places=tuple((start + at, shown.column(at)) for at, _ in shown.picture.places),
        beats=tuple(beat - start for bar in bars for beat in bar.beats),
        start=start,
    )


def _above(shape: SystemShape, others: int, total: int) -> SystemShape:
    """Numbers, ruler and the others, as high as leaves the picture good rows; at least a row each."""
    for rows in range(shape.others, 0, -1):
        above = SystemShape(rows, 0, stickings=False, words=False)
        if total - above.height(others) >= _GOOD_ROWS:
            return above
    lowest = SystemShape(min(1, shape.others), 0, stickings=False, words=False)
    enough = total - lowest.height(others) >= _LEAST_ROWS
    return lowest if enough else lowest._replace(others=0)
