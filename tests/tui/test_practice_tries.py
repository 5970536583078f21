"""Trying at the stand: few keys, heard from the next beat on, compared, kept, undone."""

import tomllib
from pathlib import Path
from typing import Any

from textual.pilot import Pilot

from score.playback.sound_events import Timeline
from score.playback.sounding.sound_messages import Position
from tests.tui.stand_steps import holds, text_of, until, use
from tests.tui.test_practice import practise


async def looping(pilot: Pilot[int], fake: Any, bar: str = "17", player: int = 2) -> None:
    """A chunk that is played, the strip closed."""
    await practise(pilot, player, bar)
    await pilot.press("space")
    await holds(pilot, lambda: fake.names()[-1] == "play")


async def press(pilot: Pilot[int], *keys: str, at_most: int) -> None:
    """The keys a player presses, counted."""
    assert len(keys) <= at_most
    await pilot.press(*keys)


def swapped(fake: Any) -> Timeline:
    timeline: Timeline = next(what for name, what in reversed(fake.told) if name == "swap")
    return timeline


def entries(score: Path, table: str) -> list[dict[str, Any]]:
    path = score.with_name("quartet.group.toml")
    return tomllib.loads(path.read_text()).get(table, []) if path.exists() else []


def test_a_try_takes_four_keys_a_comparison_two_keeping_two(stand, score: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await looping(pilot, fake_player)
        fake_player.coming = [Position(2.0, 16, 1, 0.0, 1, 104.0)]
        before = next(what for name, what in reversed(fake_player.told) if name == "load")
        await press(pilot, "h", "2", "plus", "full_stop", at_most=4)
        # "Hold back": a bar takes longer than written, and the strip says so.
        await holds(pilot, lambda: fake_player.names()[-1] == "swap" and swapped(fake_player).seconds > before.seconds)
        await holds(pilot, lambda: "[1 hold back 10 %]" in text_of(pilot.app))
        await holds(pilot, lambda: "now try:" in text_of(pilot.app) and " s " in text_of(pilot.app))
        await press(pilot, "V", at_most=2)
        await holds(pilot, lambda: "[as written]" in text_of(pilot.app))
        await holds(pilot, lambda: abs(swapped(fake_player).seconds - before.seconds) < 1e-6)
        await press(pilot, "v", at_most=2)
        await holds(pilot, lambda: "[1 hold back 10 %]" in text_of(pilot.app))
        await press(pilot, "enter", at_most=2)
        await holds(pilot, lambda: len(entries(score, "shape")) == 1)
        await holds(pilot, lambda: not pilot.app.screen.has_strip)

    use(stand(score, player=fake_player), steps)
    (entry,) = entries(score, "shape")
    assert (entry["kind"], entry["percent"], entry["state"], entry["by"]) == ("back", 10, "tried", 2)


def test_five_tries_stand_side_by_side_and_no_sixth(stand, score: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await looping(pilot, fake_player)
        await pilot.press("h")
        for number in "12345":
            await pilot.press("h" if number != "1" else "1")
            if number != "1":
                await pilot.press("2")
        await holds(pilot, lambda: len(pilot.app.screen.tries.tries) == 5)
        await pilot.press("h")
        await holds(pilot, lambda: "throw one away first" in text_of(pilot.app))
        await pilot.press("delete")
        await holds(pilot, lambda: len(pilot.app.screen.tries.tries) == 4)
        await pilot.press("ctrl+z")
        await holds(pilot, lambda: len(pilot.app.screen.tries.tries) == 5)
        await pilot.press("escape")
        await holds(pilot, lambda: not pilot.app.screen.has_strip)
        assert type(pilot.app.screen).__name__ == "PracticeScreen"
        await holds(pilot, lambda: "now try" not in text_of(pilot.app))

    use(stand(score, player=fake_player), steps)
    assert entries(score, "shape") == []


def test_a_breath_with_its_giver_takes_three_keys_and_can_be_undone(stand, score: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await looping(pilot, fake_player)
        await press(pilot, "apostrophe", "1", "enter", at_most=3)
        await holds(pilot, lambda: len(entries(score, "breath")) == 1)
        entry = entries(score, "breath")[0]
        assert (entry["bar"], entry["beat"], entry["player"], entry["state"]) == ("17", 1, 1, "tried")
        await holds(pilot, lambda: "Ctrl+Z undoes it" in text_of(pilot.app))
        await pilot.press("ctrl+z")
        await holds(pilot, lambda: not entries(score, "breath"))

    use(stand(score, player=fake_player), steps)


def test_agreed_leads_looks_and_words_are_kept_and_shown(stand, score: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await looping(pilot, fake_player)
        await pilot.press("e", "3", "y")
        await holds(pilot, lambda: len(entries(score, "lead")) == 1)
        await holds(pilot, lambda: "→3" in text_of(pilot.app))
        await pilot.press("u", "4", "y")
        await holds(pilot, lambda: len(entries(score, "look")) == 1)
        await pilot.press("m")
        await until(pilot, "AskLine")
        await pilot.press("1", "space", *"softer", "enter")
        await holds(pilot, lambda: len(entries(score, "note")) == 1)

    use(stand(score, player=fake_player), steps)
    assert entries(score, "look")[0]["at"] == 4
    note = entries(score, "note")[0]
    assert (note["player"], note["text"], note["bar"]) == (1, "softer", "17")


def test_nobody_breathes_before_a_beat_on_which_nobody_strikes(stand, score: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await looping(pilot, fake_player, "112")
        await pilot.press("shift+right", "apostrophe")
        await holds(pilot, lambda: "nobody strikes" in text_of(pilot.app))

    use(stand(score, player=fake_player), steps)


def test_while_the_strip_is_closed_digits_mute_and_the_tempo_keys_are_the_tempo(
    stand, score: Path, fake_player
) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await looping(pilot, fake_player)
        await pilot.press("h", "2", "escape", "1", "minus")
        await holds(pilot, lambda: "1 off" in text_of(pilot.app) and "95 %" in text_of(pilot.app))

    use(stand(score, player=fake_player), steps)


def test_a_try_can_be_named(stand, score: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await looping(pilot, fake_player)
        await pilot.press("h", "2", "m")
        await until(pilot, "AskLine")
        await pilot.press(*"sigh", "enter")
        await until(pilot, "PracticeScreen")
        await holds(pilot, lambda: "[1 sigh]" in text_of(pilot.app))
        await pilot.press("ctrl+z")
        await holds(pilot, lambda: "[1 hold back" in text_of(pilot.app))

    use(stand(score, player=fake_player), steps)


def test_beats_can_be_marked(stand, score: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await looping(pilot, fake_player)
        # From beat 3 of bar 17, its end two beats before the barline that the phrase ends with.
        await pilot.press("shift+right", "shift+right", "h", "2", "shift+left", "shift+left")
        screen: Any = pilot.app.screen
        bar = screen.session.piece.bars[16]
        whole = screen.tries.tries[0]
        assert whole.start == bar.start + 2
        assert whole.end.denominator == 1
        assert (whole.end - bar.start) % 4 == 2
        await pilot.press("shift+right")
        assert screen.tries.heard.end == whole.end + 1

    use(stand(score, player=fake_player), steps)
