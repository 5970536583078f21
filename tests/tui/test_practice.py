"""Practising as a player does it: keys in, letters out, what the sound process is told, and what is kept."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from score.playback.sounding.sound_messages import PassEnded, Position, Said, Stopped
from score.takes.history import History
from score.takes.readiness import Readiness
from tests.longer import longer
from tests.tui.stand_steps import holds, open_as, text_of, until, use


async def practise(pilot: Pilot[int], player: int, bar: str = "B") -> None:
    """From the overview to a chunk's notation."""
    await open_as(pilot, player)
    await pilot.press("slash", *bar, "enter")
    await until(pilot, "StandScreen")
    await pilot.press("enter")
    await until(pilot, "PracticeScreen")
    await ready(pilot)


async def ready(pilot: Pilot[int]) -> None:
    """Until the notation stands there and the sound process has what is to be played."""
    screen: Any = pilot.app.screen
    await holds(pilot, lambda: screen.table is not None and screen.query("SystemView").first().system is not None)
    if screen.sound.player is not None:
        await holds(pilot, lambda: screen.sound._is_ready)


async def says(pilot: Pilot[int], *words: str) -> None:
    await holds(pilot, lambda: all(word in text_of(pilot.app) for word in words))


def told(fake: Any, name: str) -> Callable[[], bool]:
    return lambda: bool(fake.told) and fake.told[-1][0] == name


