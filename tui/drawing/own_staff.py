"""One's own staff: a head is a coloured cell with its letter, a line after it as long as it sounds."""

from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from score.activity.lanes import Lane, LaneSign
from score.piece import StrokeKind
from tui.drawing.cells import Cells
from tui.drawing.palette import Palette, ink_on
from tui.drawing.staff_rows import Staff
from tui.drawing.time_grid import Grid

HELD, ROLLED, RINGING, DAMPED, ACCENT, COVERED = "━", "~", "╌", "×", ">", "░"


class StaffPlace(NamedTuple):
    """Where a staff stands among the cells.

    Attributes:
        row: of the staff's uppermost row.
        staff: its rows.
        grid: columns.
        end: quarters from the beginning of the run after which nothing is drawn.
        covers: from where to where something is hidden, quarters from the beginning of the run.
    """

    row: int
    staff: Staff
    grid: Grid
    end: Fraction
    covers: tuple[tuple[Fraction, Fraction], ...] = ()


def draw_staff(cells: Cells, place: StaffPlace, lane: Lane, colours: Palette, beats: Sequence[Fraction]) -> None:
    """Lines, labels and every stroke of the player's own.

    Args:
        cells: where to draw.
        place: where in them.
        lane: the player's own.
        colours: the screen's colours.
        beats: where beats begin, quarters from the beginning of the run.
    """
    draw_covers(cells, place.row, place.staff.height, place.grid, place.covers, colours)
    _draw_lines(cells, place, colours, beats)
    colour = colours.player(lane.player)
    middle = place.row + (place.staff.height - 1) // 2
    cells.put(middle, 0, f" {lane.player} ", ink_on(colour), ground=colour, bold=True)
    signs = [sign for sign in lane.signs if sign.at + sign.length >= place.grid.start and sign.at < place.end]
    onsets = sorted({place.grid.column(sign.at) for sign in signs if sign.kind is not StrokeKind.GRACE})
    for sign in signs:
        if sign.kind is StrokeKind.GRACE:
            continue
        column = place.grid.column(max(sign.at, place.grid.start))
        following = bisect_right(onsets, column)
        after = onsets[following] if following < len(onsets) else place.grid.width
        _draw_tails(cells, place, sign, colours.dimmed(colour, 0.6, colours.field))
        if sign.at >= place.grid.start and not sign.held:
            _draw_heads(cells, place, sign, after - column, colour)
    _draw_graces(cells, place, [sign for sign in signs if sign.kind is StrokeKind.GRACE], colour)


def draw_covers(
    cells: Cells,
    row: int,
    rows: int,
    grid: Grid,
    covers: Sequence[tuple[Fraction, Fraction]],
    colours: Palette,
) -> None:
    """Hidden places: hatched in the middle of their rows, so that nobody takes them for rests."""
    for start, end in covers:
        if end > grid.start:
            for column in range(grid.column(max(start, grid.start)), min(grid.column(end) - 1, grid.width)):
                cells.put(row + (rows - 1) // 2, column, COVERED, colours.faint)


def draw_stickings(cells: Cells, row: int, place: StaffPlace, lane: Lane, ink: str) -> None:
    """Stickings under their strokes, where they have room."""
    for sign in lane.signs:
        hands = "".join(sign.stickings)
        if hands and place.grid.start <= sign.at < place.end:
            column = place.grid.column(sign.at)
            if cells.is_free(row, range(column, column + len(hands))):
                cells.put(row, column, hands, ink, bold=True)


def draw_words(cells: Cells, row: int, place: StaffPlace, lane: Lane, colours: Palette) -> None:
    """Dynamics, words and changes, where they have room; changes stand out."""
    for word in lane.words:
        if place.grid.start <= word.at < place.end:
            column = place.grid.column(word.at)
            if cells.is_free(row, range(column, min(column + len(word.text), cells.width))):
                ink = colours.caution if word.is_change else colours.ink
                cells.put(row, column, word.text, ink, bold=word.is_change)


def _draw_lines(cells: Cells, place: StaffPlace, colours: Palette, beats: Sequence[Fraction]) -> None:
    """The staff's ground, its lines and labels, and a faint dot at each beat between the lines."""
    gutter = place.grid.gutter
    for number in range(place.staff.height):
        row = place.row + number
        cells.paint(row, range(cells.width), colours.field)
        label = place.staff.label(number)[: gutter - 4]
        cells.put(row, gutter - 1 - len(label), label, colours.faint)
        if place.staff.is_line(number):
            for column in range(gutter, cells.width):
                cells.soft(row, column, "─", colours.line)
        else:
            for beat in beats:
                if place.grid.start <= beat < place.end:
                    cells.soft(row, place.grid.column(beat), "·", colours.line)


def _draw_tails(cells: Cells, place: StaffPlace, sign: LaneSign, ink: str) -> None:
    first = place.grid.column(max(sign.at, place.grid.start))
    last = min(place.grid.column(sign.at + sign.length), place.grid.width)
    letter = ROLLED if sign.kind is StrokeKind.ROLL else RINGING if sign.rings else HELD
    for name in sign.names:
        for column in range(first, last):
            cells.soft(place.row + place.staff.row(name), column, letter, ink)


def _draw_heads(cells: Cells, place: StaffPlace, sign: LaneSign, gap: int, colour: str) -> None:
    column, ink = place.grid.column(sign.at), ink_on(colour)
    for row in dict.fromkeys(place.staff.row(name) for name in sign.names):
        names = [name for name in sign.names if place.staff.row(name) == row]
        text = head_text(names, gap) if sign.pitches else kit_head(sign)
        cells.put(place.row + row, column, text, ink, ground=colour, bold=True)
        if sign.damped and gap > len(text):
            cells.put(place.row + row, column + len(text), DAMPED, colour, bold=True)
    top = place.row + min(place.staff.row(name) for name in sign.names)
    if sign.accented and sign.pitches and top > place.row:
        cells.soft(top - 1, column, ACCENT, colour)


def kit_head(sign: LaneSign) -> str:
    """What stands in the head of an unpitched stroke: its row says what is struck."""
    return ACCENT if sign.accented else "●"


def head_text(names: Sequence[str], gap: int) -> str:
    """What stands in a head: the letters of its notes without their octave, as wide as the room to the next allows.

    Args:
        names: the notes of one row, from low to high.
        gap: columns to the next stroke.
    """
    letters = "".join(name.rstrip("-0123456789") for name in names)
    if len(letters) > gap:
        letters = letters[: max(1, gap)]
    if gap >= 6 and len(letters) < 3:
        return letters.center(3) if len(letters) == 1 else f"{letters} "
    return f"{letters} " if gap >= 4 and len(letters) == 1 else letters


def _draw_graces(cells: Cells, place: StaffPlace, graces: Sequence[LaneSign], colour: str) -> None:
    """Grace strokes as small letters before their stroke."""
    for number, sign in enumerate(reversed(graces)):
        same = sum(1 for later in graces[len(graces) - number :] if later.at == sign.at)
        column = place.grid.column(sign.at) - 1 - same
        if column >= place.grid.gutter and sign.at >= place.grid.start:
            letter = sign.names[-1][0].lower() if sign.pitches else ","
            cells.soft(place.row + place.staff.row(sign.names[-1]), column, letter, colour)
