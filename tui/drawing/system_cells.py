"""One system of the practice screen: bar numbers, the ruler, the others, one's own staff, stickings and words."""

from collections.abc import Collection, Mapping
from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from score.activity.lanes import Lane, Run, RunBar
from tui.drawing.bent_tempo import TempoCurve
from tui.drawing.cells import Cells
from tui.drawing.other_lanes import draw_lane, lane_view
from tui.drawing.own_staff import StaffPlace, draw_covers, draw_staff, draw_stickings, draw_words
from tui.drawing.palette import Palette
from tui.drawing.staff_rows import StaffNeeds, staff_of
from tui.drawing.time_grid import Grid, Page

RULER_ROW = 1


class SystemShape(NamedTuple):
    """Rows of a system.

    Attributes:
        others: rows of each other player's lane; 0 shows only the cue's.
        staff: rows of one's own staff; 0 where it is engraved below.
        stickings, words: whether they have a row; without one words stand beside the bar numbers.
        when: rows below for what was early or late; they are drawn apart.
    """

    others: int
    staff: int
    stickings: bool
    words: bool
    when: int = 0

    def height(self, others: int) -> int:
        """All rows, with so many other players."""
        return 2 + max(min(1, others), self.others * others) + self.staff + self.stickings + self.words + self.when


class SystemFacts(NamedTuple):
    """What a system shows.

    Attributes:
        run: the lanes.
        page: its bars.
        player: number of the player whose system it is.
        needs: what the chunk asks of the staff.
        names: number of each player to what stands beside the lane.
        cue: number of the player whose rhythm stands above on paper here, 0 for nobody.
        muted: numbers of those who are silent.
        marks: (quarters from the beginning of the run, text): the group's breaths, leads and looks.
        is_faded: shown dimmed, as what comes after.
        cursor: position in the run of the bar at the cursor, -1 for none.
        cursor_at: quarters to the beat at the cursor, None on a downbeat.
        curve: a tempo curve drawn beside the bar numbers, None for none.
        places: as in `Grid`, where one's own staff is engraved below.
        covers: as in `StaffPlace`.
        are_others_hidden: whether the others' lanes are covered.
    """

    run: Run
    page: Page
    player: int
    needs: StaffNeeds
    names: Mapping[int, str]
    cue: int = 0
    muted: Collection[int] = ()
    marks: tuple[tuple[Fraction, str], ...] = ()
    is_faded: bool = False
    cursor: int = -1
    cursor_at: Fraction | None = None
    curve: TempoCurve | None = None
    places: tuple[tuple[Fraction, int], ...] = ()
    covers: tuple[tuple[Fraction, Fraction], ...] = ()
    are_others_hidden: bool = False


class System(NamedTuple):
    """A system as drawn.

    Attributes:
        cells: its cells, head and light not drawn.
        grid: its columns.
        beats: quarters from the beginning of the run where its beats begin, and where its last bar ends.
        start, end: quarters it shows in full.
        shape: its rows.
        staff: rows of one's own staff.
    """

    cells: Cells
    grid: Grid
    beats: tuple[Fraction, ...]
    start: Fraction
    end: Fraction
    shape: SystemShape
    staff: range

    def holds(self, at: Fraction) -> bool:
        """Whether a moment lies in its bars."""
        return self.start <= at < self.end

    def lit(self, at: Fraction) -> range:
        """Columns of the beat in which a moment lies."""
        first = max((beat for beat in self.beats if beat <= at), default=self.start)
        last = min((beat for beat in self.beats if beat > at), default=self.end)
        return range(self.grid.column(first), min(self.grid.width, self.grid.column(last)))


def gutter_of(needs: StaffNeeds, names: Mapping[int, str]) -> int:
    """Columns at the left: the player's number, a pitch or an instrument's name, the bar line."""
    longest = max((len(name) for name in names.values()), default=1)
    return max(7, needs.label_width + 5, min(longest, 8) + 3)


def draw_system(facts: SystemFacts, shape: SystemShape, width: int, colours: Palette) -> System:
    """Draw a system."""
    run, page = facts.run, facts.page
    start = run.bars[page.first].at
    end = run.bars[page.last].at + run.bars[page.last].length
    grid = Grid(start, page.columns, gutter=gutter_of(facts.needs, facts.names), width=width, places=facts.places)
    others = [lane for lane in run.lanes if lane.player != facts.player]
    cells = Cells(width, shape.height(len(others)) - shape.when, colours.ink, colours.ground)
    seen = grid.end(run.length)
    beats = tuple(beat for bar in run.bars for beat in bar.beats if start <= beat < seen)
    row = _draw_others(cells, facts, shape, grid, others=others, beats=beats, colours=colours)
    rows = range(row, row + shape.staff)
    if shape.staff:
        _draw_own(cells, facts, shape, grid, row=row, beats=beats, colours=colours)
    else:
        _draw_bars(cells, facts, grid, colours, last=row)
    fade_from = grid.gutter if facts.is_faded else min(width, grid.column(end))
    cells.fade(range(cells.height), fade_from, lambda colour: colours.dimmed(colour, 0.55))
    inside = tuple(beat for beat in beats if start <= beat < end)
    return System(cells, grid, (*inside, end), start=start, end=end, shape=shape, staff=rows)


