"""The others follow at the practice screen: strokes bend their time, it is said how it stands, and they learn."""

import time
from math import inf
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from score.playback.sounding.sound_messages import EarLost, PassEnded, PassTime, Position, Stopped
from score.takes.history import History
from score.takes.kept_readings import KeptReadings
from tests.tui.stand_steps import holds, use
from tests.tui.test_hearing import heard_by, written
from tests.tui.test_practice import practise, says

pytestmark = pytest.mark.campaign


async def followed(pilot: Pilot[int], fake: Any) -> None:
    """Be heard by keys, and let the others follow."""
    await practise(pilot, 2)
    await heard_by(pilot, 2)
    await pilot.press("F")
    await says(pilot, "The others follow you, 75% of the way")
    await holds(pilot, lambda: pilot.app.screen.follow.live is not None and fake.told[-1][0] == "load")


async def begun(pilot: Pilot[int], fake: Any, moment: float) -> None:
    """A pass begins, its timeline's second 0 heard at a moment."""
    await holds(pilot, lambda: fake.told[-1][0] == "play")
    fake.coming = [PassTime(fake.number, 1, -inf, moment), Position(4.0, 16, 1, 0.0, 1, 104.0)]
    await holds(pilot, lambda: not fake.coming and pilot.app.screen.hearing._watch.passing() is not None)


def play_at(pilot: Pilot[int], moments: list[float], rate: float) -> None:
    """Strokes at a rate of one's own."""
    for moment in moments:
        assert pilot.app.screen.hearing.tapped(moments[0] + rate * (moment - moments[0]))


def test_the_others_go_with_the_player_and_know_them_the_next_time(
    stand, score: Path, fake_player, tmp_path: Path
) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await followed(pilot, fake_player)
        assert ("quick", True) in fake_player.told
        await pilot.press("space")
        moment = time.perf_counter() - 500.0
        await begun(pilot, fake_player, moment)
        moments = written(pilot, fake_player, moment)
        play_at(pilot, moments[:20], 1.25)
        bends = [bend for name, bend in fake_player.told if name == "bend"]
        assert len(bends) == 20
        assert 1.1 < bends[-1].rate < 1.25
        fake_player.coming = [Position(bends[-1].seconds, 17, 1, 4.0, 1, 104.0)]
        await says(pilot, "with you", "% of written")
        # Ahead of a stroke that does not come they wait.
        fake_player.coming = [Position(bends[-1].until, 18, 1, 8.0, 1, 104.0)]
        await says(pilot, "waiting for you")
        # Wholly: the next stroke is gone with at once.
        await pilot.press("W")
        await says(pilot, "The others go 100% of the way")
        loads = fake_player.names().count("load")
        fake_player.coming = [PassEnded(1), Stopped()]
        await says(pilot, "20 strokes heard")
        # A loop: the next pass is loaded anew, with what was learned, and played.
        await holds(pilot, lambda: fake_player.names().count("load") == loads + 1 and fake_player.told[-1][0] == "play")
        assert pilot.app.screen.follow.live.give == 1.0

    use(stand(score, player=fake_player), steps)
    history = History(tmp_path / "history.sqlite")
    (reading,) = KeptReadings(history).of(history.pieces()[0].digest, 2)
    assert len(reading) == 20


def test_a_port_that_is_lost_lets_the_others_go_on(stand, score: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await followed(pilot, fake_player)
        await pilot.press("space")
        moment = time.perf_counter() - 500.0
        await begun(pilot, fake_player, moment)
        play_at(pilot, written(pilot, fake_player, moment)[:6], 1.1)
        assert fake_player.told[-1][1].until < inf
        fake_player.coming = [EarLost("Pad is gone; nobody hears you.")]
        await holds(pilot, lambda: fake_player.told[-1][0] == "bend" and fake_player.told[-1][1].until == inf)
        await says(pilot, "Pad is gone")

    use(stand(score, player=fake_player), steps)


def test_keys_of_following_say_what_they_need(stand, score: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await practise(pilot, 2)
        await pilot.press("F")
        await says(pilot, "Nobody hears you yet")
        for key in "HWLUX":
            await pilot.press(key)
            await says(pilot, "do not follow you: F lets them")
        await heard_by(pilot, 2)
        await pilot.press("F")
        await holds(pilot, lambda: pilot.app.screen.follow is not None and pilot.app.screen.follow.live is not None)
        await pilot.press("L")
        await says(pilot, "stay in place")
        await pilot.press("U")
        await says(pilot, "No shape is known")
        await pilot.press("X")
        await says(pilot, "Nothing is known of your time yet")
        await pilot.press("F")
        await says(pilot, "keep their own time again")
        assert [value for name, value in fake_player.told if name == "quick"] == [True, False]

    use(stand(score, player=fake_player), steps)


def test_what_was_learned_is_shown_as_a_try_and_can_be_forgotten(
    stand, score: Path, fake_player, tmp_path: Path
) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await followed(pilot, fake_player)
        screen: Any = pilot.app.screen
        piece, bars = screen.session.piece, screen.facts.bars
        start = piece.bars[bars[0]].start
        end = piece.bars[bars[-1]].start + piece.bars[bars[-1]].length
        # Each pass a fifth slower in the middle of the bars.
        offsets = sorted({piece.offset(s.place) for s in screen.session.me.strokes if s.bar in bars})
        moments, now = [], 0.0
        for before, offset in zip((start, *offsets), offsets, strict=False):
            share = float((offset - start) / (end - start))
            now += float(offset - before) * 60 / 104 * (1 + 0.25 * (1 - abs(2 * share - 1)))
            moments.append(now)
        for _ in range(3):
            screen.follow.kept.keep(piece.digest, 2, [(at, m, 0) for at, m in zip(offsets, moments, strict=True)])
        await pilot.press("U")
        await holds(pilot, lambda: screen.tries is not None and bool(screen.tries.tries))
        assert screen.tries.heard.word == "hold back"
        await says(pilot, "hold back")
        assert screen.curve() is not None
        await pilot.press("enter")
        await says(pilot, "Tried: shape")
        await pilot.press("X")
        await says(pilot, "forgotten")
        assert screen.follow.kept.of(piece.digest, 2) == ()

    use(stand(score, player=fake_player), steps)
    assert "[[shape]]" in (tmp_path / "quartet.group.toml").read_text()
