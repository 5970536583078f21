"""The rehearsal sheet: one page with a picture of the piece and every rehearsal's lines."""

from collections.abc import Sequence

from score.activity.who_moves import activity
from score.chunks.chunk import Chunk
from score.piece import Piece
from score.plan.plan import Plan, item_name
from score.plan.plan_texts import HEURISTIC, begins_at, rehearsal_heading
from score.printing.fonts import TEXT
from score.printing.typesetting import fills_one_page, quoted, to_pdf

_WIDTH, _HEIGHT, _SIDE = 210.0, 297.0, 15.0
_LABEL, _ROW = 22.0, 7.0
_SIZES = (9.0, 8.0, 7.0, 6.0, 5.0, 4.0, 3.0)
"""Sizes of the text in points, tried until everything stands on one page."""


def plan_sheet(plan: Plan, piece: Piece, chunks: Sequence[Chunk]) -> bytes:
    """The sheet as a PDF, A4, one page: text grows smaller where there are many lines.

    Args:
        plan: the plan.
        piece: the piece.
        chunks: its chunks, as the plan counts them.
    """
    for size in _SIZES:
        document = "\n".join((_setting(plan, size), _picture(plan, piece, chunks), _lists(plan)))
        if fills_one_page(document):
            break
    return to_pdf(document)


def _setting(plan: Plan, size: float) -> str:
    return (
        f"#set document(title: {quoted(plan.inputs.title)}, date: none)\n"
        f"#set page(width: {_WIDTH}mm, height: {_HEIGHT}mm, margin: {_SIDE}mm)\n"
        f"#set text(font: {quoted(TEXT)}, size: {size:.1f}pt)\n"
        f"#text(size: 16pt, {quoted(plan.inputs.title)})\n"
        f"#h(1fr) #text(size: 10pt, {quoted(f'concert {plan.inputs.concert}')})\n"
    )


def _picture(plan: Plan, piece: Piece, chunks: Sequence[Chunk]) -> str:
    """Bars from left to right: marks, who plays when, chunks with what they ask together."""
    width = _WIDTH - 2 * _SIDE - _LABEL
    scale = width / len(piece.bars)
    facts = activity(piece)
    height = 8 + _ROW * len(piece.players) + 14
    parts = [f"#block(width: 100%, height: {height}mm)[#set text(size: 8pt)"]
    for bar in piece.bars:
        if bar.rehearsal_mark:
            parts.append(_at(_LABEL + bar.index * scale, 0, f"#strong({quoted(bar.rehearsal_mark)})"))
    for row, player in enumerate(piece.players):
        y = 6 + row * _ROW
        parts.append(_at(0, y + 1, f"#{quoted(player.short)}"))
        for index in range(len(piece.bars)):
            here = facts.rows[facts.row(player.number)][index]
            if here.sounds:
                grey = 85 - min(75, 12 * len(here.onsets))
                parts.append(_box(_LABEL + index * scale, y, scale, _ROW - 2, f"luma({grey}%)"))
    y = 7 + _ROW * len(piece.players)
    parts.append(_at(0, y, "#[chunks]"))
    for chunk, material in zip(chunks, plan.inputs.chunks, strict=True):
        left, wide = _LABEL + chunk.first * scale, len(chunk.bars) * scale
        parts.append(_box(left, y, wide, 5, "none", stroke="0.4pt"))
        parts.append(_at(left + 0.6, y + 1, f"#{quoted(chunk.name)}"))
        parts.append(_box(left, y + 6.5, wide * material.together, 2, "black"))
        parts.append(_box(left, y + 6.5, wide, 2, "none", stroke="0.3pt"))
    parts.append(_at(0, y + 6, "#[together]"))
    parts.append("]")
    return "\n".join(parts)


def _lists(plan: Plan) -> str:
    blocks = []
    for rehearsal, items in zip(plan.inputs.rehearsals, plan.items, strict=True):
        rows = [
            f"[{begins_at(rehearsal, item)}], [{item.minutes}], [#{quoted(item_name(plan.inputs, item))}], "
            f"[#{quoted(item.reason)}]"
            for item in items
        ]
        blocks.append(
            f"#block(breakable: false)[#strong({quoted(rehearsal_heading(rehearsal))})\n"
            f"#table(columns: (auto, auto, 1fr, 1.4fr), stroke: 0.2pt, inset: 1.2mm, {', '.join(rows)})]"
        )
    left = [f"#strong[No time for] #{quoted('; '.join(plan.left_out))}"] if plan.left_out else []
    body = "\n".join([*blocks, *left, f"#emph({quoted(HEURISTIC)})"])
    return f"#columns(2, gutter: 5mm)[\n{body}\n]"


def _at(x: float, y: float, body: str) -> str:
    return f"#place(top + left, dx: {x:.2f}mm, dy: {y:.2f}mm)[{body}]"


def _box(x: float, y: float, width: float, height: float, fill: str, stroke: str = "none") -> str:
    shape = f"rect(width: {width:.2f}mm, height: {height:.2f}mm, fill: {fill}, stroke: {stroke})"
    return f"#place(top + left, dx: {x:.2f}mm, dy: {y:.2f}mm, {shape})"
