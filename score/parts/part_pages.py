"""A player's part as pages: engraved systems, divided so that turns fall in rests, bound to a PDF."""

from collections.abc import Sequence
from itertools import islice

from lxml import etree

from score.cues.sheet import CueSheet
from score.errors import InbreathError
from score.parts.bar_estimate import CUE_HEIGHT, bar_shapes, head_width
from score.parts.binding import FirstPage, PlacedSystem, bind
from score.parts.cue_staff import CueBar
from score.parts.cued_part import cue_rows
from score.parts.engraver import EngravedSystem, in_systems, to_mei
from score.parts.legend import first_page
from score.parts.mei import Document, add_words, break_before, move_marks, part_document
from score.parts.page_layout import BarShape, PageShape, divide_pages, system_height
from score.parts.page_turns import free_seconds, turns_back
from score.parts.paper import PAPERS, PageOptions, Paper, PartPages, Turn, Word
from score.parts.uncued_part import UncuedPart
from score.piece import Piece
from score.places import bar_name

_GAP_MM = 4.0
_ATTEMPTS = 3


def part_pages(
    uncued: UncuedPart,
    piece: Piece,
    sheet: CueSheet,
    options: PageOptions,
    words: Sequence[Word] = (),
    rows: Sequence[Sequence[CueBar]] | None = None,
) -> PartPages:
    """Engrave a part.

    Args:
        uncued: the part, ready for its cues.
        piece: the piece.
        sheet: the player's cues.
        options: paper, size and turns.
        words: small words to print above the player's staff: (bar index, quarters in the bar, text).
        rows: what each cue staff holds, where that is known already.

    Raises:
        InbreathError: the engraver can make nothing of the part.
    """
    paper = PAPERS[options.paper]
    document = _document(uncued, piece, sheet, rows or cue_rows(piece, sheet))
    add_words(document, words, piece)
    front = first_page(piece, sheet)
    free = free_seconds(piece, sheet.player)
    if not document.bars:
        raise _refused(piece, sheet)
    plan, pages = _fitted(document, piece, free, paper, front, options)
    turns = tuple(
        Turn(number, bar := document.bars[page[-1][-1]].last, free[bar]) for number, page in enumerate(plan[:-1], 1)
    )
    pdf = bind(pages, paper, front, [(turn.seconds, options.min_turn_seconds) for turn in turns])
    warnings = (*_warnings(piece, document, plan, turns, options), *_overfull(pages, paper))
    return PartPages(pdf, len(plan), turns, warnings=warnings)


def _document(uncued: UncuedPart, piece: Piece, sheet: CueSheet, rows: Sequence[Sequence[CueBar]]) -> Document:
    document = part_document(_taken(uncued.mei, piece, sheet), piece, sheet.player, rows, uncued.own.staves)
    if document.in_bars:
        return document
    # Where the engraver's measures are not the piece's bars, only it knows where a cue belongs.
    mei = to_mei(uncued.own.with_cues(piece.bars, rows))
    return part_document(_taken(mei, piece, sheet), piece, sheet.player, rows, uncued.own.staves)


def _taken(mei: str, piece: Piece, sheet: CueSheet) -> str:
    if not mei:
        raise _refused(piece, sheet)
    return mei


def _refused(piece: Piece, sheet: CueSheet) -> InbreathError:
    name = piece.player(sheet.player).name
    return InbreathError("Cannot engrave", f"{name}: the engraver refuses the part", "use the MusicXML file")


def _fitted(
    document: Document, piece: Piece, free: Sequence[float], paper: Paper, front: FirstPage, options: PageOptions
) -> tuple[list[list[range]], list[list[PlacedSystem]]]:
    """Divide, engrave, measure; divide again with what was measured where a page came out too tall."""
    shapes = bar_shapes(document, free, options.staff_mm)
    page = _page(document, paper, front, options)
    backs = _positions(document, turns_back(piece))
    for _ in range(_ATTEMPTS):
        plan = divide_pages(shapes, page, backs)
        systems = _engraved(document, plan, paper, options)
        if all(_height(row) <= (page.height if i else page.first_height) for i, row in enumerate(systems)):
            break
        shapes = _measured(shapes, page, plan, systems)
    return plan, [_placed(row, page, paper, front, i, i == len(plan) - 1) for i, row in enumerate(systems)]


