"""Two papers for the workshop: the sheet with everything on it, and the template alone."""

from collections.abc import Sequence
from math import pi

from score.errors import RequestError
from score.printing.typesetting import quoted, to_pdf
from score.tubes.cautions import CAUTIONS
from score.tubes.cutting.cut_list import CutPlan
from score.tubes.drill_template import PAPERS
from score.tubes.frame import Frame
from score.tubes.frame_drawing import (
    box,
    circle,
    heading,
    lead,
    line,
    listed,
    paragraph,
    setting,
    table,
    template_pages,
    words,
)
from score.tubes.tube_lengths import TubeSet
from score.tubes.tube_rows import (
    LENGTH_HEAD,
    MEASURE_HEAD,
    NODE_LINE,
    SPREAD_LINE,
    basis_line,
    concert_line,
    cut_line,
    frame_line,
    hand_line,
    length_rows,
    measure_rows,
    next_line,
    proportion_line,
    stick_line,
)
from score.tubes.units import show_length, show_rounded_up

_LOG_LINES = 3


def template_pdf(frame: Frame, paper: str = "a4") -> bytes:
    """The drilling template alone, 1:1, over as many pages as it needs.

    Raises:
        RequestError: no such paper.
    """
    return to_pdf(setting("Drilling template", _paper(paper)) + "\n" + template_pages(frame, paper))


def workshop_sheet(
    tubes: TubeSet, cutting: CutPlan | None, frame: Frame | None, paper: str = "a4", unit: str = "mm"
) -> bytes:
    """One PDF: cautions, shopping list, lengths, cut list, frame, log table and template.

    Args:
        tubes: the set.
        cutting: its cut list, None to leave it out.
        frame: its frame, None to leave frame and template out.
        paper: one of `template.PAPERS`.
        unit: of the lengths shown, one of `units.UNITS`.

    Raises:
        RequestError: no such paper.
    """
    parts = [
        setting(f"Tubes {_range(tubes)}", _paper(paper)),
        f"#text(size: 17pt, {quoted(f'Tubes {_range(tubes)}')})",
        _cautions(),
        paragraph(basis_line(tubes)),
        heading("To buy and to have"),
        listed(shopping(tubes, cutting, frame, unit)),
        heading("Lengths"),
        table(LENGTH_HEAD, length_rows(tubes, unit)),
        *(paragraph(line) for line in (*tubes.warnings, *_length_lines(tubes, unit))),
    ]
    width = PAPERS[paper][0] - 32
    if cutting is not None:
        parts.extend((heading("Cut list"), lead(cut_line(cutting, unit)), _cut_list(cutting, width, unit)))
    if frame is not None:
        parts.extend((heading("Frame"), _overview(frame, width, unit), paragraph(frame_line(frame, unit))))
        parts.extend((table(MEASURE_HEAD, measure_rows(tubes, frame, unit)), paragraph(NODE_LINE)))
        parts.extend(paragraph(warning) for warning in frame.warnings)
    parts.append(_log_table(tubes, unit))
    if frame is not None:
        parts.append(template_pages(frame, paper))
    return to_pdf("\n".join(parts))


def shopping(tubes: TubeSet, cutting: CutPlan | None, frame: Frame | None, unit: str = "mm") -> tuple[str, ...]:
    """What to buy, one line each."""
    pipe, count = tubes.request.column.pipe, len(tubes.to_cut)
    sized = f"{pipe.name or 'pipe'} (inside {pipe.inside:.1f} mm, outside {pipe.outside:.1f} mm)"
    lines = []
    if not count:
        lines.append(f"no pipe: every tube of {sized} is in hand")
    elif cutting is None:
        lines.append(f"{show_rounded_up(sum(tube.cut for tube in tubes.to_cut), unit)} of {sized}, and the saw's cuts")
    else:
        for length in sorted(
            {stick.stock.length for stick in cutting.sticks if not stick.stock.leftover}, reverse=True
        ):
            many = sum(s.stock.length == length and not s.stock.leftover for s in cutting.sticks)
            lines.append(f"{many} × {show_length(length, unit)} of {sized}")
        if not cutting.bought:
            lines.append(f"no new pipe: all tubes come out of leftovers of {sized}")
    if tubes.request.column.capped and count:
        lines.append(
            f"{count} caps for it, all alike, and a spare one" if count > 1 else "a cap for it and a spare one"
        )
    if frame is not None:
        around = sum(pi * hole.diameter for hole in frame.holes)
        lines.append(
            f"plywood {show_rounded_up(frame.width, unit)} × {show_rounded_up(frame.depth, unit)}, and a backing board"
        )
        lines.append(f"hole saw of {show_length(frame.holes[0].diameter, unit)} or the next larger")
        lines.append(f"soft cord, foam or felt for the holes, {show_rounded_up(around, unit)} in all")
    lines.append("fine-tooth saw, V-block or mitre box, clamps, deburring tool or knife, abrasive paper")
    lines.append("steel rule, thermometer, a way to read pitch in cents, eye and ear protection, dust mask")
    return tuple(lines)


