"""A part on pages: divided as estimated, engraved, measured, and divided again where that is worth an engraving."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import count, islice
from typing import NamedTuple

from lxml import etree

from score.errors import InbreathError
from score.parts.agreed_overlay import with_marks
from score.parts.bar_estimate import CUE_HEIGHT, bar_shapes, head_width
from score.parts.closer_systems import TIGHT_GAP_MM, stand_apart
from score.parts.engraver import EngravedSystem, in_systems
from score.parts.kept_breaks import kept_plan, mended_plan, tall_pages
from score.parts.mei import Document
from score.parts.page_costs import BarShape, PageShape, is_turn, page_fill, plan_cost, system_height
from score.parts.page_layout import divide_pages
from score.parts.paper import PageOptions, Paper
from score.parts.print_record import PrintedPage
from score.parts.score_jobs import Curve
from score.parts.score_overlay import with_curve
from score.parts.system_marks import set_systems

GAP_MM, _PLANNED_GAP_MM = 4.0, 2.5
"""Between systems where there is room, and where a page that ends with time to turn needs that room."""
_ENGRAVINGS = 4
_TOO_LOW = 0.08
"""Of a page: so much emptier than it was thought, it is worth asking whether other pages were better."""
_NEWS = 0.04
"""Of a page: measured so differently, it may end at a bar with more time to turn."""
_WORTH = 1.5
"""Cost, as the division counts it, that another engraving must save: a turn, or a page that is half empty."""


class FittedPages(NamedTuple):
    """A part on pages.

    Attributes:
        plan: for each page its systems as positions of printed bars; a blank page has none.
        systems: the same systems, engraved.
        page: what each page offers.
        notes: what is to be said of breaks that could not be kept.
    """

    plan: list[list[range]]
    systems: list[list[EngravedSystem]]
    page: PageShape
    notes: tuple[str, ...] = ()


def fit_pages(
    document: Document,
    free: Sequence[float],
    backs: Sequence[tuple[int, int]],
    paper: Paper,
    front_mm: float,
    options: PageOptions,
    pins: Sequence[PrintedPage] = (),
) -> FittedPages:
    """Divide a part into systems and pages that fit the paper, and engrave it.

    Args:
        document: the part; breaks and marks are moved in it.
        free: seconds of free hands at the end of every bar of the piece.
        backs: jumps back, (printed bar left, printed bar gone to).
        paper: the sheet.
        front_mm: height of what stands above the music on the first page.
        options: staff height, stand and turns.
        pins: pages of the last print, whose breaks are kept as far as they can be.

    Raises:
        InbreathError: the engraver broke systems elsewhere.
    """
    page = _page_shape(document, paper, front_mm, options)
    shapes = bar_shapes(document, free, options.staff_mm)
    pinned = kept_plan(document, pins)
    if pinned is not None:
        return _kept(document, pinned, shapes, page, paper, options)
    return _until_it_fits(document, shapes, page, backs, paper, options)


def _until_it_fits(
    document: Document,
    shapes: Sequence[BarShape],
    page: PageShape,
    backs: Sequence[tuple[int, int]],
    paper: Paper,
    options: PageOptions,
) -> FittedPages:
    """Divided as estimated, and again as measured while that is worth another engraving."""
    plan = divide_pages(shapes, page, backs)
    fitted = FittedPages(plan, _engraved(document, plan, paper, options), page)
    for _ in range(_ENGRAVINGS - 1):
        measured = _measured(shapes, fitted)
        better = _better_plan(shapes, measured, fitted, backs)
        if better is None:
            return fitted
        shapes = measured
        drawn = _drawn_already(fitted, better)
        # The drawing of a long part takes hundreds of megabytes: the old one goes before the new one comes.
        fitted = fitted._replace(systems=[])
        fitted = FittedPages(better, _engraved(document, better, paper, options, drawn=drawn), page)
    return fitted if _fits(fitted) else _moved(_measured(shapes, fitted), fitted, backs)


def _better_plan(
    shapes: Sequence[BarShape], measured: Sequence[BarShape], fitted: FittedPages, backs: Sequence[tuple[int, int]]
) -> list[list[range]] | None:
    """Another division that is worth another engraving, now that the first was measured; None without any."""
    fits, page = _fits(fitted), fitted.page
    if fits and not _may_be_better(shapes, measured, fitted):
        return None
    better = divide_pages(measured, page, backs)
    squeezed = page._replace(gap=min(TIGHT_GAP_MM, _closest_gap(fitted)))
    saved = plan_cost(measured, squeezed, fitted.plan, backs) - plan_cost(measured, page, better, backs)
    return None if fits and saved < _WORTH else better


def _kept(
    document: Document,
    plan: list[list[range]],
    shapes: Sequence[BarShape],
    page: PageShape,
    paper: Paper,
    options: PageOptions,
) -> FittedPages:
    """The division of the last print, mended where a page has become too tall."""
    systems = _engraved(document, plan, paper, options)
    crowded = tall_pages(systems, page) if document.marks else []
    if crowded:
        systems = _engraved(document, plan, paper, options, crowded)
    mended, notes = mended_plan(
        plan, systems, page, lambda rows, here: _measured(shapes, FittedPages(rows, here, page))
    )
    if mended != plan:
        systems = _engraved(document, mended, paper, options, crowded)
    said = [f"page {number + 1} is crowded: what you have agreed stands smaller there" for number in crowded]
    return FittedPages(mended, systems, page, notes=(*said, *notes))


def systems_height(systems: Sequence[EngravedSystem], gap: float = GAP_MM) -> float:
    """Height of these systems one below the other with this gap between, mm."""
    return sum(system.height_mm for system in systems) + gap * (len(systems) - 1)


def _page_shape(document: Document, paper: Paper, front_mm: float, options: PageOptions) -> PageShape:
    return PageShape(
        paper.music_width,
        paper.music_height,
        first_height=paper.music_height - front_mm,
        head=head_width(document, options.staff_mm),
        cue_height=CUE_HEIGHT * options.staff_mm / 7.0,
        gap=_PLANNED_GAP_MM,
        turn_seconds=options.min_turn_seconds,
        side_by_side=2 if options.booklet else options.side_by_side,
        before_first=int(options.booklet),
        may_skip=options.booklet,
    )


def _may_be_better(shapes: Sequence[BarShape], measured: Sequence[BarShape], fitted: FittedPages) -> bool:
    """Whether a page came out much emptier than it was thought, or is turned in no time."""
    page = fitted.page
    for number, lines in enumerate(fitted.plan):
        fill, thought = (page_fill(each, page, lines, first=number == 0) for each in (measured, shapes))
        if fill < thought - _TOO_LOW:
            return True
        is_short = is_turn(page, fitted.plan, number) and shapes[lines[-1][-1]].turn_seconds < page.turn_seconds
        if is_short and abs(fill - thought) > _NEWS:
            return True
    return False


def _fits(fitted: FittedPages) -> bool:
    return all(stand_apart(row, room) for row, room in _rooms(fitted))


def _rooms(fitted: FittedPages) -> Iterator[tuple[list[EngravedSystem], float]]:
    """The systems of each page, and the height for them, mm."""
    for number, row in enumerate(fitted.systems):
        yield row, fitted.page.height if number else fitted.page.first_height


def _closest_gap(fitted: FittedPages) -> float:
    """The gap between rectangles at which every page holds its systems, mm; below 0 where these overlap."""
    gaps = ((room - systems_height(row, 0.0)) / (len(row) - 1) for row, room in _rooms(fitted) if len(row) > 1)
    return min(gaps, default=TIGHT_GAP_MM)


def _measured(shapes: Sequence[BarShape], fitted: FittedPages) -> list[BarShape]:
    """The bars' shapes with heights as they came out: every bar asks for what its system needed."""
    better = list(shapes)
    for lines, systems in zip(fitted.plan, fitted.systems, strict=True):
        for line, system in zip(lines, systems, strict=True):
            growth = system.height_mm / system_height([shapes[i] for i in line], fitted.page)
            for i in line:
                old = shapes[i]
                better[i] = old._replace(above=old.above * growth, below=old.below * growth)
    return better


