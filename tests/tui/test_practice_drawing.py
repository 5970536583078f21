"""What the practice screen draws, asked without a screen: rhythm true to the eye, nothing empty, every sign one column.

The figures come from measurements of whole jobs done on the screens; no published source.
"""

from collections import defaultdict
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
from rich.cells import cell_len

from score.activity.lanes import Run, run
from score.chunks.division import divide as divide_piece
from score.group.group_file import group_path, read_group
from score.piece import Piece, StrokeKind
from score.reading import read_score
from tui.drawing.large_digits import put_large
from tui.drawing.letters import plain
from tui.drawing.own_staff import head_text
from tui.drawing.palette import DARK
from tui.drawing.practice_head import HeadFacts, draw_head
from tui.drawing.practice_layout import PracticeLayout, practice_layout
from tui.drawing.staff_rows import staff_needs, staff_of
from tui.drawing.system_cells import System, SystemFacts, SystemShape, draw_system, gutter_of
from tui.drawing.time_grid import Grid, Page, divide

SAMPLES = Path(__file__).parents[2] / "samples"
WIDTHS = (60, 67, 80, 97, 120, 160, 200)


@pytest.fixture(scope="module")
def pieces() -> dict[str, Piece]:
    def read(name: str) -> Piece:
        path = SAMPLES / f"{name}.musicxml"
        return read_score(path, read_group(group_path(path))).piece

    return {name: read(name) for name in ("quartet", "trio-ids", "study")}


class Shown:
    """A chunk as the practice screen shares it out at one size."""

    def __init__(self, piece: Piece, bars: range, player: int, size: tuple[int, int]) -> None:
        self.piece, self.player, self.size = piece, player, size
        self.run = lanes_of(piece, bars)
        count = len(bars)
        end = self.run.bars[count - 1].at + self.run.bars[count - 1].length
        own = next(lane for lane in self.run.lanes if lane.player == player)
        signs = [sign for sign in own.signs if sign.at < end]
        self.needs = staff_needs(signs)
        self.names = {lane.player: str(lane.player) for lane in self.run.lanes}
        columns = size[0] - gutter_of(self.needs, self.names)
        self.pages = divide(self.run, player, columns, range(count))
        self.after = divide(self.run, player, columns, range(count, len(self.run.bars)))
        self.layout: PracticeLayout = practice_layout(
            size[1],
            len(self.run.lanes) - 1,
            self.needs,
            stickings=any(sign.stickings for sign in signs),
            words=any(word.at < end for word in own.words),
        )

    def grid(self, page: Page) -> Grid:
        start = self.run.bars[page.first].at
        return Grid(start, page.columns, gutter=gutter_of(self.needs, self.names), width=self.size[0])

    def system(self, page: Page, shape: SystemShape | None = None) -> System:
        facts = SystemFacts(self.run, page, self.player, self.needs, names=self.names, cue=0)
        return draw_system(facts, shape or self.layout.systems[0], self.size[0], DARK)

    def systems(self) -> list[System]:
        """What stands on the first page, from the top."""
        pages = [*self.pages, *self.after]
        shapes = [*self.layout.systems, *([self.layout.small] if self.layout.small else [])]
        return [self.system(page, shape) for page, shape in zip(pages, shapes, strict=False)]


_LANES: dict[tuple[str, range], Run] = {}


def lanes_of(piece: Piece, bars: range) -> Run:
    """Gathered once for all players and widths."""
    if (piece.digest, bars) not in _LANES:
        _LANES[piece.digest, bars] = run(piece, range(bars[0], min(len(piece.bars), bars[-1] + 13)))
    return _LANES[piece.digest, bars]


def chunks(piece: Piece) -> list[range]:
    return [chunk.bars for chunk in divide_piece(piece)]


