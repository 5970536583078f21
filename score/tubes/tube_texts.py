"""A set, its cut list, frame and log as plain text and as JSON."""

import textwrap
from collections.abc import Sequence
from typing import Any

from score.tubes.cautions import CAUTIONS
from score.tubes.cutting.cut_list import CutPlan
from score.tubes.frame import Frame
from score.tubes.tube_files import Made
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
    stick_picture,
)
from score.tubes.tuning_log import Log, Trim
from score.tubes.units import show_length

WIDTH = 78
"""Characters of a line, unless another width is asked for."""

_OURS = 7
"""Columns of `LENGTH_HEAD` before those of the plain proportion."""


def tubes_text(design: Made, unit: str = "mm", width: int = WIDTH) -> str:
    """Everything in words: cautions first, then warnings, lengths, cut list and frame.

    Args:
        design: what was worked out.
        unit: of the lengths shown, one of `units.UNITS`.
        width: characters a line may have; tables keep their columns.
    """
    tubes = design.tubes
    rows = length_rows(tubes, unit)
    said = (SPREAD_LINE, hand_line(tubes), concert_line(tubes), next_line(tubes, unit))
    blocks = [
        ["Before you cut", *(_wrapped(caution, width, "  - ") for caution in CAUTIONS)],
        [_wrapped(basis_line(tubes), width)],
        [_wrapped(warning, width, "! ") for warning in tubes.warnings],
        columns(LENGTH_HEAD[:_OURS], [row[:_OURS] for row in rows], width),
        [_wrapped(line, width) for line in said if line],
        [_wrapped(proportion_line(tubes, unit), width)],
        columns(_plain(LENGTH_HEAD), [_plain(row) for row in rows], width),
        _cut_lines(design.cutting, unit, width) if design.cutting else [],
        _frame_lines(design, design.frame, unit, width),
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block)


def log_text(log: Log, trims: Sequence[Trim], unit: str = "mm", width: int = WIDTH) -> str:
    """What to do with every tube that was heard, and which were not yet."""
    lines = []
    for trim in trims:
        off = f"{trim.off:+.1f} cents from {trim.target:.2f} Hz in this air"
        said = f"{trim.tube}: {off}, about {show_length(trim.length, unit)} long. {' '.join(trim.advice)}"
        lines.append(_wrapped(said, width))
    heard = {entry.tube for entry in log.heard}
    left = [tube.name for tube in log.tubes if tube.name not in heard]
    if left:
        lines.append(_wrapped(f"Not heard yet: {', '.join(left)}.", width))
    return "\n".join(lines)


def columns(head: Sequence[str], rows: Sequence[Sequence[str]], width: int = WIDTH) -> list[str]:
    """A table in characters: the first column to the left, the others to the right; closer together if too wide."""
    every = [tuple(head), *rows]
    widths = [max(len(row[n]) for row in every) for n in range(len(head))]
    between = "  " if sum(widths) + 2 * (len(widths) - 1) <= width else " "
    return [
        between.join(
            cell.ljust(w) if not n else cell.rjust(w) for n, (cell, w) in enumerate(zip(row, widths, strict=True))
        )
        for row in every
    ]


def tubes_json(design: Made) -> dict[str, Any]:
    """Everything as plain values; lengths in mm, frequencies in Hz."""
    tubes, fit = design.tubes, design.tubes.fit
    return {
        "cautions": list(CAUTIONS),
        "warnings": [*tubes.warnings, *design.frame.warnings],
        "basis": {
            "inside_mm": tubes.request.column.pipe.inside,
            "outside_mm": tubes.request.column.pipe.outside,
            "capped": tubes.request.column.capped,
            "measured": [tube.text for tube in fit.used],
            "scale": fit.scale,
            "end_mm": fit.end,
            "covariance": list(fit.covariance),
        },
        "tubes": [_tube_json(tube) for tube in tubes.tubes],
        "measure_next": None if tubes.next_tube is None else _fields(tubes.next_tube),
        "cutting": None if design.cutting is None else _cutting_json(design.cutting),
        "frame": {
            "width_mm": design.frame.width,
            "depth_mm": design.frame.depth,
            "plate_below_mm": design.frame.plate_below,
            "holes": [_fields(hole) for hole in design.frame.holes],
        },
    }


def trims_json(trims: Sequence[Trim]) -> list[dict[str, Any]]:
    """What to do with every tube that was heard, as plain values."""
    return [_fields(trim) | {"advice": list(trim.advice)} for trim in trims]


def _cut_lines(cutting: CutPlan, unit: str, width: int) -> list[str]:
    lines = ["Cut list", _wrapped(cut_line(cutting, unit), width)]
    for index in range(len(cutting.sticks)):
        lines.extend((stick_picture(cutting, index, width - 2), _wrapped(stick_line(cutting, index, unit), width)))
    return lines


def _frame_lines(design: Made, frame: Frame, unit: str, width: int) -> list[str]:
    rows = measure_rows(design.tubes, frame, unit)
    return [
        _wrapped(frame_line(frame, unit), width),
        *(_wrapped(warning, width, "! ") for warning in frame.warnings),
        *columns(_without_hole(MEASURE_HEAD), [_without_hole(row) for row in rows], width),
        _wrapped(NODE_LINE, width),
    ]


def _plain(row: Sequence[str]) -> tuple[str, ...]:
    return row[0], row[2], *row[_OURS:]


def _without_hole(row: Sequence[str]) -> tuple[str, ...]:
    """The holes are all alike: the line above the table gives their size."""
    return *row[:3], *row[4:]


def _wrapped(text: str, width: int, mark: str = "") -> str:
    return textwrap.fill(text, width, initial_indent=mark, subsequent_indent=" " * len(mark))


def _tube_json(tube: Any) -> dict[str, Any]:
    fields = _fields(tube)
    wanted = fields.pop("wanted")
    return {"name": wanted.name, "midi": wanted.midi, "frequency": wanted.frequency, **fields}


def _cutting_json(cutting: CutPlan) -> dict[str, Any]:
    return {
        "kerf_mm": cutting.kerf,
        "proven": cutting.proven,
        "new_sticks": cutting.bought,
        "sticks": [
            {
                "length_mm": stick.stock.length,
                "leftover": stick.stock.leftover,
                "tubes": [cutting.names[piece] for piece in stick.pieces],
                "used_mm": stick.used,
                "rest_mm": stick.rest,
            }
            for stick in cutting.sticks
        ],
    }


def _fields(value: Any) -> dict[str, Any]:
    from dataclasses import fields

    return {field.name: getattr(value, field.name) for field in fields(value)}
