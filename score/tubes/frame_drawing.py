"""Pages set with typst: the pieces that the sheet and the template share."""

from collections.abc import Iterable, Sequence

from score.printing.fonts import TEXT
from score.printing.typesetting import quoted
from score.tubes.drill_template import CHECK_BAR, MARGIN, MARK, PAPERS, TemplatePage, on_page, pages, tile
from score.tubes.frame import Frame, Hole
from score.tubes.units import show_length

LINE = "0.2mm"


def setting(title: str, paper: str) -> str:
    """The opening of a document: title, paper, type."""
    width, height = PAPERS[paper]
    return (
        f"#set document(title: {quoted(title)}, date: none)\n"
        f"#set page(width: {width}mm, height: {height}mm, margin: 16mm)\n"
        f"#set text(font: {quoted(TEXT)}, size: 9.5pt)\n#set par(justify: false)"
    )


def heading(text: str) -> str:
    """A heading."""
    return f'#block(above: 5mm, below: 2mm, sticky: true, text(size: 13pt, weight: "bold", {quoted(text)}))'


def paragraph(text: str) -> str:
    """A paragraph."""
    return f"#par({quoted(text)})"


def lead(text: str) -> str:
    """A paragraph that stays with what follows it."""
    return f"#block(sticky: true, par({quoted(text)}))"


def listed(lines: Iterable[str]) -> str:
    """A list with a box to tick before each line."""
    return "\n".join(
        f"#grid(columns: (6mm, 1fr), rect(width: 3mm, height: 3mm, stroke: 0.3pt), par({quoted(line)}))\n#v(-1mm)"
        for line in lines
    )


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table, its head repeated on every page, all but the first column set to the right."""
    align = "(x, y) => if x == 0 { left } else { right }"
    cells = ", ".join(f"[#{quoted(cell)}]" for row in rows for cell in row)
    top = ", ".join(f"strong({quoted(cell)})" for cell in head)
    return f"#table(columns: {len(head)}, align: {align}, stroke: 0.3pt, inset: 1.4mm, table.header({top}), {cells})"


def template_pages(frame: Frame, paper: str) -> str:
    """The template's pages at 1:1, each with marks, bar and its place."""
    return "\n".join(_template_page(frame, page, paper) for page in pages(frame, paper))


def at(x: float, y: float, body: str) -> str:
    """Something placed on a page or in a box, mm from its upper left corner."""
    return f"#place(top + left, dx: {x:.4f}mm, dy: {y:.4f}mm, {body})"


def line(x: float, y: float, dx: float, dy: float, stroke: str = LINE) -> str:
    """A straight line from a point, mm."""
    start, end = f"({x:.4f}mm, {y:.4f}mm)", f"({x + dx:.4f}mm, {y + dy:.4f}mm)"
    return f"#place(top + left, line(start: {start}, end: {end}, stroke: {stroke}))"


def box(x: float, y: float, width: float, height: float, fill: str = "none", stroke: str = LINE) -> str:
    """A rectangle, mm."""
    return at(x, y, f"rect(width: {width:.4f}mm, height: {height:.4f}mm, fill: {fill}, stroke: {stroke})")


def words(x: float, y: float, text: str, size: float = 9) -> str:
    """Text placed, size in points."""
    return at(x, y, f"text(size: {size}pt, {quoted(text)})")


def circle(x: float, y: float, radius: float, stroke: str = LINE) -> str:
    """A circle round a point, mm."""
    return at(x - radius, y - radius, f"circle(radius: {radius:.4f}mm, stroke: {stroke})")


def _template_page(frame: Frame, page: TemplatePage, paper: str) -> str:
    wide, high = tile(paper)
    piece = "\n".join(
        (
            box(-page.x, -page.y, frame.width, frame.depth),
            *(mark for hole, x, y in on_page(frame, page) for mark in _hole(hole, x, y, frame.wish.unit)),
        )
    )
    shown = at(MARGIN, MARGIN, f"box(width: {wide}mm, height: {high}mm, clip: true)[{piece}]")
    corners = "\n".join(_cross(MARGIN + x, MARGIN + y) for x in (0.0, wide) for y in (0.0, high))
    return f"#page(margin: 0mm)[\n{shown}\n{corners}\n{_foot(page, MARGIN + high + MARK + 3)}\n]"


def _hole(hole: Hole, x: float, y: float, unit: str) -> tuple[str, ...]:
    text = f"{hole.name}  ⌀ {show_length(hole.diameter, unit)}"
    return circle(x, y, hole.diameter / 2), _cross(x, y), words(x + 2, y - 5, text)


def _cross(x: float, y: float) -> str:
    return line(x - MARK, y, 2 * MARK, 0) + "\n" + line(x, y - MARK, 0, 2 * MARK)


def _foot(page: TemplatePage, y: float) -> str:
    place = f"row {page.row} of {page.rows} from the back, column {page.column} of {page.columns} from the left"
    bar = [
        line(MARGIN, y + 4, CHECK_BAR, 0, "0.4mm"),
        line(MARGIN, y + 2, 0, 4),
        line(MARGIN + CHECK_BAR, y + 2, 0, 4),
        words(MARGIN + CHECK_BAR + 4, y + 2.5, "This bar must measure 100 mm."),
        words(MARGIN, y + 9, f"Drilling template, {place}. Print at 100 %, never fitted to the page."),
        words(
            MARGIN, y + 14, "Lay the crosses at the corners of neighbouring pages on each other; measure the bar first."
        ),
    ]
    return "\n".join(bar)
