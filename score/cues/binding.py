"""Engraved systems, title, legend and page feet put together to a PDF."""

import json
from collections.abc import Sequence
from copy import deepcopy
from dataclasses import dataclass
from math import ceil, isinf

from lxml import etree

from score.cues.engraver import SVG, UNITS_PER_MM, System
from score.cues.fonts import MUSIC, TEXT, font_folder
from score.cues.paper import Paper

_TITLE_MM, _PLAYER_MM, _LEGEND_MM, _AIR_MM = 10.0, 7.0, 4.0, 5.0
_LETTERS_A_LINE = 118
_UNSEEN = ("bounding-box", "placeholder", "systemMilestoneEnd", "pageMilestoneEnd")
_NAMESPACES = {"xlink": "http://www.w3.org/1999/xlink"}
_XLINK = "{http://www.w3.org/1999/xlink}href"


@dataclass(frozen=True, slots=True)
class FirstPage:
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


@dataclass(frozen=True, slots=True)
class PlacedSystem:
    """A system and the distance of its upper edge from the top of the page, mm."""

    system: System
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
    import typst

    files: dict[str, bytes] = {}
    blocks = []
    for number, page in enumerate(pages, start=1):
        block = [_front(front, paper)] if number == 1 else [_running_head(front, paper)]
        for placed in page:
            name = f"system-{len(files) + 1}.svg"
            files[name] = _svg(placed.system)
            block.append(_image(name, placed, paper))
        block.append(_foot(number, turns[number - 1] if number <= len(turns) else None, paper))
        blocks.append("\n".join(block))
    files["main.typ"] = (_setting(paper, front) + "\n#pagebreak()\n".join(blocks)).encode()
    # Its type stubs do not know that a document may be given as a set of files in memory.
    made: bytes = typst.compile(  # type: ignore[call-overload]
        files, format="pdf", font_paths=[font_folder()], ignore_system_fonts=True
    )
    return made


def _setting(paper: Paper, front: FirstPage) -> str:
    return (
        f"#set document(title: {_quoted(f'{front.title} - {front.player}')}, date: none)\n"
        f"#set page(width: {paper.width}mm, height: {paper.height}mm, margin: 0mm)\n"
        f"#set text(font: {_quoted(TEXT)}, size: 10pt)\n"
    )


def _front(front: FirstPage, paper: Paper) -> str:
    y = paper.top + _TITLE_MM + _PLAYER_MM
    legend = " #linebreak() ".join(f"#{_quoted(sentence)}" for sentence in front.legend)
    return "\n".join(
        (
            _place(0, paper.top, paper.width, f"#align(center, text(size: 17pt, {_quoted(front.title)}))"),
            _place(
                paper.side,
                paper.top + _TITLE_MM,
                paper.music_width,
                f"#text(size: 12pt, weight: {_quoted('bold')}, {_quoted(front.player)})",
            ),
            _place(paper.side, y, paper.music_width, f"#set text(size: 8.5pt)\n#set par(leading: 1.2mm)\n{legend}"),
        )
    )


def _running_head(front: FirstPage, paper: Paper) -> str:
    words = _quoted(f"{front.title}, {front.player}")
    return _place(paper.side, paper.top - 6, paper.music_width, f"#align(right, text(size: 8pt, {words}))")


def _foot(number: int, turn: tuple[float, float] | None, paper: Paper) -> str:
    y = paper.height - paper.bottom + 7
    foot = _place(0, y, paper.width, f"#align(center)[#{_quoted(str(number))}]")
    if turn is None:
        return foot
    words = _quoted(_turn_words(*turn))
    return f"{foot}\n{_place(paper.side, y, paper.music_width, f'#align(right)[#{words}]')}"


def _turn_words(seconds: float, wanted: float) -> str:
    if isinf(seconds):
        return "turn: you have finished"
    text = f"{seconds:.0f} s" if seconds >= 10 else f"{seconds:.1f} s"
    return f"turn: {text} free" if seconds >= wanted else f"turn: only {text}"


def _place(x: float, y: float, width: float, body: str) -> str:
    return f"#place(top + left, dx: {x:.2f}mm, dy: {y:.2f}mm, block(width: {width:.2f}mm)[{body}])"


def _image(name: str, placed: PlacedSystem, paper: Paper) -> str:
    box = placed.system.box
    x, width = paper.side + box.left / UNITS_PER_MM, (box.right - box.left) / UNITS_PER_MM
    return (
        f"#place(top + left, dx: {x:.3f}mm, dy: {placed.y:.3f}mm, "
        f"image({_quoted(name)}, width: {width:.3f}mm, height: {placed.system.height_mm:.3f}mm))"
    )


def _svg(system: System) -> bytes:
    """The system alone as an SVG document whose edges are the system's own box; the system is used up."""
    box = system.box
    view = f"{box.left:.0f} {box.top:.0f} {box.right - box.left:.0f} {box.bottom - box.top:.0f}"
    root = etree.Element(SVG + "svg", {"viewBox": view}, nsmap=_NAMESPACES)
    group = system.group
    for element in list(group.iter(SVG + "g")):
        kinds = element.get("class") or ""
        if any(kind in kinds for kind in _UNSEEN) or element.get("visibility") == "hidden":
            _drop(element)
    used = {href.lstrip("#") for use in group.iter(SVG + "use") if (href := use.get(_XLINK) or use.get("href"))}
    symbols = etree.SubElement(root, SVG + "defs")
    symbols.extend(deepcopy(symbol) for symbol in system.symbols if symbol.get("id") in used)
    for element in group.iter(SVG + "text", SVG + "tspan"):
        if element.get("font-family") not in (None, MUSIC):
            element.set("font-family", TEXT)
    wrapper = etree.SubElement(root, SVG + "g", {"font-family": TEXT, "fill": "black", "stroke": "black"})
    wrapper.append(group)
    return etree.tostring(root)


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _drop(element: etree._Element) -> None:
    parent = element.getparent()
    if parent is not None:
        parent.remove(element)