def _range(tubes: TubeSet) -> str:
    first, last = tubes.tubes[0].wanted.name, tubes.tubes[-1].wanted.name
    return first if first == last else f"{first} to {last}"


def _paper(paper: str) -> str:
    if paper not in PAPERS:
        raise RequestError("No such paper", f"{paper!r} is not known", f"choose {', '.join(PAPERS)}")
    return paper


def _cautions() -> str:
    lines = "\n".join(f"#par({quoted(caution)})" for caution in CAUTIONS)
    return f"#block(width: 100%, stroke: 1pt, inset: 3mm)[#strong[First]\n{lines}]"


def _cut_list(cutting: CutPlan, width: float, unit: str) -> str:
    """Every stick drawn to one scale over its line."""
    scale = width / max(stick.stock.length for stick in cutting.sticks)
    blocks = []
    for number, stick in enumerate(cutting.sticks, 1):
        x, marks = 0.0, [box(0, 0, stick.stock.length * scale, 6, "luma(88%)")]
        for piece in stick.pieces:
            wide = cutting.lengths[piece] * scale
            marks.append(box(x, 0, wide, 6, "white"))
            marks.append(words(x + 0.8, 1.4, cutting.names[piece], 8))
            x += wide + cutting.kerf * scale
        drawn = f"#block(width: {width:.2f}mm, height: 6mm)[{' '.join(marks)}]"
        said = paragraph(stick_line(cutting, number - 1, unit))
        blocks.append(f"#block(breakable: false, below: 3mm)[{drawn}\n{said}]")
    return "\n".join(blocks)


def _length_lines(tubes: TubeSet, unit: str) -> list[str]:
    """What must be known to read the table of lengths."""
    lines = (SPREAD_LINE, hand_line(tubes), concert_line(tubes), next_line(tubes, unit), proportion_line(tubes, unit))
    return [line for line in lines if line]


def _overview(frame: Frame, width: float, unit: str) -> str:
    """The plate from above, as large as fits, with its measures."""
    scale = min((width - 20) / frame.width, 90 / frame.depth)
    wide, deep = frame.width * scale, frame.depth * scale
    marks = [box(0, 0, wide, deep)]
    for hole in frame.holes:
        x, y = hole.x * scale, (frame.depth - hole.y) * scale
        marks.extend((circle(x, y, hole.diameter / 2 * scale), words(x - 2, y - 1.5, hole.name, 7)))
    marks.append(line(0, deep + 3, wide, 0))
    marks.append(words(0, deep + 4, f"{show_length(frame.width, unit)}, the players' side"))
    marks.append(words(wide + 2, deep / 2 - 2, show_length(frame.depth, unit)))
    return f"#block(breakable: false, width: {width:.2f}mm, height: {deep + 11:.2f}mm)[{' '.join(marks)}]"


def _log_table(tubes: TubeSet, unit: str) -> str:
    """Empty lines to write each trim into, with what must be known to judge it."""
    head = ("Tube", "tune to", "mm per cent", "temperature", "length", "pitch heard", "cut off")
    rows: list[Sequence[str]] = []
    for tube in tubes.tubes:
        target = f"{tube.workshop_pitch:.2f} Hz ({tube.workshop_cents:+.1f}c)"
        rows.append((tube.wanted.name, target, f"{tube.mm_per_cent:.2f}", "", show_length(tube.cut, unit), "", ""))
        rows.extend([("", "", "", "", "", "", "")] * (_LOG_LINES - 1))
    warm = tubes.request.workshop.celsius
    note = f"Tune in the workshop at {warm:g} °C; another temperature shifts every pitch by 3 cents a degree."
    return "\n".join(("#pagebreak()", heading("Log"), paragraph(note), table(head, rows)))