def _measured(
    shapes: Sequence[BarShape],
    page: PageShape,
    plan: Sequence[Sequence[range]],
    pages: Sequence[Sequence[EngravedSystem]],
) -> list[BarShape]:
    """The bars' shapes with heights as they came out: every bar asks for what its system needed."""
    better = list(shapes)
    for lines, systems in zip(plan, pages, strict=True):
        for line, system in zip(lines, systems, strict=True):
            growth = system.height_mm / system_height([shapes[i] for i in line], page)
            for i in line:
                old = shapes[i]
                better[i] = old._replace(above=old.above * growth, below=old.below * growth)
    return better


def _page(document: Document, paper: Paper, front: FirstPage, options: PageOptions) -> PageShape:
    return PageShape(
        paper.music_width,
        paper.music_height,
        first_height=paper.music_height - front.height_mm,
        head=head_width(document, options.staff_mm),
        cue_height=CUE_HEIGHT * options.staff_mm / 7.0,
        gap=_GAP_MM,
        turn_seconds=options.min_turn_seconds,
    )


def _engraved(
    document: Document, plan: Sequence[Sequence[range]], paper: Paper, options: PageOptions
) -> list[list[EngravedSystem]]:
    lines = [line for page in plan for line in page]
    shown = [any(document.bars[position].cued for position in line) for line in lines]
    move_marks(document, [seen for seen, line in zip(shown, lines, strict=True) for _ in line])
    break_before(document, [line[0] for line in lines[1:]], [page[0][0] for page in plan])
    systems = in_systems(_text(document), paper.music_width, options.staff_mm)
    if [len(system.measures) for system in systems] != [len(line) for line in lines]:
        raise InbreathError("Cannot engrave", "the engraver broke the systems elsewhere", "use the MusicXML file")
    left = iter(systems)
    return [list(islice(left, len(page))) for page in plan]


def _height(systems: Sequence[EngravedSystem]) -> float:
    return sum(system.height_mm for system in systems) + _GAP_MM * (len(systems) - 1)


def _placed(
    systems: Sequence[EngravedSystem], page: PageShape, paper: Paper, front: FirstPage, number: int, last: bool
) -> list[PlacedSystem]:
    """Systems from the top of the page down, the room that is left shared between them up to a limit."""
    room = page.height if number else page.first_height
    spare = max(0.0, room - _height(systems))
    stretch = 0.0 if last and spare > 0.25 * room else min(spare / max(1, len(systems) - 1), 2.5 * _GAP_MM)
    y = paper.top + (0.0 if number else front.height_mm)
    placed = []
    for system in systems:
        placed.append(PlacedSystem(system, y))
        y += system.height_mm + _GAP_MM + stretch
    return placed


def _positions(document: Document, jumps: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    where = {index: n for n, bar in enumerate(document.bars) for index in range(bar.first, bar.last + 1)}
    return [(where[leave], where[to]) for leave, to in jumps if leave in where and to in where]


def _warnings(
    piece: Piece,
    document: Document,
    plan: Sequence[Sequence[range]],
    turns: Sequence[Turn],
    options: PageOptions,
) -> tuple[str, ...]:
    warnings = [
        f"page {turn.page} must be turned after bar {bar_name(piece, turn.bar)} with "
        f"{turn.seconds:.1f} s of free hands; {options.min_turn_seconds:g} s are wanted and no place near is better"
        for turn in turns
        if turn.seconds < options.min_turn_seconds
    ]
    page_of = {position: n for n, page in enumerate(plan, 1) for line in page for position in line}
    for here, there in _positions(document, turns_back(piece)):
        if page_of[there] < page_of[here]:
            bar, to = (bar_name(piece, document.bars[at].first) for at in (here, there))
            warnings.append(
                f"the jump from bar {bar} to bar {to} turns back from page {page_of[here]} to {page_of[there]}"
            )
    return tuple(warnings)


def _overfull(pages: Sequence[Sequence[PlacedSystem]], paper: Paper) -> list[str]:
    """Pages whose music runs into the foot: a system alone is too tall for the sheet."""
    end = paper.height - paper.bottom
    return [
        f"page {number} is too tall for the paper; a smaller staff or fewer cues would fit"
        for number, page in enumerate(pages, 1)
        if max(placed.y + placed.system.height_mm for placed in page) > end + 1
    ]


def _text(document: Document) -> str:
    return etree.tostring(document.root, encoding="unicode")