def _moved(shapes: Sequence[BarShape], fitted: FittedPages, backs: Sequence[tuple[int, int]]) -> FittedPages:
    """The same systems on other pages, so that every page fits: each system is asked for as a bar that fills a line."""
    lines = [line for page in fitted.plan for line in page]
    systems = [system for page in fitted.systems for system in page]
    page = fitted.page._replace(cue_height=0.0, gap=TIGHT_GAP_MM)
    rows = [
        BarShape(
            page.width - page.head,
            system.height_mm,
            0.0,
            cued=True,
            turn_seconds=shapes[line[-1]].turn_seconds,
        )
        for line, system in zip(lines, systems, strict=True)
    ]
    row_of = {position: row for row, line in enumerate(lines) for position in line}
    plan = divide_pages(rows, page, [(row_of[leave], row_of[to]) for leave, to in backs])
    return FittedPages(
        [[lines[row[0]] for row in part] for part in plan],
        [[systems[row[0]] for row in part] for part in plan],
        fitted.page,
    )


def _drawn_already(fitted: FittedPages, plan: Sequence[Sequence[range]]) -> dict[int, list[EngravedSystem]]:
    """The pages of a new plan that hold what a page of the old one held, by their numbers from 1, blank ones left out.

    The first page is like no other: there everybody's staves are seen.
    """
    old_pages = [page for page in zip(fitted.plan, fitted.systems, strict=True) if page[0]]
    old = {(tuple(lines), number == 0): systems for number, (lines, systems) in enumerate(old_pages)}
    pages = enumerate(lines for lines in plan if lines)
    return {number + 1: old[key] for number, lines in pages if (key := (tuple(lines), number == 0)) in old}


