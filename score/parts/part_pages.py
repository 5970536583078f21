"""A player's part as pages: engraved systems, divided so that turns fall in rests, bound to a PDF."""

from collections.abc import Sequence

from score.activity.agreed_marks import AgreedMark
from score.cues.sheet import CueSheet
from score.errors import InbreathError
from score.parts.binding import PlacedSystem, bind
from score.parts.closer_systems import closest_gaps, height
from score.parts.credits import credits_of
from score.parts.cue_staff import CueBar
from score.parts.cued_part import cue_rows
from score.parts.engraver import EngravedSystem, to_mei
from score.parts.legend import first_page
from score.parts.mei import Document, part_document, staff_kinds
from score.parts.page_costs import PageShape, is_turn
from score.parts.page_digests import printed_pages
from score.parts.page_fitting import GAP_MM, FittedPages, fit_pages, systems_height
from score.parts.page_turns import free_seconds, turns_back
from score.parts.paper import PageOptions, Paper, PartPages, Turn, paper_named
from score.parts.print_record import LastPrint, PageChange, PrintedPage, both_sides, page_changes
from score.parts.printed_signs import unprinted_signs
from score.parts.score_jobs import Curve
from score.parts.source_faults import bars_at_fault, bars_of_endless_dashes, without_faults
from score.parts.system_marks import add_stickings, add_words
from score.parts.title_block import FirstPage, title_lines
from score.parts.uncued_part import UncuedPart
from score.piece import Piece
from score.places import bar_name
from score.setup.player_notes import NO_NOTES, PlayerNotes

_LARGEST_STRETCH_MM = 14.0
"""How much further apart systems may stand than they need, to fill their page."""


def part_pages(
    uncued: UncuedPart,
    piece: Piece,
    sheet: CueSheet,
    options: PageOptions,
    notes: PlayerNotes = NO_NOTES,
    rows: Sequence[Sequence[CueBar]] | None = None,
    marks: Sequence[AgreedMark] = (),
    last: LastPrint | None = None,
) -> PartPages:
    """Engrave a part.

    Args:
        uncued: the part, ready for its cues.
        piece: the piece.
        sheet: the player's cues.
        options: paper, size and turns.
        notes: what the part says beside the music.
        rows: what each cue staff holds, where that is known already.
        marks: what the group has agreed, for this part.
        last: the last print: breaks are kept where it says so, pages that differ are bound apart.

    Raises:
        InbreathError: the engraver can make nothing of the part.
    """
    document = _document(uncued, piece, sheet, rows or cue_rows(piece, sheet, options.cue_pitches), marks)
    document = _with_notes(document, piece, notes, options)
    front, paper = _front(uncued, document, piece, sheet, notes, options), paper_named(options.paper)
    free, backs = free_seconds(piece, sheet.player, options.pulse), _positions(document, turns_back(piece))
    fitted = fit_pages(document, free, backs, paper, title_lines(front, paper)[1], options, _pins(last))
    proven = _proven(uncued, document, fitted, free, piece)
    if options.fade is not None:
        fitted, front = _faded(document, piece, sheet, options, fitted, front)
    pages = _placed(fitted, paper)
    # What was drawn is text from here on: the trees of a long part take hundreds of megabytes.
    fitted = fitted._replace(systems=[])
    return _bound(proven, document, fitted, pages, front, piece=piece, options=options, last=last)


def _faded(
    document: Document, piece: Piece, sheet: CueSheet, options: PageOptions, fitted: FittedPages, front: FirstPage
) -> tuple[FittedPages, FirstPage]:
    """The pages with what a step hides taken out, and a first page that says so."""
    # Few parts fade: loaded where one does.
    from score.parts.fading import faded_systems, with_step

    assert options.fade is not None
    faded = faded_systems(document, piece, sheet.player, options.fade, fitted.systems)
    return fitted._replace(systems=faded), with_step(front, options.fade, paper_named(options.paper))


def _front(
    uncued: UncuedPart, document: Document, piece: Piece, sheet: CueSheet, notes: PlayerNotes, options: PageOptions
) -> FirstPage:
    """What stands above the music on the first page."""
    width = paper_named(options.paper).music_width
    front = first_page(piece, sheet, notes, staff_kinds(document), width, pitches=options.cue_pitches)
    return front._replace(credits=credits_of(uncued.own.head))


