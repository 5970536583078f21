"""The drilling template at 1:1: the whole plate as SVG, and cut into pages that are laid edge to edge."""

from collections.abc import Iterator
from dataclasses import dataclass
from html import escape
from math import ceil

from score.tubes.frame import Frame, Hole

CHECK_BAR = 100.0
"""Length of the bar by which a print is checked, mm."""

PAPERS = {"a4": (210.0, 297.0), "a3": (297.0, 420.0), "letter": (215.9, 279.4)}
"""Paper sizes, mm (ISO 216; ANSI A)."""

MARGIN, FOOT = 12.0, 30.0
"""White round a page and what its foot takes, mm."""

MARK = 5.0
"""Half the length of a registration mark, mm."""


@dataclass(frozen=True, slots=True)
class TemplatePage:
    """One page of the template.

    Attributes:
        row, column: from 1, from the plate's back left corner.
        rows, columns: how many there are.
        x, y: the page's upper left corner on the plate, mm from its left and back edges.
        width, height: of the piece of plate it shows, mm.
    """

    row: int
    column: int
    rows: int
    columns: int
    x: float
    y: float
    width: float
    height: float


def pages(frame: Frame, paper: str = "a4") -> tuple[TemplatePage, ...]:
    """The upright pages that show every hole, by rows from the back; those that would show none are left out.

    Args:
        frame: the plate.
        paper: one of `PAPERS`.
    """
    wide, high = tile(paper)
    columns, rows = ceil(frame.width / wide - 1e-9), ceil(frame.depth / high - 1e-9)
    every = (
        TemplatePage(row + 1, column + 1, rows, columns=columns, x=column * wide, y=row * high, width=wide, height=high)
        for row in range(rows)
        for column in range(columns)
    )
    return tuple(page for page in every if any(on_page(frame, page)))


def tile(paper: str) -> tuple[float, float]:
    """What one page shows of the plate, mm."""
    width, height = PAPERS[paper]
    return width - 2 * MARGIN, height - 2 * MARGIN - FOOT


def from_back(frame: Frame, hole: Hole) -> tuple[float, float]:
    """A hole's centre from the plate's left and back edges, mm: x to the right, y down the page."""
    return hole.x, frame.depth - hole.y


def on_page(frame: Frame, page: TemplatePage) -> Iterator[tuple[Hole, float, float]]:
    """The holes a page shows something of, with their centres on its piece of plate."""
    for hole in frame.holes:
        x, y = from_back(frame, hole)
        reach = hole.diameter / 2 + MARK
        if -reach < x - page.x < page.width + reach and -reach < y - page.y < page.height + reach:
            yield hole, x - page.x, y - page.y


def template_svg(frame: Frame) -> bytes:
    """The whole plate at 1:1, for a plotter or a router; user units are millimetres.

    Bar and corner marks stand outside the plate, in a border of 20 mm.
    """
    border = 20.0
    width, height = frame.width + 2 * border, frame.depth + 2 * border
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.3f}mm" height="{height:.3f}mm" '
        f'viewBox="0 0 {width:.3f} {height:.3f}" fill="none" stroke="black" stroke-width="0.2">',
        f'<g transform="translate({border:.3f} {border:.3f})">',
        f'<rect id="plate" x="0" y="0" width="{frame.width:.3f}" height="{frame.depth:.3f}"/>',
        *(line for hole in frame.holes for line in _svg_hole(frame, hole)),
        "</g>",
        f'<line id="bar" x1="{border:.3f}" y1="{border / 2:.3f}" x2="{border + CHECK_BAR:.3f}" y2="{border / 2:.3f}"/>',
        _svg_text(border + CHECK_BAR + 3, border / 2 + 1.5, "this bar is 100 mm"),
        "</svg>",
    ]
    return "\n".join(lines).encode()


def _svg_hole(frame: Frame, hole: Hole) -> tuple[str, ...]:
    x, y = from_back(frame, hole)
    return (
        f'<circle cx="{x:.3f}" cy="{y:.3f}" r="{hole.diameter / 2:.3f}"/>',
        f'<path d="M{x - MARK:.3f} {y:.3f}h{2 * MARK:.3f}M{x:.3f} {y - MARK:.3f}v{2 * MARK:.3f}"/>',
        _svg_text(x + 2, y - 2, hole.name),
    )


def _svg_text(x: float, y: float, text: str) -> str:
    return (
        f'<text x="{x:.3f}" y="{y:.3f}" font-family="serif" font-size="5" fill="black" stroke="none">'
        f"{escape(text, quote=False)}</text>"
    )
