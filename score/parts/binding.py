"""Engraved systems, title, legend and page feet put together to a PDF."""

from collections.abc import Collection, Mapping, Sequence
from math import isinf
from typing import NamedTuple

from score.parts.drawn_staves import UNITS_PER_MM
from score.parts.engraver import EngravedSystem
from score.parts.front_drawing import SKETCH_HEIGHT, SKETCH_WIDTH, sketch_svg
from score.parts.paper import Paper
from score.parts.system_drawing import page_svg
from score.parts.title_block import (
    KEY_AIR,
    FirstPage,
    TextLine,
    keys_height,
    rights_lines,
    set_lines,
    sketch_top,
    title_lines,
)
from score.printing.fonts import TEXT
from score.printing.text_width import shortened, text_width
from score.printing.typesetting import quoted, to_pdf

_HEAD, _FOOT = 9.0, 10.0
"""Sizes of running head and foot in points."""
_TURN_PART = 0.4
"""Of the width: what the words on a turn may take."""


class PlacedSystem(NamedTuple):
    """A system and the distance of its upper edge from the top of the page, mm."""

    system: EngravedSystem
    y: float


def bind(
    pages: Sequence[Sequence[PlacedSystem]],
    paper: Paper,
    front: FirstPage,
    turns: Mapping[int, tuple[float, float]],
    only: Collection[int] | None = None,
) -> bytes:
    """The PDF.

    Args:
        pages: placed systems, page by page; none on a blank page.
        paper: the sheet.
        front: what stands on top of the first page.
        turns: for each page after which is turned, from 1, (seconds of free hands, seconds wanted).
        only: numbers of the pages to bind; all of them where None.
    """
    blocks = []
    for number, page in enumerate(pages, start=1):
        if only is not None and number not in only:
            continue
        block = [_front(front, paper)] if number == 1 else [_running_head(front, paper)]
        block += [_music(page, paper)] if page else []
        block.append(_foot(number, "" if page or number == 1 else "blank for the turn", turns.get(number), paper))
        blocks.append("\n".join(block))
    return to_pdf(_setting(paper, front) + "\n#pagebreak()\n".join(blocks))


def _setting(paper: Paper, front: FirstPage) -> str:
    return (
        f"#set document(title: {quoted(f'{front.title} - {front.player}')}, date: none)\n"
        f"#set page(width: {paper.width}mm, height: {paper.height}mm, margin: 0mm)\n"
        f"#set text(font: {quoted(TEXT)}, size: {_FOOT}pt)\n"
    )


def _front(front: FirstPage, paper: Paper) -> str:
    lines, height = title_lines(front, paper)
    above = set_lines(lines, paper, paper.top)
    y = paper.top + height - keys_height(front)
    drawings = [_sketch(front, paper.top + sketch_top(front, paper), paper)] if front.sketch else []
    keys: list[PlacedSystem] = []
    for key in front.keys:
        keys.append(PlacedSystem(key, y - KEY_AIR))
        y += key.height_mm + KEY_AIR
    drawings += [_music(keys, paper)] if keys else []
    return "\n".join((above, *drawings, set_lines(rights_lines(front, paper), paper, paper.foot)))


def _sketch(front: FirstPage, y: float, paper: Paper) -> str:
    x = paper.width - paper.side - SKETCH_WIDTH
    return (
        f"#place(top + left, dx: {x:.2f}mm, dy: {y:.2f}mm, image(bytes({quoted(sketch_svg(front.sketch))}), "
        f'format: "svg", width: {SKETCH_WIDTH}mm, height: {SKETCH_HEIGHT}mm))'
    )


def _running_head(front: FirstPage, paper: Paper) -> str:
    width = paper.music_width
    player = shortened(front.player, 0.5 * width, _HEAD)
    title = shortened(front.title, width - text_width(f", {player}", _HEAD), _HEAD)
    return set_lines([TextLine(f"{title}, {player}", 0.0, _HEAD, align="right")], paper, paper.head)


def _foot(number: int, word: str, turn: tuple[float, float] | None, paper: Paper) -> str:
    lines = [TextLine(str(number), 0.0, _FOOT, align="center")]
    words = word if turn is None else turn_words(*turn)
    if words:
        lines.append(TextLine(shortened(words, _TURN_PART * paper.music_width, _FOOT), 0.0, _FOOT, align="right"))
    return set_lines(lines, paper, paper.foot)


def turn_words(seconds: float, wanted: float) -> str:
    """What a foot says of the turn after its page."""
    if isinf(seconds):
        return "turn: you have finished"
    text = f"{seconds:.0f} s" if seconds >= 10 else f"{seconds:.1f} s"
    return f"turn: {text} free" if seconds >= wanted else f"turn: only {text}"


def _music(systems: Sequence[PlacedSystem], paper: Paper) -> str:
    """Systems in their places, as one drawing over the whole sheet."""
    moved = [(system, paper.side * UNITS_PER_MM, y * UNITS_PER_MM - system.top) for system, y in systems]
    view = f"0 0 {paper.width * UNITS_PER_MM:.0f} {paper.height * UNITS_PER_MM:.0f}"
    return (
        f'#place(top + left, image(bytes({quoted(page_svg(moved, view))}), format: "svg", '
        f"width: {paper.width}mm, height: {paper.height}mm))"
    )