def _with_notes(document: Document, piece: Piece, notes: PlayerNotes, options: PageOptions) -> Document:
    """The document with what the part says beside the music, and the tempo over it where that is asked for."""
    add_words(document, notes.words)
    add_stickings(document, notes.stickings)
    return document if options.curve is None else document._replace(curve=Curve(piece, options.curve))


def _turns(document: Document, fitted: FittedPages, free: Sequence[float]) -> tuple[Turn, ...]:
    return tuple(
        Turn(number + 1, bar := document.bars[lines[-1][-1]].last, free[bar])
        for number, lines in enumerate(fitted.plan)
        if is_turn(fitted.page, fitted.plan, number)
    )


def _proven(
    uncued: UncuedPart, document: Document, fitted: FittedPages, free: Sequence[float], piece: Piece
) -> PartPages:
    """The turns, and the signs of the source that are not on the pages, where the printed bars are the piece's."""
    drawn = [system for page in fitted.systems for system in page]
    unprinted = unprinted_signs(uncued.signs, document.bars, drawn) if document.in_bars else ()
    turns = _turns(document, fitted, free)
    whole = PartPages(b"", len(fitted.plan), turns, warnings=(), signs=len(uncued.signs), unprinted=unprinted)
    return without_faults(whole, uncued.own, piece)


def _bound(
    proven: PartPages,
    document: Document,
    fitted: FittedPages,
    pages: Sequence[Sequence[PlacedSystem]],
    front: FirstPage,
    *,
    piece: Piece,
    options: PageOptions,
    last: LastPrint | None,
) -> PartPages:
    """The pages as a document, those that changed as another, and what is to be said of them."""
    paper = paper_named(options.paper)
    warnings = (*proven.warnings, *_warnings(piece, document, fitted, proven.turns, options), *fitted.notes)
    feet = {turn.page: (turn.seconds, options.min_turn_seconds) for turn in proven.turns}
    printed = printed_pages(document, pages, fitted.plan, front, feet)
    changes, wanted = _changed(last, printed, piece)
    return proven._replace(
        pdf=bind(pages, paper, front, feet),
        warnings=(*warnings, *_overfull(pages, paper)),
        printed=printed,
        changes=changes,
        changed_pdf=bind(pages, paper, front, feet, wanted) if wanted else b"",
    )


def _pins(last: LastPrint | None) -> tuple[PrintedPage, ...]:
    return last.pages if last is not None and last.keep_breaks else ()


def _changed(
    last: LastPrint | None, printed: Sequence[PrintedPage], piece: Piece
) -> tuple[tuple[PageChange, ...], list[int]]:
    """The pages that differ from the last print, and which are wanted as a document of their own."""
    if last is None:
        return (), []
    changes = page_changes(last.pages, printed, piece)
    wanted = [change.page for change in changes] if last.apart else []
    return changes, both_sides(wanted, len(printed)) if last.both_sides else wanted


def _document(
    uncued: UncuedPart,
    piece: Piece,
    sheet: CueSheet,
    rows: Sequence[Sequence[CueBar]],
    marks: Sequence[AgreedMark],
) -> Document:
    document = part_document(
        _taken(uncued.mei, piece, sheet),
        piece,
        sheet.player,
        rows=rows,
        staves=uncued.own.staves,
        signs=uncued.signs,
        marks=marks,
    )
    if not document.bars:
        raise _refused(piece, sheet)
    if document.in_bars:
        return document._replace(opened=tuple(sorted((*document.opened, *bars_of_endless_dashes(uncued.own)))))
    # Where the engraver's measures are not the piece's bars, only it knows where a cue belongs.
    mei = to_mei(uncued.own.for_the_engraver().with_cues(piece.bars, rows))
    return part_document(
        _taken(mei, piece, sheet), piece, sheet.player, rows=rows, staves=uncued.own.staves, signs=uncued.signs
    )


