"""One's own part fades on the stand: keys in, letters out, what counts as by heart."""

from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from score.playback.sounding.sound_messages import PassEnded
from score.takes.history import History
from score.takes.readiness import Readiness
from tests.tui.stand_steps import holds, text_of, use
from tests.tui.test_practice import practise, says
from tui.screens import practice_fading


async def at_bar_17(pilot: Pilot[int]) -> Any:
    await practise(pilot, 1)
    return pilot.app.screen


def test_a_key_hides_more_and_another_shows_a_bar_for_a_moment(
    stand, score: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(practice_fading, "_MOMENT", 1e9)

    async def steps(pilot: Pilot[int]) -> None:
        screen = await at_bar_17(pilot)
        await says(pilot, " F ")
        assert "░" not in text_of(pilot.app)
        await pilot.press("w")
        await says(pilot, "Nothing of your part is hidden")
        await pilot.press("g")
        await says(pilot, "first beats of phrases", "░", " F ")
        await pilot.press("g")
        await says(pilot, "marks, bars of rest, numbers", "░░░░")
        assert " F " not in text_of(pilot.app)
        assert "▆" in text_of(pilot.app)  # the others stay
        await pilot.press("w")
        await says(pilot, "Bar 17 is shown for a moment", " F ")
        screen._cover_again()
        await holds(pilot, lambda: " F " not in text_of(pilot.app))
        assert "by heart 3 of 4, 1 glance" in screen.fade_words()
        await pilot.press("r")
        await holds(pilot, lambda: "▆" not in text_of(pilot.app))
        await pilot.press("r", "G", "G")
        await holds(pilot, lambda: "░" not in text_of(pilot.app))

    use(stand(score), steps)


def test_by_heart_counts_after_a_pass_out_of_sight(stand, score: Path, tmp_path: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        screen = await at_bar_17(pilot)
        await pilot.press("f")
        await says(pilot, "saved, but as at tempo: your part was in sight")
        await pilot.press("g", "g", "space", "w")
        fake_player.coming = [PassEnded(1)]
        await says(pilot, "Pass 1 is over")
        assert screen.was_part_seen()  # a bar was looked at
        screen._cover_again()
        fake_player.coming = [PassEnded(2)]
        await says(pilot, "Pass 2 is over")
        assert screen.was_part_seen()  # and was still shown when the second pass began
        fake_player.coming = [PassEnded(3)]
        await says(pilot, "Pass 3 is over")
        await pilot.press("f")
        await says(pilot, "by heart at 100 % saved")

    use(stand(score, player=fake_player), steps)
    history = History(tmp_path / "history.sqlite")
    ((seen, bars),) = history.rows("SELECT group_concat(in_sight), first FROM pass GROUP BY first")
    assert seen == "1,0"
    standing = history.standing(history.pieces()[0].digest, 1, range(bars, bars + 24))
    assert standing is not None
    assert standing.readiness is Readiness.BY_HEART
