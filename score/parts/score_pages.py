"""The score for all players as pages: systems engraved, marks written over them, pages filled evenly."""

from collections.abc import Callable, Sequence

from lxml import etree

from score.parts.binding import PlacedSystem, bind
from score.parts.engraver import EngravedSystem, systems_apart, systems_that_fit
from score.parts.full_score import FullScore, place_marks
from score.parts.paper import Paper
from score.parts.printed_bar import MEI
from score.parts.score_jobs import ScoreOptions, ScorePages
from score.parts.title_block import FirstPage, title_lines
from score.piece import Piece

_GAP_MM, _LARGEST_GAP_MM = 6.0, 14.0

WriteOver = Callable[[EngravedSystem, range], EngravedSystem]
"""Writes marks over a system, given the indices of its bars; the music stays where it is."""


def score_pages(
    score: FullScore, piece: Piece, front: FirstPage, options: ScoreOptions, write_over: WriteOver
) -> ScorePages:
    """Engrave the score.

    Args:
        score: the document; its breaks and where its marks stand are set.
        piece: the piece.
        front: title and legend of the first page.
        options: paper and sizes.
        write_over: writes the group's marks over a system.
    """
    paper = options.sheet
    systems, bars = _engraved(score, piece, paper, options)
    written = [write_over(system, here) for system, here in zip(systems, bars, strict=True)]
    heights = [system.height_mm for system in written]
    _, front_mm = title_lines(front, paper)
    pages = pages_of(heights, paper.music_height - front_mm, paper.music_height, _GAP_MM)
    placed = [
        _placed(written[page.start : page.stop], paper, 0.0 if number else front_mm, number == len(pages) - 1)
        for number, page in enumerate(pages)
    ]
    return ScorePages(
        bind(placed, paper, front, {}),
        tuple(tuple(bars[page.start : page.stop]) for page in pages),
        _warnings(placed, paper),
    )


def pages_of(heights: Sequence[float], first: float, room: float, gap: float) -> list[range]:
    """Which systems share a page: as few pages as can be, filled as evenly as can be, the last as it comes.

    Args:
        heights: of the systems, in order.
        first: height there is on the first page.
        room: the same on every other page.
        gap: least distance between two systems.

    Returns:
        positions of the systems of each page; a system that is too tall has a page of its own.
    """
    best: list[tuple[int, float, int]] = [(0, 0.0, 0)]
    for end in range(1, len(heights) + 1):
        ways = []
        used = -gap
        for start in range(end - 1, -1, -1):
            used += heights[start] + gap
            space = room if start else first
            if used > space and start < end - 1:
                break
            blank = 0.0 if end == len(heights) else max(0.0, 1 - used / space) ** 2
            ways.append((best[start][0] + 1, best[start][1] + blank, start))
        best.append(min(ways))
    pages, end = [], len(heights)
    while end:
        start = best[end][2]
        pages.append(range(start, end))
        end = start
    return pages[::-1]


def _engraved(
    score: FullScore, piece: Piece, paper: Paper, options: ScoreOptions
) -> tuple[list[EngravedSystem], list[range]]:
    """As many bars a system as fit; where a mark for everybody stood on a staff that is hidden there, once more."""
    systems = systems_that_fit(_text(score), paper.music_width, options.staff_mm)
    bars = _bars(systems)
    if place_marks(score, bars, piece):
        for here in bars[1:]:
            score.measures[here.start].addprevious(etree.Element(MEI + "sb"))
        systems = systems_apart(_text(score), paper.music_width, options.staff_mm)
    return systems, _bars(systems)


def _bars(systems: Sequence[EngravedSystem]) -> list[range]:
    bars, start = [], 0
    for system in systems:
        bars.append(range(start, start + len(system.measures)))
        start += len(system.measures)
    return bars


def _placed(systems: Sequence[EngravedSystem], paper: Paper, head: float, is_last: bool) -> list[PlacedSystem]:
    """Systems from the top down, the room that is left shared between them up to a limit."""
    used = sum(system.height_mm for system in systems) + _GAP_MM * (len(systems) - 1)
    spare = max(0.0, paper.music_height - head - used) / max(1, len(systems) - 1)
    gap = _GAP_MM + (0.0 if is_last and spare > _GAP_MM else min(spare, _LARGEST_GAP_MM - _GAP_MM))
    placed, y = [], paper.top + head
    for system in systems:
        placed.append(PlacedSystem(system, y))
        y += system.height_mm + gap
    return placed


def _warnings(pages: Sequence[Sequence[PlacedSystem]], paper: Paper) -> tuple[str, ...]:
    end = paper.height - paper.bottom
    return tuple(
        f"page {number} of the score is too tall for the paper; a smaller staff or larger paper would fit"
        for number, page in enumerate(pages, 1)
        if max(placed.y + placed.system.height_mm for placed in page) > end + 1
    )


def _text(score: FullScore) -> str:
    return etree.tostring(score.root, encoding="unicode")
