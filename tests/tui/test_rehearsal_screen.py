"""In rehearsal: the clock waits, notes keep every word, what is tried is settled, the evening is written down."""

import tomllib
from collections.abc import Awaitable, Callable
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from textual.pilot import Pilot

from tests.tui.stand_steps import holds, open_as, text_of, until, use
from tui.app import InbreathApp
from tui.drawing.tall_clock import tall_clock
from tui.rehearsal_clock import RehearsalClock
from tui.screens.rehearsal_screen import RehearsalScreen

pytestmark = pytest.mark.campaign

Steps = Callable[[Pilot[int], RehearsalScreen], Awaitable[None]]
GROUP = """concert = 2099-03-14

[[rehearsal]]
at = 2099-03-02T19:00:00
minutes = 90

[[shape]]
# in the second half
bars = "1-116"
kind = "back"
percent = 8
by = 2
state = "tried"

[[lead]]
bars = "1-116"
player = 3
"""
SENTENCES = (
    "B slower at 23, player 3 leads", "2 and 4 together", "31 2 breathe with 3", "softer",
    "no roll before the second beat",
    "[wait] for 1", "50 % less", "\u201egut so\u201c", "a=b", "3: look up", "everyone # here",
    "it's 4, not 3", "let  it   ring",
    "p < mf", "\"again\"", "1-2-3", "damp \\ stop", "half tempo: 52", "don't rush (2)", "all stop on 4!",
)  # fmt: skip


def on_rehearsal(app: InbreathApp, steps: Steps) -> None:
    async def to_rehearsal(pilot: Pilot[int]) -> None:
        await open_as(pilot, 2)
        await pilot.press("r")
        await until(pilot, "RehearsalScreen")
        screen = app.screen
        assert isinstance(screen, RehearsalScreen)
        await holds(pilot, lambda: screen.facts is not None)
        await steps(pilot, screen)

    use(app, to_rehearsal)


def test_the_clock_waits_items_pass_and_minutes_are_added(stand, score: Path) -> None:
    score.with_name("quartet.group.toml").write_text(GROUP)
    app = stand(score)

    async def steps(pilot: Pilot[int], screen: RehearsalScreen) -> None:
        await holds(pilot, lambda: "space starts the clock" in text_of(app))
        left = screen.clock.left
        await pilot.press("plus")
        assert screen.clock.left == left + 120
        await pilot.press("space")
        assert screen.clock.is_running
        await pilot.press("n", "space")
        assert (screen.item, screen.clock.is_running) == (1, False)
        await holds(pilot, lambda: "(clock stopped)" in text_of(app))

    on_rehearsal(app, steps)


@pytest.mark.campaign
def test_a_note_keeps_every_word(stand, score: Path) -> None:
    group = score.with_name("quartet.group.toml")
    group.write_text(GROUP)
    app = stand(score)

    async def steps(pilot: Pilot[int], screen: RehearsalScreen) -> None:
        # Two keys and the text: the bar and everybody stand there already.
        await pilot.press("e")
        await until(pilot, "AskForm")
        await pilot.press(
            *("space" if sign == " " else "comma" if sign == "," else sign for sign in SENTENCES[0]), "enter"
        )
        await holds(pilot, lambda: len(screen.noted) == 1)
        for sentence in SENTENCES[1:]:
            screen._note(("31", "2", sentence))
        await holds(pilot, lambda: len(screen.noted) == len(SENTENCES))
        notes = tomllib.loads(group.read_text())["note"]
        assert [note["text"] for note in notes] == list(SENTENCES)
        assert ("player" in notes[0], notes[1]["player"], notes[1]["bar"]) == (False, 2, "31")
        await pilot.press("ctrl+z")
        await holds(pilot, lambda: len(tomllib.loads(group.read_text())["note"]) == len(SENTENCES) - 1)

    on_rehearsal(app, steps)


def test_a_bar_that_is_not_there_loses_nothing(stand, score: Path) -> None:
    score.with_name("quartet.group.toml").write_text(GROUP)
    app = stand(score)

    async def steps(pilot: Pilot[int], screen: RehearsalScreen) -> None:
        screen._note(("999", "all", "this is dear to us"))
        await until(pilot, "AskForm")
        await holds(pilot, lambda: "this is dear to us" in text_of(app))

    on_rehearsal(app, steps)


def test_what_is_tried_is_settled_by_a_key_and_stands_in_the_protocol(stand, score: Path) -> None:
    group = score.with_name("quartet.group.toml")
    group.write_text(GROUP)
    app = stand(score)

    async def steps(pilot: Pilot[int], screen: RehearsalScreen) -> None:
        await holds(pilot, lambda: "2 holds back 8 %" in text_of(app))
        shown = text_of(app)
        assert shown.index("2 holds back 8 %") < shown.index("3 leads", shown.index("tried"))
        await pilot.press("s", "y")
        await holds(pilot, lambda: 'state = "agreed"' in group.read_text())
        assert "# in the second half" in group.read_text()
        await holds(pilot, lambda: screen.protocol_path.exists() and "agreed" in screen.protocol_path.read_text())
        protocol = screen.protocol_path.read_text()
        assert "## Decided\n\n- bars 1-116: 2 holds back 8 % (agreed)" in protocol
        assert "under tempo" in protocol
        assert "Left open" not in protocol
        await pilot.press("ctrl+z")
        await holds(pilot, lambda: group.read_text() == GROUP)
        await holds(pilot, lambda: "Left open" in screen.protocol_path.read_text())

    on_rehearsal(app, steps)


def test_the_clock_counts_only_while_it_runs_and_knows_how_far_behind() -> None:
    seconds, start = [0.0], datetime(2027, 3, 2, 19, 0)
    clock = RehearsalClock(
        [10, 5],
        [0, 10],
        start,
        seconds=lambda: seconds[0],
        now=lambda: start + timedelta(minutes=2, seconds=seconds[0]),
    )
    assert (clock.left, clock.behind) == (600, None)
    clock.toggle()
    seconds[0] = 60
    assert (clock.left, clock.behind) == (540, 2)
    clock.toggle()
    seconds[0] = 360
    assert (clock.left, clock.behind) == (540, 7)
    clock.go(1)
    assert clock.left == 300
    clock.go(0)
    clock.longer(2)
    assert clock.left == 660
    clock.toggle()
    seconds[0] = 360 + 700
    assert clock.left == -40


def test_figures_are_five_rows_tall() -> None:
    rows = tall_clock("1:07", "#ffffff").plain.split("\n")
    assert len(rows) == 5
    assert rows[0][24:30] == "██████"
    assert rows[4][24:30].strip() == "██"