def _taken(mei: str, piece: Piece, sheet: CueSheet) -> str:
    if not mei:
        raise _refused(piece, sheet)
    return mei


def _refused(piece: Piece, sheet: CueSheet) -> InbreathError:
    name = piece.player(sheet.player).name
    return InbreathError("Cannot engrave", f"{name}: the engraver refuses the part", "use the MusicXML file")


def _placed(fitted: FittedPages, paper: Paper) -> list[list[PlacedSystem]]:
    """Systems from the top of each page down, the room that is left shared between them up to a limit."""
    return [
        _one_below_the_other(
            systems,
            fitted.page.height if number else fitted.page.first_height,
            paper.height - paper.bottom,
            is_last=number == len(fitted.systems) - 1,
        )
        for number, systems in enumerate(fitted.systems)
    ]


def _one_below_the_other(
    systems: Sequence[EngravedSystem], room: float, end: float, is_last: bool
) -> list[PlacedSystem]:
    """The systems of a page.

    Args:
        systems: in order.
        room: height for them, mm.
        end: where it ends, mm from the top of the page.
        is_last: no page follows.
    """
    y = end - room
    placed: list[PlacedSystem] = []
    if not systems:
        return placed
    for system, gap in zip(systems, [*_gaps(systems, room, is_last), 0.0], strict=True):
        placed.append(PlacedSystem(system._replace(measures=()), y))
        y += system.height_mm + gap
    return placed


def _gaps(systems: Sequence[EngravedSystem], room: float, is_last: bool) -> list[float]:
    """Between the systems, the same between all where their page is not crowded."""
    if len(systems) < 2:
        return []
    spare = room - systems_height(systems)
    stretch = 0.0 if is_last and spare > 0.25 * room else min(spare / (len(systems) - 1), _LARGEST_STRETCH_MM)
    closest = closest_gaps(systems, room)
    left = room - height(systems, closest)
    if stretch + GAP_MM >= max(closest):
        return [GAP_MM + stretch] * len(closest)
    return [gap + left / len(closest) for gap in closest]


def _positions(document: Document, jumps: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    where = {index: n for n, bar in enumerate(document.bars) for index in range(bar.first, bar.last + 1)}
    return [(where[leave], where[to]) for leave, to in jumps if leave in where and to in where]


def _warnings(
    piece: Piece, document: Document, fitted: FittedPages, turns: Sequence[Turn], options: PageOptions
) -> tuple[str, ...]:
    warnings = [
        f"page {turn.page} must be turned after bar {bar_name(piece, turn.bar)} with "
        f"{turn.seconds:.1f} s of free hands; {options.min_turn_seconds:g} s are wanted and no place near is better"
        for turn in turns
        if turn.seconds < options.min_turn_seconds
    ]
    if document.opened:
        bars = bars_at_fault(piece, document.opened)
        warnings.append(f"ties, slurs and lines that end nowhere in the score are printed open: {bars}")
    page, page_of = fitted.page, _page_of(fitted.plan)
    for leave, to in _positions(document, turns_back(piece)):
        here, there = page_of[leave], page_of[to]
        if _opening(page, there) < _opening(page, here):
            bar, first = (bar_name(piece, document.bars[at].first) for at in (leave, to))
            warnings.append(f"the jump from bar {bar} to bar {first} turns back from page {here + 1} to {there + 1}")
    return tuple(warnings)


def _page_of(plan: Sequence[Sequence[range]]) -> dict[int, int]:
    """The page of every printed bar, both counted from 0."""
    return {position: number for number, lines in enumerate(plan) for line in lines for position in line}


def _opening(page: PageShape, number: int) -> int:
    """Pages of the same number lie open together."""
    return (number + page.before_first) // page.side_by_side


def _overfull(pages: Sequence[Sequence[PlacedSystem]], paper: Paper) -> list[str]:
    """Pages whose music runs into the foot: a system alone is too tall for the sheet."""
    end = paper.height - paper.bottom
    return [
        f"page {number} is too tall for the paper; a smaller staff or fewer cues would fit"
        for number, page in enumerate(pages, 1)
        if any(placed.y + placed.system.height_mm > end + 1 for placed in page)
    ]
