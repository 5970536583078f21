"""A part divided as it was printed last, so that one mark changes one page and nothing else.

Where a page has become too tall its systems move closer, into each other's empty places if need be; where that is not
enough this page alone is divided anew; where its bars fit no page any more, everything from it on is.
"""

from collections.abc import Callable, Sequence
from typing import TypeAlias

from score.parts.closer_systems import TIGHT_GAP_MM, closest_gaps, height
from score.parts.engraver import EngravedSystem
from score.parts.mei import Document
from score.parts.page_costs import BarShape, PageShape
from score.parts.page_layout import divide_pages
from score.parts.print_record import PrintedPage

PagePlan: TypeAlias = list[list[range]]
"""For each page its systems as positions of printed bars."""
Measure: TypeAlias = Callable[[PagePlan, list[list[EngravedSystem]]], list[BarShape]]


def kept_plan(document: Document, pages: Sequence[PrintedPage]) -> PagePlan | None:
    """The last print's division of the document as it is now; None where its bars do not begin there any more."""
    where = {bar.first: position for position, bar in enumerate(document.bars)}
    starts = [start for page in pages for start in page.systems]
    if not starts or starts[0] != document.bars[0].first or any(start not in where for start in starts):
        return None
    ends = [where[start] for start in starts[1:]] + [len(document.bars)]
    lines = [range(where[start], end) for start, end in zip(starts, ends, strict=True)]
    if not all(lines):
        return None
    left = iter(lines)
    return [[next(left) for _ in page.systems] for page in pages]


def mended_plan(
    plan: PagePlan, systems: list[list[EngravedSystem]], page: PageShape, measure: Measure
) -> tuple[PagePlan, tuple[str, ...]]:
    """The plan with pages that have become too tall divided otherwise, and what is to be said of it.

    Args:
        plan: as it was kept.
        systems: engraved by it.
        page: what a page offers.
        measure: the bars' shapes with heights as they came out.
    """
    tall = tall_pages(systems, page)
    if not tall:
        return plan, ()
    shapes, better, said = measure(plan, systems), list(plan), []
    for number in tall:
        bars = range(plan[number][0].start, plan[number][-1].stop)
        alone = _divided(shapes[bars.start : bars.stop], page, number, bars.start)
        if len(alone) > 1:
            rest = _divided(shapes[bars.start :], page, number, bars.start)
            said.append(f"page {number + 1} holds its bars no longer; all pages from it on are divided anew")
            return [*better[:number], *rest], tuple(said)
        better[number] = alone[0]
        said.append(f"page {number + 1} had become too tall: its systems, and no others, are divided anew")
    return better, tuple(said)


def tall_pages(systems: Sequence[Sequence[EngravedSystem]], page: PageShape) -> list[int]:
    """Numbers from 0 of the pages whose systems do not fit, as close as they may come."""
    return [number for number, row in enumerate(systems) if not _fit(row, room(page, number))]


def _fit(systems: Sequence[EngravedSystem], height_mm: float) -> bool:
    """Whether these systems, as close as they may come, fit a height."""
    return height(systems, closest_gaps(systems, height_mm)) <= height_mm


def room(page: PageShape, number: int) -> float:
    """Height for systems on a page, counted from 0, mm."""
    return page.height if number else page.first_height


def _divided(shapes: Sequence[BarShape], page: PageShape, number: int, start: int) -> PagePlan:
    """Pages of these bars, the first of which has this number; positions from a start on."""
    from_here = page._replace(
        first_height=room(page, number),
        gap=TIGHT_GAP_MM,
        before_first=(page.before_first + number) % page.side_by_side,
        may_skip=False,
    )
    plan = divide_pages(shapes, from_here)
    return [[range(line.start + start, line.stop + start) for line in lines] for lines in plan]
