"""The overview: today in one key, nothing lost by Escape, the table and the picture at every size."""

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from rich.cells import cell_len
from textual.pilot import Pilot

from score.takes.readiness import Readiness
from tests.longer import longer
from tests.tui.stand_steps import Steps, at_rest, holds, text_of, until, use
from tui.app import InbreathApp
from tui.drawing.chunk_rows import ChunkRow, chunk_row, window
from tui.drawing.palette import DARK
from tui.drawing.tempo_curve import tempo_curve
from tui.screens.stand_screen import StandScreen


def on_overview(app: InbreathApp, steps: Steps, size: tuple[int, int] = (80, 24)) -> None:
    async def to_overview(pilot: Pilot[int]) -> None:
        await until(pilot, "AskOne")
        # One key says who you are.
        await pilot.press("2")
        await until(pilot, "StandScreen")
        await steps(pilot)

    use(app, to_overview, size)


def test_one_key_takes_the_next_of_todays_chunks(stand, score: Path, fake_player) -> None:
    app = stand(score, player=fake_player)

    async def steps(pilot: Pilot[int]) -> None:
        screen = app.screen
        assert isinstance(screen, StandScreen)
        await holds(pilot, lambda: "g begins with" in text_of(app))
        first, second = (slot.chunk for slot in screen.today.slots[:2])
        await pilot.press("g")
        await holds(pilot, lambda: type(app.screen).__name__ == "PracticeScreen")
        assert screen.chosen == first
        bars = app.session.chunks[first].chunk.bars
        app.history.rate(app.session.piece.digest, 2, bars, Readiness.UNDER_TEMPO, 0.6)
        await pilot.press("escape")
        await holds(pilot, lambda: first in [slot.chunk for slot in screen.today.slots if slot.is_done])
        assert "under tempo 60 %" in text_of(app)
        assert "done" in text_of(app)
        await pilot.press("g")
        await holds(pilot, lambda: type(app.screen).__name__ == "PracticeScreen")
        assert screen.chosen == second
        # From there on n goes on to the next of today's.
        third = app.session.today[1]
        await pilot.press("n")
        await holds(pilot, lambda: app.screen.setting.chunk == third)
        await pilot.press("escape")
        await until(pilot, "StandScreen")

    on_overview(app, steps)


def test_escape_never_closes_a_piece(stand, score: Path) -> None:
    app = stand(score)

    async def steps(pilot: Pilot[int]) -> None:
        await pilot.press(*["escape"] * 3)
        assert type(app.screen).__name__ == "StandScreen"
        await pilot.press("o")
        await holds(pilot, lambda: type(app.screen).__name__ == "PiecesScreen")

    on_overview(app, steps)


def test_moving_and_clicking_choose_a_chunk(stand, score: Path) -> None:
    app = stand(score)

    async def steps(pilot: Pilot[int]) -> None:
        screen = app.screen
        assert isinstance(screen, StandScreen)
        await pilot.press("down", "down")
        assert screen.chosen == 2
        await pilot.press(*["up"] * 5)
        assert screen.chosen == 0
        row = next(y for y, line in enumerate(text_of(app).splitlines()) if line.startswith(" D+8 "))
        await pilot.click("#picture", offset=(3, row))
        assert app.session.chunks[screen.chosen].chunk.name == "D+8"

    on_overview(app, steps)


@pytest.mark.parametrize("size", [longer((60, 20)), (80, 24), longer((120, 40)), longer((160, 48))])
def test_little_is_empty_and_nothing_is_cut(stand, score: Path, size: tuple[int, int]) -> None:
    app = stand(score)

    async def steps(pilot: Pilot[int]) -> None:
        await holds(pilot, lambda: "g begins with" in text_of(app) or size[0] < 70)
        await pilot.press("down", "down")
        await at_rest(pilot)
        lines = text_of(app).splitlines()
        assert all(cell_len(line) <= size[0] for line in lines)
        assert lines[-1].rstrip().endswith("? keys")
        empty = sum(not line.strip() for line in lines)
        # Ten chunks and what is asked of one: beyond that a large window has room that nothing true would fill.
        assert empty <= {20: 0, 24: 0, 40: 8, 48: 16}[size[1]]

    on_overview(app, steps, size)


def test_the_chosen_row_is_always_among_those_shown() -> None:
    for count in (1, 7, 40):
        for height in (1, 3, 12):
            for chosen in range(count):
                assert chosen in window(count, chosen, height)
                assert len(window(count, chosen, height)) == min(count, height)


def test_a_row_is_as_wide_as_asked_and_says_its_figures() -> None:
    chunk = ChunkRow("B", "17-40", 55.4, own=0.86, together=0.7, leader=3, ready="at tempo", tempo=1.0, days=2, today=8)
    for width in (60, 80, 120):
        line = chunk_row(chunk, width, 2, DARK, chosen=True).plain
        assert len(line) == width
        assert all(word in line for word in ("▶B", "17-40", "0:55", " 3 ", "at tempo", "8 min"))
    assert "100 %" in chunk_row(chunk, 80, 2, DARK, chosen=False).plain


def test_the_curve_rises_to_the_top_at_the_written_tempo() -> None:
    today = date(2027, 3, 21)
    noon = datetime(2027, 3, 1, 12, tzinfo=UTC)
    passes = [(noon, 0.5), (noon + timedelta(days=10), 1.0)]
    rows = tempo_curve(passes, today, 20, 3, "#ffffff", DARK).plain.split("\n")
    assert rows[0][:8].strip() == ""
    assert rows[0][-5:].strip() == rows[0][-5:]
    assert rows[1][1:8].strip() == rows[1][1:8]
