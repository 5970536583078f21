"""Entries nobody leads yet: one key accepts, a digit changes who, undo gives the file back byte for byte."""

import tomllib
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from tests.longer import longer
from tests.tui.stand_steps import holds, open_as, text_of, until, use
from tui.app import InbreathApp
from tui.command import run
from tui.drawing.palette import DARK
from tui.drawing.proposal_rows import ProposalRow, proposal_rows, proposal_sentence
from tui.screens.proposals_screen import ProposalsScreen

pytestmark = pytest.mark.campaign

Steps = Callable[[Pilot[int], ProposalsScreen], Awaitable[None]]
SETTLED = '# ours\n[[lead]]\nbars = "17-24"\nplayer = 3\n'


def on_entries(app: InbreathApp, steps: Steps, size: tuple[int, int] = (80, 24)) -> None:
    async def to_entries(pilot: Pilot[int]) -> None:
        await open_as(pilot, 2)
        await pilot.press("e")
        await until(pilot, "ProposalsScreen")
        screen = app.screen
        assert isinstance(screen, ProposalsScreen)
        await holds(pilot, lambda: screen.proposals is not None)
        await steps(pilot, screen)

    use(app, to_entries, size)


def entries(path: Path, table: str) -> list[dict[str, Any]]:
    entries: list[dict[str, Any]] = tomllib.loads(path.read_text()).get(table, []) if path.exists() else []
    return entries


def test_one_key_accepts_and_undo_gives_every_byte_back(stand, score: Path) -> None:
    group, app = score.with_name("quartet.group.toml"), stand(score)
    group.write_text(SETTLED)
    before = group.read_bytes()

    async def steps(pilot: Pilot[int], screen: ProposalsScreen) -> None:
        # Bar 17 is led already: bar 41, entered together after silence, is the first that is open.
        await holds(pilot, lambda: "7 open" in text_of(app))
        assert "bar 17 " not in text_of(app)
        assert "1 " in text_of(app).split("after a silence")[1][:12]
        await pilot.press("enter")
        await holds(pilot, lambda: "6 open" in text_of(app) and len(screen.undos) == 1)
        (breath,) = entries(group, "breath")
        assert (breath["bar"], breath["beat"], breath["player"]) == ("41", 1, 1)
        assert (breath["by"], breath["state"]) == (2, "tried")
        assert "bar 41 " not in text_of(app)
        # Not listed either when one comes back.
        await pilot.press("escape")
        await until(pilot, "StandScreen")
        await pilot.press("e")
        await holds(pilot, lambda: "6 open" in text_of(app))
        await pilot.press("enter")
        await holds(pilot, lambda: "5 open" in text_of(app) and len(app.screen.undos) == 1)
        await pilot.press("ctrl+z")
        await holds(pilot, lambda: "6 open" in text_of(app))
        assert len(entries(group, "breath")) == 1
        screen.undos[0]()
        assert group.read_bytes() == before

    on_entries(app, steps)


def test_a_digit_takes_another_giver_and_a_running_pulse_is_led(stand, score: Path) -> None:
    group, app = score.with_name("quartet.group.toml"), stand(score)

    async def steps(pilot: Pilot[int], screen: ProposalsScreen) -> None:
        await holds(pilot, lambda: "8 open" in text_of(app))
        await pilot.press("9")
        await holds(pilot, lambda: "There is no player 9." in text_of(app))
        await pilot.press("4", "enter")
        await holds(pilot, lambda: len(screen.undos) == 1)
        (lead,) = entries(group, "lead")
        assert (lead["bars"], lead["player"], lead["state"]) == ("17", 4, "tried")
        await pilot.press("ctrl+z")
        await holds(pilot, lambda: "8 open" in text_of(app))
        assert not group.exists()

    on_entries(app, steps)


def test_what_needs_nobody_is_not_listed_again_and_two_enters_settle_two(stand, score: Path) -> None:
    group, app = score.with_name("quartet.group.toml"), stand(score)

    async def steps(pilot: Pilot[int], screen: ProposalsScreen) -> None:
        await holds(pilot, lambda: "8 open" in text_of(app))
        await pilot.press("delete", "enter", "enter")
        await holds(pilot, lambda: "5 open" in text_of(app) and len(screen.undos) == 3)
        assert [lead["state"] for lead in entries(group, "lead")] == ["dropped"]
        assert [breath["bar"] for breath in entries(group, "breath")] == ["41", "55"]
        for left in (6, 7, 8):
            await pilot.press("ctrl+z")
            await holds(pilot, lambda left=left: f"{left} open" in text_of(app))  # type: ignore[misc]
        assert not group.exists()

    on_entries(app, steps)


@pytest.mark.parametrize("size", [longer((60, 20)), (80, 24)])
def test_list_reason_and_bars_have_room_without_colour(stand, score: Path, monkeypatch, size: tuple[int, int]) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    app = stand(score)

    async def steps(pilot: Pilot[int], _: ProposalsScreen) -> None:
        await pilot.press("down")
        await holds(pilot, lambda: "gives the breath: moves most in the" in text_of(app))
        shown = text_of(app).splitlines()
        # The whole reason is there, on two lines where one is too short.
        assert "moves most in the first bar, has the tune" in " ".join(text_of(app).split())
        assert any(line.startswith("▶ bar 41") and "after a silence" in line for line in shown)
        # The giver's row is marked in the picture of the bars, and so are the bars.
        assert any(line.startswith("▶ 1 ") for line in shown)
        assert any("40" in line and "41" in line for line in shown)
        assert "enter accept" in shown[-1]

    on_entries(app, steps, size)


def test_rows_keep_to_their_width() -> None:
    row = ProposalRow(
        "bar 1041 beat 3.5", "after the ritardando", 3, name="Marimba", short="leads", does="leads", reason="x" * 90
    )
    for width in (40, 60, 80, 120):
        assert [len(line.plain) for line in proposal_rows([row], 0, width, DARK)] == [width]
        assert all(len(line.plain) <= width for line in proposal_sentence(row, width, DARK))


def test_the_command_of_chunks_lists_the_same_places(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    score.with_name("quartet.group.toml").write_text(SETTLED)
    assert run(["chunks", str(score)]) == 0
    listed = capsys.readouterr().out.split("\nEntries without a leader\n")[1].splitlines()
    bars = [line.split(",")[0].strip() for line in listed]
    assert bars == ["bar 41", "bar 55 beat 5", "bar 57", "bar 81", "bar 97", "bar 111", "bar 113"]
    assert "Player 1 gives the breath? (moves most in the first bar, has the tune" in listed[0]