def test_practising_shows_staff_and_lanes_and_drives_the_player(stand, score: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await practise(pilot, 2)
        await says(pilot, " 2  ", "▶3", "3 leads", "■ stopped", "q = 104", "100 % of 104")
        assert fake_player.names()[-1] == "load"
        await pilot.press("space")
        await holds(pilot, told(fake_player, "play"))
        fake_player.coming = [Position(0.5, -1, 2, -2.0, 1, 104.0)]
        await says(pilot, "count-in 2")
        assert "▼" not in text_of(pilot.app)
        fake_player.coming = [Position(2.0, 16, 3, 2.0, 1, 104.0)]
        await says(pilot, "▶ playing", "pass 1", "▼")
        await pilot.press("plus")
        await holds(pilot, told(fake_player, "swap"))
        await says(pilot, "105 %")
        await pilot.press("minus", "minus", "1", "l")
        await says(pilot, "95 %", "1 off", "once")
        await pilot.press("space")
        await says(pilot, "■ stopped")
        assert fake_player.names()[-1] == "stop"

    use(stand(score, player=fake_player), steps)


def test_a_click_is_chosen_from_a_list(stand, score: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await practise(pilot, 1)
        await pilot.press("k")
        await until(pilot, "AskOne")
        await pilot.press("down", "enter")
        await says(pilot, "click strong beats")

    use(stand(score, player=fake_player), steps)


@pytest.mark.parametrize(("typed", "shown"), [longer("73", "q = 73"), ("70%", "70 % of 104")])
def test_a_tempo_is_typed(stand, score: Path, fake_player, typed: str, shown: str) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await practise(pilot, 2)
        await pilot.press("percent_sign")
        await until(pilot, "AskLine")
        await pilot.press(*("percent_sign" if sign == "%" else sign for sign in typed), "enter")
        await says(pilot, shown)

    use(stand(score, player=fake_player), steps)


def test_the_page_turns_with_the_head(stand, score: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await practise(pilot, 2)
        await pilot.press("space")
        await holds(pilot, told(fake_player, "play"))
        fake_player.coming = [Position(9.0, 20, 1, 16.0, 1, 104.0)]
        await holds(pilot, lambda: numbers_shown(pilot)[:2] == ["21", "22"])
        await pilot.press("pageup")
        await holds(pilot, lambda: numbers_shown(pilot)[0] != "21")

    use(stand(score, player=fake_player), steps)


def numbers_shown(pilot: Pilot[int]) -> list[str]:
    """Bar numbers over the first system."""
    cells = pilot.app.screen.query("SystemView").first().system.cells
    return [word.lstrip("▸") for word in cells.plain[0].split() if word.lstrip("▸").isdigit()]


@pytest.mark.parametrize("size", [(80, 24), longer((160, 48))])
def test_going_to_a_bar_opens_that_bar_and_so_does_the_next_day(
    stand, score: Path, fake_player, size: tuple[int, int]
) -> None:
    async def first(pilot: Pilot[int]) -> None:
        await practise(pilot, 2, "73")
        assert "▸73" in text_of(pilot.app)
        assert "73" in numbers_shown(pilot)
        await pilot.press("right", "escape")
        await until(pilot, "StandScreen")

    use(stand(score, player=fake_player), first, size)

    async def second(pilot: Pilot[int]) -> None:
        await until(pilot, "StandScreen")
        await pilot.press("enter")
        await until(pilot, "PracticeScreen")
        await ready(pilot)
        assert "▸74" in text_of(pilot.app)

    use(stand(score, player=fake_player), second, size)


def test_it_begins_at_any_bar_and_loops_bars_of_ones_own(stand, score: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await practise(pilot, 2)
        await pilot.press(*["right"] * 3, "enter")
        await says(pilot, "bars 20-40", "▶ playing")
        await holds(pilot, told(fake_player, "play"))
        assert played_bars(fake_player) == list(range(19, 40))
        await pilot.press("left_square_bracket", "right", "right", "right_square_bracket")
        await says(pilot, "bars 20-22", "own loop")
        await holds(pilot, lambda: played_bars(fake_player) == [19, 20, 21])
        await pilot.press("l")
        await says(pilot, "bars 17-40")

    use(stand(score, player=fake_player), steps)


def played_bars(fake: Any) -> list[int]:
    timeline = next(what for name, what in reversed(fake.told) if name == "load")
    return [bar.bar for bar in timeline.bars]


def test_a_rating_knows_the_tempo_is_kept_and_can_be_taken_back(
    stand, score: Path, tmp_path: Path, fake_player
) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await practise(pilot, 1, "1")
        await pilot.press("space")
        await holds(pilot, told(fake_player, "play"))
        fake_player.coming = [PassEnded(1)]
        await says(pilot, "Pass 1 is over")
        await pilot.press("minus", "minus", "d")
        await says(pilot, "At tempo means 95 % or more")
        await pilot.press("s")
        await says(pilot, "under tempo at 90 % saved")
        await pilot.press("f", "ctrl+z")
        await says(pilot, "Last rating undone")
        await pilot.press("escape")
        await until(pilot, "StandScreen")
        await says(pilot, "under tempo")

    use(stand(score, player=fake_player), steps)
    history = History(tmp_path / "history.sqlite")
    standing = history.standing(history.pieces()[0].digest, 1, range(8))
    assert standing is not None
    assert (standing.readiness, standing.passes) == (Readiness.UNDER_TEMPO, 1)


def test_steps_raise_the_tempo_after_good_passes(stand, score: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await practise(pilot, 1, "1")
        await pilot.press(*["minus"] * 8, "t")
        await says(pilot, "60 %", "steps to 100 %")
        await pilot.press("s", "s")
        await says(pilot, "65 %")
        await pilot.press("a")
        await says(pilot, "60 %")

    use(stand(score, player=fake_player), steps)


def test_the_setting_is_kept_for_the_next_time(stand, score: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await practise(pilot, 1)
        await pilot.press("minus", "o", "2", "i", "escape")
        await until(pilot, "StandScreen")
        await pilot.press("enter")
        await until(pilot, "PracticeScreen")
        await says(pilot, "95 %", "own part off", "count-in 2 bars", "2 off")

    use(stand(score, player=fake_player), steps)


def test_join_and_neighbours(stand, score: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await practise(pilot, 1)
        await pilot.press("j")
        await says(pilot, "B | C  bars 37-44")
        await ready(pilot)
        await pilot.press("n")
        await holds(pilot, lambda: text_of(pilot.app).startswith(" C "))
        await pilot.press("b", "b")
        await holds(pilot, lambda: text_of(pilot.app).startswith(" A+8 "))

    use(stand(score, player=fake_player), steps)


def test_a_lost_device_is_said_and_practice_goes_on(stand, score: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await practise(pilot, 1)
        fake_player.coming = [Said("The sound device is lost (gone); the clock goes on silently.", is_trouble=True)]
        await says(pilot, "the clock goes on silently")
        await pilot.press("space")
        await holds(pilot, told(fake_player, "play"))
        fake_player.coming = [PassEnded(1), Stopped()]
        await says(pilot, "pass over")

    use(stand(score, player=fake_player), steps)


def test_marks_and_notes_of_the_group_stand_over_their_bars(stand, score: Path, tmp_path: Path, fake_player) -> None:
    (tmp_path / "quartet.group.toml").write_text(
        '[[breath]]\nbar = "17"\nbeat = 3\nplayer = 1\n\n[[look]]\nbar = "18"\nplayer = 2\nat = 3\n\n'
        '[[note]]\nbar = "17"\nplayer = 2\ntext = "softer than you think"\n'
    )

    async def steps(pilot: Pilot[int]) -> None:
        await practise(pilot, 2)
        await says(pilot, "’1", "oo 3", "17: breathe with 1")
        await holds(pilot, lambda: "softer" in text_of(pilot.app) or pilot.app.size.height < 40)

    use(stand(score, player=fake_player), steps, (120, 40))


def test_a_kit_has_a_row_for_each_instrument_with_its_name(stand, tmp_path: Path, fake_player) -> None:
    from shutil import copy

    from tests.tui.conftest import SAMPLES

    path = Path(copy(SAMPLES / "trio-ids.musicxml", tmp_path / "trio.musicxml"))

    async def steps(pilot: Pilot[int]) -> None:
        await open_as(pilot, 2)
        await pilot.press("enter")
        await until(pilot, "PracticeScreen")
        await ready(pilot)
        rows = [row for row in text_of(pilot.app).splitlines() if "│" in row]
        names = [row.split("│")[0].strip() for row in rows]
        kit = [name for name in names if "om" in name or "drum" in name.lower()]
        assert len(kit) >= 2, names

    use(stand(path, player=fake_player), steps)