@pytest.mark.parametrize("name", ["quartet", "trio-ids", "study"])
def test_equal_gaps_are_drawn_equal_over_bar_lines_too(pieces: dict[str, Piece], name: str) -> None:
    piece = pieces[name]
    uneven = []
    for player in piece.players:
        for bars in chunks(piece):
            for width in WIDTHS:
                shown = Shown(piece, bars, player.number, (width, 24))
                for page in shown.pages:
                    uneven += _uneven(shown, page)
    assert uneven == []


def _uneven(shown: Shown, page: Page) -> list[str]:
    """Gaps of one system that are as long as another and drawn otherwise, and strokes that share a column."""
    grid = shown.grid(page)
    bars = [shown.run.bars[position] for position in page.positions]
    start, end = bars[0].at, bars[-1].at + bars[-1].length
    lane = next(lane for lane in shown.run.lanes if lane.player == shown.player)
    onsets = sorted(
        {
            sign.at
            for sign in lane.signs
            if start <= sign.at < end and sign.kind is not StrokeKind.GRACE and not sign.held
        }
    )
    drawn: dict[Fraction, set[int]] = defaultdict(set)
    for before, after in pairwise(onsets):
        drawn[after - before].add(grid.column(after) - grid.column(before))
    where = f"player {shown.player}, bars {bars[0].label}-{bars[-1].label}, {shown.size[0]} columns"
    return [f"{where}: {gap} as {sorted(widths)}" for gap, widths in drawn.items() if len(widths) > 1 or 0 in widths]


def test_every_page_ends_inside_the_screen_and_no_bar_is_left_out(pieces: dict[str, Piece]) -> None:
    for piece in pieces.values():
        for bars in chunks(piece):
            for width in WIDTHS:
                shown = Shown(piece, bars, piece.players[0].number, (width, 24))
                assert [position for page in shown.pages for position in page.positions] == list(range(len(bars)))
                for page in shown.pages:
                    last = shown.run.bars[page.last]
                    assert shown.grid(page).column(last.at + last.length) <= width


@pytest.mark.parametrize(
    ("size", "b_rows", "d_rows"),
    [((60, 20), 0, 2), ((80, 24), 0, 2), ((120, 40), 3, 8), ((160, 48), 7, 16)],
)
def test_hardly_a_row_is_empty(pieces: dict[str, Piece], size: tuple[int, int], b_rows: int, d_rows: int) -> None:
    piece = pieces["quartet"]
    for bars, player, most in ((range(16, 40), 2, b_rows), (range(56, 64), 1, d_rows)):
        shown = Shown(piece, bars, player, size)
        rows = [row for system in shown.systems() for row in system.cells.plain]
        # Between the head above and the two rows of the foot.
        room = size[1] - 2 - shown.layout.head
        empty = room - len(rows) + sum(not row.strip() for row in rows)
        assert 0 <= empty <= most, (bars, player)


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40), (160, 48), (200, 60)])
def test_systems_never_need_more_rows_than_there_are(pieces: dict[str, Piece], size: tuple[int, int]) -> None:
    for piece in pieces.values():
        for player in piece.players:
            for bars in chunks(piece)[::3]:
                shown = Shown(piece, bars, player.number, size)
                heights = sum(system.cells.height for system in shown.systems())
                assert heights <= size[1] - 2 - shown.layout.head


def test_every_sign_takes_one_column_and_has_a_plain_one(pieces: dict[str, Piece]) -> None:
    for piece in pieces.values():
        for player in piece.players:
            for bars in chunks(piece)[::2]:
                for row in Shown(piece, bars, player.number, (100, 30)).systems()[0].cells.plain:
                    assert all(cell_len(sign) == 1 for sign in row)
                    assert plain(row).isascii()
                    assert "?" not in plain(row)


