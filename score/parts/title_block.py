"""What stands above the music on a part's first page, line by line, so that its height is known before it is set."""

from collections.abc import Iterator
from typing import NamedTuple

from score.parts.credits import Credits
from score.parts.engraver import EngravedSystem
from score.parts.front_drawing import SKETCH_HEIGHT, SKETCH_WIDTH
from score.parts.paper import Paper
from score.printing.text_width import lines_of, shortened
from score.printing.typesetting import quoted
from score.setup.player_notes import SketchBox

_TITLE, _PLAYER, _AUTHOR, _LEGEND, _RIGHTS = 17.0, 12.0, 10.0, 9.0, 7.5
"""Sizes in points."""
_LINE = 0.43
"""Distance of lines, mm a point."""
_TITLE_AIR, _AIR, _BESIDE, _SKETCH_AIR = 2.5, 5.0, 6.0, 2.0
_EDGE, _BELOW_NUMBER = 3.0, 4.5
"""Of the paper, left free; from the page number down to the copyright, mm."""
KEY_AIR = 2.0
"""Above the small staff of a key, mm."""


class FirstPage(NamedTuple):
    """What stands above the music on the first page.

    Attributes:
        title: of the piece.
        player: whose part.
        legend: sentences below the title.
        credits: who wrote it, whose it is.
        keys: small staves that say where each instrument is written.
        sketch: the set-up from the player's side, empty for none.
    """

    title: str
    player: str
    legend: tuple[str, ...]
    credits: Credits = Credits()
    keys: tuple[EngravedSystem, ...] = ()
    sketch: tuple[SketchBox, ...] = ()


class TextLine(NamedTuple):
    """A line of text placed on a page.

    Attributes:
        text: what it says.
        y: its upper edge, mm below that of the block.
        points: its size.
        align: "left", "center" or "right" between the margins.
        bold: in the bold cut.
    """

    text: str
    y: float
    points: float
    align: str = "left"
    bold: bool = False


def title_lines(front: FirstPage, paper: Paper) -> tuple[list[TextLine], float]:
    """The lines above the music and the height they take with the air below them, mm."""
    width, y = paper.music_width, 0.0
    lines: list[TextLine] = []
    for text in lines_of(front.title, width, _TITLE):
        lines.append(TextLine(text, y, _TITLE, align="center"))
        y += _TITLE * _LINE
    y += _TITLE_AIR if lines else 0.0
    named = list(_below(lines_of(front.player, 0.55 * width, _PLAYER, bold=True), y, _PLAYER, bold=True))
    authors = [line for author in front.credits.authors for line in lines_of(author, 0.42 * width, _AUTHOR)]
    written = list(_below(authors, y, _AUTHOR, align="right"))
    lines += named + written
    y = max([y, *(line.y + line.points * _LINE for line in (*named, *written))]) + 1.0
    sketch_end = y + (SKETCH_HEIGHT if front.sketch else 0.0)
    for sentence in front.legend:
        for text in lines_of(sentence, width - (SKETCH_WIDTH + _BESIDE if front.sketch else 0.0), _LEGEND):
            lines.append(TextLine(text, y, _LEGEND))
            y += _LEGEND * _LINE
    return lines, max(y + _AIR, sketch_end + _SKETCH_AIR) + keys_height(front)


def sketch_top(front: FirstPage, paper: Paper) -> float:
    """Upper edge of the sketch, mm below that of the block: beside the legend."""
    lines, height = title_lines(front, paper)
    legend = [line.y for line in lines if line.points == _LEGEND]
    return min(legend, default=height)


def keys_height(front: FirstPage) -> float:
    """Height of the small staves below the legend, mm."""
    return sum(key.height_mm + KEY_AIR for key in front.keys)


def rights_lines(front: FirstPage, paper: Paper) -> list[TextLine]:
    """The copyright in the first page's foot: below the page number as far as there is room, else beside it."""
    room = int((paper.height - _EDGE - paper.foot - _BELOW_NUMBER) / (_RIGHTS * _LINE))
    if room < 1:
        return [TextLine(shortened(front.credits.rights, 0.4 * paper.music_width, _RIGHTS), 0.8, _RIGHTS)]
    lines = lines_of(front.credits.rights, paper.music_width, _RIGHTS)[:room]
    return list(_below(lines, _BELOW_NUMBER, _RIGHTS, align="center"))


def set_lines(lines: list[TextLine], paper: Paper, top: float) -> str:
    """The lines in the page maker's language, from this place on the page down, mm."""
    return "\n".join(
        f"#place(top + left, dx: {paper.side:.2f}mm, dy: {top + line.y:.2f}mm, block(width: {paper.music_width:.2f}mm)["
        f"#align({line.align}, text(size: {line.points}pt, weight: {quoted('bold' if line.bold else 'regular')}, "
        f"{quoted(line.text)}))])"
        for line in lines
    )


def _below(texts: list[str], y: float, points: float, align: str = "left", bold: bool = False) -> Iterator[TextLine]:
    for text in texts:
        yield TextLine(text, y, points, align=align, bold=bold)
        y += points * _LINE
