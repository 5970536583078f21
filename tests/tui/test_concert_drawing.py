"""Pictures of a concert in letters: a stage to scale, pieces with one's own name, today."""

from datetime import date
from pathlib import Path

import pytest

from score.concert.concert_values import Concert, Hall
from score.concert.stage_moves import stage_change
from score.concert.stage_plan import StageInstrument, StagePlan, StageSpot
from score.setup.floor_plan import Point
from tui.drawing.concert_picture import PieceRow, concert_heading, piece_lines, today_lines
from tui.drawing.palette import DARK
from tui.drawing.stage_letters import stage_page, stage_rows


def _square(kind: str, x: float, y: float, side: float) -> StageInstrument:
    half = side / 2
    corners = tuple(Point(x + half * a, y + half * b) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1)))
    return StageInstrument(kind, kind, "", people=("Ann",), parts=1, middle=Point(x, y), turned=0.0, corners=corners)


def _stage(*instruments: StageInstrument) -> StagePlan:
    return StagePlan("duo", "Duo", instruments, spots=(StageSpot("Ann", Point(2, 5), 0.0),), wide=1.0, deep=1.0)


@pytest.mark.parametrize(("width", "height"), [(40, 14), (78, 22), (100, 36)])
def test_a_stage_is_drawn_to_scale_with_the_audience_below(width: int, height: int) -> None:
    rows = [row.plain for row in stage_rows(Hall(10.0, 6.0), _stage(_square("gong", 5, 3, 2)), (width, height), DARK)]
    assert rows[-1].strip() == "audience"
    inside = [row[1:-1] for row in rows[1:-2]]
    wide, deep = len(inside[0]), len(inside)
    # A letter is twice as high as wide: metres are as long both ways.
    assert wide / 10 == pytest.approx(2 * deep / 6, rel=0.15)
    places = [(line, column) for line, row in enumerate(inside) for column, sign in enumerate(row) if sign == "a"]
    # Two metres of ten each way, in the middle; a cell more or less at each edge.
    columns, lines = {column for _, column in places}, {line for line, _ in places}
    assert len(columns) == pytest.approx(wide * 0.2, abs=2)
    assert len(lines) == pytest.approx(deep / 3, abs=1.5)
    assert (min(columns) + max(columns)) / 2 == pytest.approx(wide / 2, abs=1.5)
    (ann,) = [(line, row.index("Ann")) for line, row in enumerate(inside) if "Ann" in row]
    # Five metres from the front is near the back, two from the left a fifth of the way.
    assert ann[0] < deep / 3
    assert ann[1] == pytest.approx(wide / 5, abs=1.5)


def test_what_letters_mean_stands_beside_the_stage_where_there_is_room() -> None:
    hall, stage = Hall(10.0, 6.0), _stage(_square("gong", 5, 3, 2))
    narrow, wide = (
        [text.plain for text in stage_page(hall, stage, None, size, DARK)] for size in ((40, 20), (120, 40))
    )
    assert narrow[-1].strip().startswith("a  gong at (5.0, 3.0), Ann")
    assert wide[1].rstrip().endswith("a  gong at (5.0, 3.0), Ann")
    assert all(len(line) <= 40 for line in narrow)
    assert "Nothing of percussion" in "\n".join(
        text.plain for text in stage_page(Hall(10.0, 6.0), _stage(), None, (80, 24), DARK)
    )


@pytest.mark.parametrize("width", [40, 80, 120])
def test_a_row_a_piece_never_runs_over_the_screen(width: int) -> None:
    people = [f"Person {number}" for number in range(12)]
    title = "A title that is far too long for any row of any list"
    rows = [PieceRow("one", title, people, 65.0), PieceRow("two", "", [])]
    lines = [line.plain for line in piece_lines(rows, 0, "Person 0", width, DARK)]
    assert all(len(line) == width for line in lines)
    assert lines[1].startswith("▶ 1  A title")
    assert "… " in lines[1]
    assert "1:05" in lines[1]
    assert lines[2].strip() == "2  two"


def test_a_piece_is_called_by_its_title_and_by_what_the_calendar_calls_it() -> None:
    rows = [PieceRow("quartet", "Low Water", ["Ann"]), PieceRow("Duo", "duo", ["Ann"])]
    lines = [line.plain for line in piece_lines(rows, 0, "Ann", 80, DARK)]
    assert lines[1].startswith("▶ 1  Low Water (quartet)")
    assert "(Duo)" not in lines[2]


def test_who_carries_is_said_on_a_narrow_screen_too() -> None:
    before, after = _stage(_square("vibraphone", 5, 3, 2)), _stage(_square("marimba", 2, 3, 2))
    change = stage_change(Hall(10.0, 6.0, hands=("A stagehand with a long name",)), {}, before, after)
    lines = [text.plain for text in stage_page(Hall(10.0, 6.0), after, change, (44, 20), DARK)]
    assert all(len(line) <= 44 for line in lines)
    words = " ".join(" ".join(lines).split())
    assert all(f"{move.seconds:.0f} s, {', '.join(move.carriers)}" in words for move in change.moves)


def test_today_and_the_heading_say_what_is_left() -> None:
    slots = [("quartet A", 8, True), ("study B", 6, False), ("trio C", 9, False)]
    lines = [line.plain for line in today_lines(slots, 30, DARK)]
    assert lines[0] == " Today 15 min, g begins"
    assert "quartet A done" in " ".join(lines)
    assert all(len(line) <= 30 for line in lines)
    assert [line.plain for line in today_lines([("study B", 6, True)], 80, DARK)] == [" Today is done."]
    concert = Concert(Path("spring.concert.toml"), "Spring", date(2037, 3, 14), pieces=())
    heading = concert_heading(concert, "", date(2037, 3, 13), 80, DARK).plain
    assert "w says who you are" in heading
    assert "concert Saturday 14 March, tomorrow" in heading
    narrow = concert_heading(concert, "", date(2037, 3, 13), 60, DARK).plain
    assert narrow.rstrip().endswith("concert tomorrow")
    assert len(narrow) == 60