def _engraved(
    document: Document,
    plan: Sequence[Sequence[range]],
    paper: Paper,
    options: PageOptions,
    crowded: Sequence[int] = (),
    drawn: Mapping[int, list[EngravedSystem]] = {},
) -> list[list[EngravedSystem]]:
    """The systems page by page; on crowded pages, counted from 0, with small marks; some may be drawn already."""
    lines = [line for page in plan for line in page]
    set_systems(document, lines, [page[0][0] for page in plan if page])
    mei = etree.tostring(document.root, encoding="unicode")
    systems = in_systems(mei, paper.music_width, options.staff_mm, drawn)
    if [len(system.measures) for system in systems] != [len(line) for line in lines]:
        raise InbreathError("Cannot engrave", "the engraver broke the systems elsewhere", "use the MusicXML file")
    small = [number in crowded for number, page in enumerate(plan) for _ in page]
    # Those that were drawn already have no anchors any more.
    systems = [with_marks(s, document.marks, crowded=is_small) for s, is_small in zip(systems, small, strict=True)]
    left = iter(systems)
    pages = [list(islice(left, len(page))) for page in plan]
    return pages if document.curve is None else _curved(document, document.curve, plan, pages, drawn)


def _curved(
    document: Document,
    curve: Curve,
    plan: Sequence[Sequence[range]],
    pages: Sequence[Sequence[EngravedSystem]],
    drawn: Collection[int],
) -> list[list[EngravedSystem]]:
    """The systems of pages that were not drawn already with the tempo above them."""
    curved = []
    numbers = count(1)
    for lines, systems in zip(plan, pages, strict=True):
        has_curve = bool(lines) and next(numbers) in drawn
        runs = [[range(bar.first, bar.last + 1) for bar in document.bars[line[0] : line[-1] + 1]] for line in lines]
        both = zip(systems, runs, strict=True)
        curved.append([system if has_curve else with_curve(system, run, curve) for system, run in both])
    return curved
