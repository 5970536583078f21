"""Engraved systems, title, legend and page feet put together to a PDF."""

import re
from collections.abc import Sequence
from math import ceil, isinf
from typing import NamedTuple

from score.parts.engraver import SVG, UNITS_PER_MM, EngravedSystem
from score.parts.paper import Paper
from score.printing.fonts import MUSIC, TEXT
from score.printing.hand_signs import HAND
from score.printing.typesetting import quoted, to_pdf

_TITLE_MM, _PLAYER_MM, _LEGEND_MM, _AIR_MM = 10.0, 7.0, 4.0, 5.0
_LETTERS_A_LINE = 118
_RIM_MM = 3.0
_USED = re.compile(r'href="#([^"]+)"')
_FONT = re.compile(rf'font-family="(?!{MUSIC}"|{HAND}")[^"]*"')


class FirstPage(NamedTuple):
    """What stands above the music on the first page.

    Attributes:
        title: of the piece.
        player: whose part.
        legend: sentences below the title.
    """

    title: str
    player: str
    legend: tuple[str, ...]

    @property
    def height_mm(self) -> float:
        """Height it takes, mm."""
        lines = sum(ceil(len(sentence) / _LETTERS_A_LINE) for sentence in self.legend)
        return _TITLE_MM + _PLAYER_MM + lines * _LEGEND_MM + _AIR_MM


class PlacedSystem(NamedTuple):
    """A system and the distance of its upper edge from the top of the page, mm."""

    system: EngravedSystem
    y: float


def bind(
    pages: Sequence[Sequence[PlacedSystem]],
    paper: Paper,
    front: FirstPage,
    turns: Sequence[tuple[float, float]],
) -> bytes:
    """The PDF.

    Args:
        pages: placed systems, page by page.
        paper: the sheet.
        front: what stands on top of the first page.
        turns: for each page but the last (seconds of free hands, seconds wanted).
    """
    blocks = []
    for number, page in enumerate(pages, start=1):
        block = [_front(front, paper)] if number == 1 else [_running_head(front, paper)]
        block += [_image(placed, paper) for placed in page]
        block.append(_foot(number, turns[number - 1] if number <= len(turns) else None, paper))
        blocks.append("\n".join(block))
    document = _setting(paper, front) + "\n#pagebreak()\n".join(blocks)
    return to_pdf(document)


def _setting(paper: Paper, front: FirstPage) -> str:
    return (
        f"#set document(title: {quoted(f'{front.title} - {front.player}')}, date: none)\n"
        f"#set page(width: {paper.width}mm, height: {paper.height}mm, margin: 0mm)\n"
        f"#set text(font: {quoted(TEXT)}, size: 10pt)\n"
    )


def _front(front: FirstPage, paper: Paper) -> str:
    y = paper.top + _TITLE_MM + _PLAYER_MM
    legend = " #linebreak() ".join(f"#{quoted(sentence)}" for sentence in front.legend)
    return "\n".join(
        (
            _place(0, paper.top, paper.width, f"#align(center, text(size: 17pt, {quoted(front.title)}))"),
            _place(
                paper.side,
                paper.top + _TITLE_MM,
                paper.music_width,
                f"#text(size: 12pt, weight: {quoted('bold')}, {quoted(front.player)})",
            ),
            _place(paper.side, y, paper.music_width, f"#set text(size: 8.5pt)\n#set par(leading: 1.2mm)\n{legend}"),
        )
    )


def _running_head(front: FirstPage, paper: Paper) -> str:
    words = quoted(f"{front.title}, {front.player}")
    return _place(paper.side, paper.top - 6, paper.music_width, f"#align(right, text(size: 8pt, {words}))")


def _foot(number: int, turn: tuple[float, float] | None, paper: Paper) -> str:
    y = paper.height - paper.bottom + 7
    foot = _place(0, y, paper.width, f"#align(center)[#{quoted(str(number))}]")
    if turn is None:
        return foot
    words = quoted(_turn_words(*turn))
    return f"{foot}\n{_place(paper.side, y, paper.music_width, f'#align(right)[#{words}]')}"


def _turn_words(seconds: float, wanted: float) -> str:
    if isinf(seconds):
        return "turn: you have finished"
    text = f"{seconds:.0f} s" if seconds >= 10 else f"{seconds:.1f} s"
    return f"turn: {text} free" if seconds >= wanted else f"turn: only {text}"


def _place(x: float, y: float, width: float, body: str) -> str:
    return f"#place(top + left, dx: {x:.2f}mm, dy: {y:.2f}mm, block(width: {width:.2f}mm)[{body}])"


def _image(placed: PlacedSystem, paper: Paper) -> str:
    """A system across the whole sheet; a rim above and below, for nothing that reaches further than was thought."""
    height = placed.system.height_mm + 2 * _RIM_MM
    return (
        f"#place(top + left, dx: 0mm, dy: {placed.y - _RIM_MM:.3f}mm, "
        f'image(bytes({quoted(_svg(placed.system, paper))}), format: "svg", '
        f"width: {paper.width:.3f}mm, height: {height:.3f}mm))"
    )


def _svg(system: EngravedSystem, paper: Paper) -> str:
    """The system alone as an SVG document as wide as the sheet."""
    top, height = system.top - _RIM_MM * UNITS_PER_MM, system.bottom - system.top + 2 * _RIM_MM * UNITS_PER_MM
    view = f"{-paper.side * UNITS_PER_MM:.0f} {top:.0f} {paper.width * UNITS_PER_MM:.0f} {height:.0f}"
    symbols = "".join(system.symbols[name] for name in sorted(set(_USED.findall(system.svg))))
    body = _FONT.sub(f'font-family="{TEXT}"', system.svg)
    return (
        f'<svg xmlns="{SVG.strip("{}")}" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="{view}">'
        f'<defs>{symbols}</defs><g font-family="{TEXT}" fill="black" stroke="black">{body}</g></svg>'
    )
