"""The set-up as a PDF: the findings, what to carry, the floor plan to scale with measures and sight lines."""

from collections.abc import Iterator
from math import cos, radians, sin

from score.piece import Piece
from score.printing.fonts import TEXT
from score.printing.typesetting import quoted, to_pdf
from score.setup.finding_words import finding_line
from score.setup.floor_picture import extent, floor_key, lettered
from score.setup.floor_plan import FloorPlan, Point
from score.setup.gear_list import players_text, tubes_hint
from score.setup.setup_check import SetupReport
from score.setup.sight_lines import sight_lines

_WIDE, _DEEP = 174.0, 120.0
"""The room for the plan on the sheet, mm."""
_SCALES = (20, 25, 40, 50, 75, 100, 150, 200, 300, 500)
_PLAYER_MM = 2.4


def setup_pdf(piece: Piece, report: SetupReport) -> bytes:
    """One page and more; deterministic."""
    head = (
        f"#set document(title: {quoted(piece.heading)}, date: none)",
        f'#set page(paper: "a4", margin: 18mm)\n#set text(font: "{TEXT}", size: 9pt)\n#set par(spacing: 0.7em)',
        f"#text(size: 16pt, {quoted(piece.heading + ': set-up')})",
    )
    source = "\n".join([*head, *_findings(piece, report), *_carry(report), *_plan(report)])
    return to_pdf(source)


def _plan(report: SetupReport) -> Iterator[str]:
    plan = report.plan
    if not plan.standing:
        return
    wide, deep = extent(plan)
    scale = next((s for s in _SCALES if wide * 1000 / s <= _WIDE and deep * 1000 / s <= _DEEP), _SCALES[-1])
    sheet = _PlanSheet(plan, scale)
    size = f"width: {sheet.wide:.2f}mm, height: {sheet.deep + 8:.2f}mm"
    yield "#heading(level: 2, [Where everything stands])"
    yield f"#block({size}, breakable: false)[{''.join(_drawn(report, sheet))}]"
    yield f"#text(size: 8pt)[Scale 1:{scale}. The audience is below; dashed lines: who breathes together.]"
    yield from (f"#par({quoted(line)})" for line in floor_key(plan))
    yield from (f"#par({quoted(f'Players {line}.')})" for line in sight_lines(report.set_up, plan))


class _PlanSheet:
    """Metres on the floor to millimetres on the sheet."""

    def __init__(self, plan: FloorPlan, scale: int) -> None:
        points = plan.points()
        self.factor = 1000 / scale
        self.left, self.top = min(p.x for p in points), max(p.y for p in points)
        wide, deep = extent(plan)
        self.wide, self.deep = wide * self.factor + 2 * _PLAYER_MM, deep * self.factor + 2 * _PLAYER_MM

    def at(self, point: Point) -> tuple[float, float]:
        """Where a point lies, mm from the left and from the top."""
        return (point.x - self.left) * self.factor + _PLAYER_MM, (self.top - point.y) * self.factor + _PLAYER_MM


def _drawn(report: SetupReport, sheet: _PlanSheet) -> Iterator[str]:
    """Boxes, sight lines and players, the ruler of one metre."""
    for sight in report.sights:
        ends = ", ".join(f"{name}: {_pair(sheet.at(at))}" for name, at in (("start", sight.start), ("end", sight.end)))
        yield f'#place(line({ends}, stroke: (paint: gray, thickness: 0.5pt, dash: "dashed")))'
    for letter, box in lettered(report.plan):
        corners = ", ".join(_pair(sheet.at(corner)) for corner in box.corners)
        yield f"#place(polygon(fill: white, stroke: 0.6pt, {corners}))"
        middle = Point(sum(c.x for c in box.corners) / 4, sum(c.y for c in box.corners) / 4)
        yield _label(sheet.at(middle), letter, 8)
    for each in report.plan.standing:
        x, y = sheet.at(each.at)
        corner = f"dx: {x - _PLAYER_MM:.2f}mm, dy: {y - _PLAYER_MM:.2f}mm"
        yield f"#place({corner}, circle(radius: {_PLAYER_MM}mm, fill: black))"
        look = x + 2 * _PLAYER_MM * sin(radians(each.facing)), y + 2 * _PLAYER_MM * cos(radians(each.facing))
        yield f"#place(line(start: {_pair((x, y))}, end: {_pair(look)}, stroke: 1pt))"
        yield _label((x, y), f"{each.player}", 8, "white")
    yield f"#place(dy: {sheet.deep + 4:.2f}mm, line(length: {sheet.factor:.2f}mm, stroke: 1pt))"
    yield _label((sheet.factor / 2, sheet.deep + 6.5), "1 m", 7)


def _label(at: tuple[float, float], text: str, size: int, fill: str = "black") -> str:
    box = f"box(width: 16mm, height: 5mm, align(center + horizon, text(size: {size}pt, fill: {fill}, {quoted(text)})))"
    return f"#place(dx: {at[0] - 8:.2f}mm, dy: {at[1] - 2.5:.2f}mm, {box})"


def _carry(report: SetupReport) -> Iterator[str]:
    if not report.gear:
        return
    yield "#heading(level: 2, [To carry])"
    rows = []
    for item in report.gear:
        note = ("nobody owns one; " if item.owned is False else "") + item.note
        rows.append(f"[#{quoted(item.what)}], [#{quoted(players_text(item))}], [#{quoted(note)}]")
    yield f"#table(columns: (1.2fr, auto, 2.2fr), stroke: 0.3pt, [what], [for], [note], {', '.join(rows)})"
    hint = tubes_hint(report.gear)
    if hint:
        yield f"#par({quoted(hint)})"


def _findings(piece: Piece, report: SetupReport) -> Iterator[str]:
    yield "#heading(level: 2, [Findings])"
    yield from (f"#par({quoted(text)})" for text in (*report.cautions, *report.unchecked))
    if not report.findings and report.plan.standing:
        yield f"#par({quoted('No problems.')})"
    for finding in report.findings:
        yield f"#par({quoted(finding_line(piece, finding))})"
        if finding.helps:
            yield f"#pad(left: 6mm, par(emph({quoted('would help: ' + finding.helps)})))"


def _pair(at: tuple[float, float]) -> str:
    return f"({at[0]:.2f}mm, {at[1]:.2f}mm)"