def _draw_own(
    cells: Cells,
    facts: SystemFacts,
    shape: SystemShape,
    grid: Grid,
    *,
    row: int,
    beats: tuple[Fraction, ...],
    colours: Palette,
) -> None:
    """One's own staff from a row on, bar lines through it, stickings and words."""
    own = next(lane for lane in facts.run.lanes if lane.player == facts.player)
    end = grid.end(facts.run.length)
    staff = StaffPlace(row, staff_of(facts.needs, shape.staff), grid=grid, end=end, covers=facts.covers)
    draw_staff(cells, staff, own, colours, beats)
    row += shape.staff
    if shape.stickings:
        draw_stickings(cells, row, staff, own, colours.ink)
    _draw_bars(cells, facts, grid, colours, last=row)
    draw_words(cells, row + shape.stickings if shape.words else 0, staff, own, colours)


def _draw_others(
    cells: Cells,
    facts: SystemFacts,
    shape: SystemShape,
    grid: Grid,
    *,
    others: list[Lane],
    beats: tuple[Fraction, ...],
    colours: Palette,
) -> int:
    """The others' lanes; gives back the row below them."""
    row = RULER_ROW + 1
    shown = others if shape.others else [lane for lane in others if lane.player == facts.cue] or others[:1]
    for lane in shown:
        is_cue, is_muted = lane.player == facts.cue, lane.player in facts.muted
        label = facts.names[lane.player] + (" off" if is_muted else "")
        view = lane_view(lane, label, max(1, shape.others), is_cue=is_cue, is_muted=is_muted)
        for beat in beats:
            if beat >= grid.start:
                cells.soft(row + view.rows - 1, grid.column(beat), "·", colours.line)
        if facts.are_others_hidden:
            view = view._replace(lane=replace(lane, signs=()))
            draw_covers(cells, row, view.rows, grid, [(bar.at, bar.at + bar.length) for bar in facts.run.bars], colours)
        draw_lane(cells, row, view, grid, grid.end(facts.run.length), colours)
        row += view.rows
    return row


def _draw_bars(cells: Cells, facts: SystemFacts, grid: Grid, colours: Palette, *, last: int) -> None:
    """Numbers, marks, beats, and the bar lines in the column before each bar where it is free."""
    for position, bar in enumerate(facts.run.bars[facts.page.first :], start=facts.page.first):
        column = grid.column(bar.at)
        if column >= cells.width:
            break
        _draw_number(cells, bar, column, colours, at_cursor=position == facts.cursor)
        for number, beat in enumerate(bar.beats, start=1):
            if cells.is_free(RULER_ROW, range(grid.column(beat), grid.column(beat) + 1)):
                cells.put(RULER_ROW, grid.column(beat), str(number), colours.faint)
        for row in range(RULER_ROW, last):
            cells.soft(row, column - 1, "│", colours.line)
    corners = facts.curve.corners() if facts.curve else ()
    for at, text in (*facts.marks, *corners):
        if at >= grid.start and grid.column(at) < cells.width:
            _draw_mark(cells, grid.column(at), text, colours)
    if facts.cursor_at is not None and facts.cursor_at >= grid.start:
        cells.put(RULER_ROW, grid.column(facts.cursor_at), "▴", colours.caution, bold=True)
    if facts.curve:
        for column in range(grid.gutter, cells.width):
            sign = facts.curve.sign(grid.moment(column))
            if sign and cells.is_free(0, range(column, column + 1)):
                cells.put(0, column, sign, colours.dimmed(colours.caution, 0.7))


def _draw_number(cells: Cells, bar: RunBar, column: int, colours: Palette, *, at_cursor: bool) -> None:
    if cells.is_free(0, range(column, min(cells.width, column + len(bar.label)))):
        cells.put(0, column, bar.label, colours.ink, bold=True)
        if at_cursor:
            cells.put(0, column - 1, f"▸{bar.label}", colours.caution, bold=True)
        if bar.mark:
            after = column + len(bar.label) + 1
            cells.put(0, after, f"[{bar.mark}]", colours.ground, ground=colours.ink, bold=True)


def _draw_mark(cells: Cells, column: int, text: str, colours: Palette) -> None:
    """A mark of the group's over its beat, or as near after it as there is room."""
    for place in range(max(0, column - 1), cells.width - len(text)):
        if cells.is_free(0, range(max(0, place - 1), place + len(text) + 1)):
            cells.put(0, place, text, colours.caution, bold=True)
            return
