"""The engraver's drawing: its namespace, its unit, its coordinates, and where the lines of its staves are."""

import re
from collections.abc import Iterator, Sequence

from lxml import etree

SVG = "{http://www.w3.org/2000/svg}"
HREF = "{http://www.w3.org/1999/xlink}href"
UNITS_PER_MM = 100
"""The engraver's drawing units: a hundredth of a millimetre at its scale of 100."""
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
_NO_FIGURES = {code: " " for code in range(128) if chr(code) not in "-.0123456789"}
_LINE = re.compile(r"M(-?[\d.]+) (-?[\d.]+) L(-?[\d.]+)")


def coordinates(points: str) -> list[float]:
    """The numbers of a path or a list of points: x and y in turn."""
    return list(map(float, figures(points)))


def figures(points: str) -> list[str]:
    """The numbers of paths or lists of points as they are written."""
    # Blanks for letters and commas take a quarter of the time that looking for numbers takes.
    return points.translate(_NO_FIGURES).split()


def slur_points(numbers: Sequence[float], steps: int) -> Iterator[tuple[float, float]]:
    """Points of a slur's outer line, from one end to the other (Bézier's formula).

    Args:
        numbers: the first eight coordinates of its path; the points between its ends reach further than it does.
        steps: from one end to the other.
    """
    x0, y0, x1, y1, x2, y2, x3, y3 = numbers
    for t in (step / steps for step in range(steps + 1)):
        u = 1 - t
        a, b, c, d = u**3, 3 * u * u * t, 3 * u * t * t, t**3
        yield a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3


def line_heights(staff: etree._Element) -> Iterator[float]:
    """Heights of a staff's own lines, in the engraver's units."""
    for line in _lines(staff):
        yield float(line[2])


def staff_edges(measure: etree._Element) -> tuple[float, float]:
    """Left and right end of a measure's staff lines, in the engraver's units; (0, 0) without any."""
    for staff in measure.iter(SVG + "g"):
        line = next(_lines(staff), None) if staff.get("class") == "staff" else None
        if line is not None:
            return float(line[1]), float(line[3])
    return 0.0, 0.0


def _lines(staff: etree._Element) -> Iterator[re.Match[str]]:
    for path in staff.iterchildren(SVG + "path"):
        if line := _LINE.match(path.get("d") or ""):
            yield line