def test_the_beat_that_sounds_is_lit_whole(pieces: dict[str, Piece]) -> None:
    shown = Shown(pieces["quartet"], range(16, 40), 2, (80, 24))
    system = shown.system(shown.pages[0])
    columns = shown.pages[0].columns
    assert system.lit(Fraction(5, 2)) == range(system.grid.column(Fraction(2)), system.grid.column(Fraction(3)))
    assert len(system.lit(Fraction(0))) == columns
    # Four beats in each of the bars, without a gap between them.
    edges = [system.lit(beat) for beat in system.beats[:-1]]
    assert all(before.stop == after.start for before, after in pairwise(edges))


def test_a_staff_has_a_row_a_step_and_a_kit_a_row_an_instrument(pieces: dict[str, Piece]) -> None:
    staff = staff_of(staff_needs(run(pieces["quartet"], range(16, 40)).lanes[1].signs), 13)
    rows = [staff.row(name) for name in ("D4", "C4", "B3", "A3")]
    assert rows == list(range(rows[0], rows[0] + 4))
    # The bass staff's lines, from the lowest: G2 B2 D3 F3 A3 (common practice).
    assert all(staff.is_line(staff.row(name)) for name in ("G2", "B2", "D3", "F3", "A3"))
    assert not staff.is_line(staff.row("C3"))
    kit = run(pieces["trio-ids"], range(8)).lanes[1]
    drums = staff_of(staff_needs(kit.signs), 8)
    names = list(dict.fromkeys(name for sign in kit.signs for name in sign.names))
    assert len({drums.row(name) for name in names}) == len(names)
    assert [drums.label(drums.row(name)) for name in names] == names


@pytest.mark.parametrize(
    ("names", "gap", "text"),
    [
        (["D4"], 2, "D"),
        (["Bb3"], 2, "Bb"),
        (["Bb3"], 1, "B"),
        (["D4"], 4, "D "),
        (["D4"], 8, " D "),
        (["F#4"], 8, "F# "),
    ],
)
def test_a_head_is_as_wide_as_there_is_room(names: list[str], gap: int, text: str) -> None:
    assert head_text(names, gap) == text


def head(width: int, rows: int, **changes: object) -> str:
    facts = HeadFacts(
        "B",
        "17-40",
        tempo="q = 73",
        share="70 % of 104",
        state="playing",
        is_playing=True,
        played="pass 3, loop",
        beat=3,
        beats=4,
        bar="18",
        count_in="",
        cells=(1, 2, 0),
        lines=("3 leads",),
        player=2,
    )._replace(**changes)  # type: ignore[arg-type]
    return "\n".join(draw_head(facts, width, rows, DARK).plain)


@pytest.mark.parametrize("width", [60, 80, 120, 200])
def test_the_head_says_what_it_does(width: int) -> None:
    assert all(words in head(width, 4) for words in ("B", "bars 17-40", "q = 73", "▶ playing", "3 leads"))
    assert "[3]" in head(width, 3)
    assert "■ stopped" in head(width, 4, state="stopped", is_playing=False)
    counted = head(width, 4, state="count-in 2", count_in="2", beat=0)
    assert "count-in 2" in counted
    assert counted != head(width, 4, state="count-in 2", count_in="3", beat=0)
    assert all(len(row) == width for row in head(width, 5).splitlines())


def test_large_digits_are_unlike_one_another() -> None:
    from tui.drawing.cells import Cells

    shapes = set()
    for digit in "0123456789":
        cells = Cells(4, 3, DARK.ink, DARK.ground)
        assert put_large(cells, 0, 0, digit, DARK.ink) == 4
        shapes.add("\n".join(cells.plain))
    assert len(shapes) == 10


@pytest.mark.parametrize(("width", "rows"), [(60, 3), (80, 4), (120, 5)])
def test_a_strip_shows_its_keys_and_a_second_line_on_every_screen(width: int, rows: int) -> None:
    shown = head(width, rows, is_strip=True, lines=("1-6 now try:", "1 forward 2 back", "17-40: as written"))
    assert "1-6 now try:" in shown
    assert "1 forward 2 back" in shown
