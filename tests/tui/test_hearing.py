"""Being heard at the practice screen: taps of keys against the machine's time, judged, shown, kept."""

import random
import threading
import time
from collections.abc import Collection
from datetime import date, timedelta
from math import inf
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from score.playback.sound_events import Timeline
from score.playback.sounding.sound_messages import (
    Caught,
    EarLost,
    Listen,
    PassEnded,
    PassTime,
    Position,
    StoodOut,
    Stopped,
    Struck,
)
from score.playback.timeline import PlayOptions, timeline
from score.strokes.heard_stroke import MIDI, HeardStroke
from score.takes.count_in_strokes import kept_count_ins
from score.takes.expected_strokes import expected_pass
from score.takes.history import History
from score.takes.judged_pass import DelayFrom, JudgedPass, StrokeState
from score.takes.kept_takes import KeptTakes
from score.takes.live_pass import judge_live
from score.takes.pad_delay_text import PadDelay
from score.takes.readiness import Readiness
from tests.takes.test_live_sound import caught, own
from tests.tui.stand_steps import holds, text_of, use
from tests.tui.test_practice import practise, says
from tui.ear_choice import EarKind
from tui.settings import Settings

pytestmark = pytest.mark.campaign


async def heard_by(pilot: Pilot[int], number: int) -> None:
    """Choose an ear from the list."""
    await pilot.press("R")
    await holds(pilot, lambda: type(pilot.app.screen).__name__ == "AskOne")
    await pilot.press(str(number))
    await holds(pilot, lambda: type(pilot.app.screen).__name__ == "PracticeScreen")


async def begin(pilot: Pilot[int], fake: Any, moment: float, frame: int = -1) -> None:
    """The sound process begins a pass whose timeline's second 0 is heard at a moment."""
    await pilot.press("space")
    await holds(pilot, lambda: fake.told[-1][0] == "play")
    fake.coming = [PassTime(fake.number, 1, -inf, moment, frame=frame), Position(0.0, -1, 1, -4.0, 1, 104.0)]
    await holds(pilot, lambda: not fake.coming and pilot.app.screen.hearing._expected is not None)


def written(pilot: Pilot[int], fake: Any, moment: float, lost: Collection[int] = ()) -> list[float]:
    """Moments at which the player's strokes of the pass are written, but for those in some bars."""
    screen: Any = pilot.app.screen
    sent = screen.sound.sent[fake.number]
    expected = expected_pass(screen.session.piece, sent.route, screen.session.me.number, sent.pulse)
    return [moment + sent.starts + stroke.seconds for stroke in expected.strokes if stroke.bar not in lost]


def strike(pilot: Pilot[int], moments: list[float]) -> None:
    for moment in moments:
        assert pilot.app.screen.hearing.tapped(moment)


def test_a_pass_tapped_on_keys_is_judged_shown_and_kept(
    stand, score: Path, fake_player, tmp_path: Path, monkeypatch
) -> None:
    def beside_the_screen(*asked: Any) -> JudgedPass | None:
        assert threading.current_thread() is not threading.main_thread()
        return judge_live(*asked)

    monkeypatch.setattr("tui.pad_hearing.judge_live", beside_the_screen)
    chance = random.Random(104)
    offsets: list[float] = []

    async def steps(pilot: Pilot[int]) -> None:
        await practise(pilot, 2)
        await heard_by(pilot, 2)
        await says(pilot, "tapped keys")
        moment = time.perf_counter() - 200.0
        await begin(pilot, fake_player, moment)
        await says(pilot, "● tapped keys")
        moments = written(pilot, fake_player, moment)
        offsets.extend(0.018 + chance.gauss(0, 0.012) for _ in moments)
        strike(pilot, [at + offset for at, offset in zip(moments[3:], offsets[3:], strict=True)])
        fake_player.coming = [PassEnded(1), Stopped()]
        await says(pilot, f"{len(moments) - 3} of {len(moments)} strokes", "ms late", "when")
        await says(pilot, "A: at tempo at 100 %")
        await pilot.press("A")
        await says(pilot, "B: at tempo at 100 % saved")

    use(stand(score, player=fake_player), steps)
    history = History(tmp_path / "history.sqlite")
    standing = history.standing(history.pieces()[0].digest, 2, range(16, 40))
    assert standing is not None
    assert (standing.readiness, standing.best_tempo) == (Readiness.AT_TEMPO, 1.0)
    (take,) = KeptTakes(history).of(history.pieces()[0].digest, 2)
    mean = 1000 * sum(offsets[3:]) / len(offsets[3:])
    assert take.judged.mean_ms is not None
    assert abs(take.judged.mean_ms - mean) < 1.0
    assert sum(stroke.state is StrokeState.MISSED for stroke in take.judged.strokes) == 3
    assert (take.what.bars, take.what.source, take.what.tempo) == (range(16, 40), "key", 1.0)


def test_a_count_in_struck_elsewhere_than_before_asks_for_the_delay_to_be_measured_again(
    stand, score: Path, fake_player, tmp_path: Path
) -> None:
    history = History(tmp_path / "history.sqlite")
    history.remember("delay MIDI: Pad", PadDelay(0.04, 0.001, 9, day=str(date.today() - timedelta(3))).text())
    history.remember("count-in MIDI: Pad", "[0.01, 0.02, 0.012]")

    async def steps(pilot: Pilot[int]) -> None:
        await practise(pilot, 2)
        await heard_by(pilot, 3)
        await holds(pilot, lambda: pilot.app.screen.sound._is_ready)
        moment = time.perf_counter() - 200.0
        await begin(pilot, fake_player, moment)
        screen: Any = pilot.app.screen
        sent = screen.sound.sent[fake_player.number]
        assert sent.setting.count_in == 1
        clicks = [moment + beat * sent.starts / 4 for beat in range(4)]
        struck = [at + 0.1 for at in clicks] + [at + 0.04 for at in written(pilot, fake_player, moment)]
        fake_player.coming = [Struck(HeardStroke(at, source=MIDI)) for at in struck]
        await holds(pilot, lambda: not fake_player.coming)
        # The lights know of the delay too: all of them stand in the middle.
        await holds(pilot, lambda: "⠶" in row_of_when(pilot))
        assert {sign for sign in row_of_when(pilot) if sign in "⠉⠒⠶⠤⣀"} == {"⠶"}
        fake_player.coming = [PassEnded(1), Stopped()]
        await says(pilot, "Delay may have changed")

    use(stand(score, player=fake_player), steps)
    history = History(tmp_path / "history.sqlite")
    (take,) = KeptTakes(history).of(history.pieces()[0].digest, 2)
    measured, moved = take.judged.remarks
    assert "(40 ms, spread 1 ms, from 9 strokes, 3 days ago)" in measured
    assert moved.startswith("the count-in was struck 88 ms later than in your last 3 passes")
    assert kept_count_ins(history.recall("count-in MIDI: Pad")) == pytest.approx((0.01, 0.02, 0.012, 0.1), abs=1e-3)


def test_a_tap_lights_its_stroke_at_once(stand, score: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await practise(pilot, 2)
        await heard_by(pilot, 2)
        moments = written(pilot, fake_player, 0.0)
        # The third stroke is due just now.
        await begin(pilot, fake_player, time.perf_counter() - moments[2])
        before = row_of_when(pilot)
        for _ in range(60):
            await pilot.press("q")
            if row_of_when(pilot) != before:
                return
        raise AssertionError(text_of(pilot.app))

    use(stand(score, player=fake_player), steps)


def row_of_when(pilot: Pilot[int]) -> str:
    return next(line for line in text_of(pilot.app).split("\n") if line.startswith("when"))


def test_a_midi_port_is_heard_and_its_loss_said_while_the_pass_goes_on(stand, score: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await practise(pilot, 2)
        await heard_by(pilot, 3)
        assert ("listen", Listen("Pad")) in fake_player.told
        moments = written(pilot, fake_player, 0.0)
        began = time.perf_counter() - moments[2]
        await begin(pilot, fake_player, began)
        before = row_of_when(pilot)
        fake_player.coming = [Struck(HeardStroke(began + moments[1] + 0.04, 0.8, 60, source=MIDI))]
        await holds(pilot, lambda: row_of_when(pilot) != before)
        assert "⣀" in row_of_when(pilot)
        fake_player.coming = [EarLost("MIDI port Pad has gone: plug it in and choose it again")]
        await says(pilot, "MIDI port Pad has gone", "▶ ")
        assert pilot.app.screen.hearing.choice.kind is EarKind.NOBODY
        assert fake_player.names()[-1] != "stop"

    use(stand(score, player=fake_player), steps)


@pytest.mark.parametrize(("keep", "saves"), [(True, True), (False, False), (True, False)])
def test_a_microphone_is_judged_and_its_sound_kept_only_when_asked_for(
    stand, score: Path, fake_player, tmp_path: Path, monkeypatch, keep: bool, saves: bool
) -> None:
    """Where the sound cannot be saved the strokes are kept all the same."""
    folder = tmp_path / "takes"
    if keep and not saves:
        folder.write_text("a file stands where the folder should be")
    monkeypatch.setattr("tui.hearing.audio_path", lambda: folder)
    sound, offsets = own(0.015, 0.012, 101)
    block = caught(sound, 0.25)

    async def steps(pilot: Pilot[int]) -> None:
        await practise(pilot, 2)
        await pilot.press("left_square_bracket", *["right"] * 5, "right_square_bracket")
        await heard_by(pilot, 5)
        assert fake_player.told[-1] == ("listen", Listen(microphone=True))
        await says(pilot, "Open while a pass plays", "sound is saved" if keep else "no sound is saved")
        await holds(pilot, lambda: pilot.app.screen.sound._is_ready)
        await begin(pilot, fake_player, time.perf_counter() - 60, frame=480)
        await says(pilot, "● microphone")
        blocks = [bytes(4 * 480), *(block.heard[at : at + 48_000].tobytes() for at in range(0, len(sound), 48_000))]
        sents = [bytes(4 * 480), *(block.sent[at : at + 48_000].tobytes() for at in range(0, len(sound), 48_000))]
        frames = [0, *range(480, 480 + len(sound), 48_000)]
        fake_player.coming = [*map(Caught, frames, blocks, sents), PassEnded(1), Stopped()]
        came = [f"{len(offsets)} of {len(offsets)} strokes", "ms late"]
        await says(pilot, *(["Pass kept without its sound"] if keep and not saves else came))
        await holds(pilot, lambda: "● microphone" not in text_of(pilot.app))

    use(stand(score, Settings(keep_audio=keep), fake_player), steps)
    history = History(tmp_path / "history.sqlite")
    (take,) = KeptTakes(history).of(history.pieces()[0].digest, 2)
    assert folder.is_dir() is saves
    assert bool(take.what.audio) is saves
    assert not saves or (folder / take.what.audio).is_file()
    assert take.judged.delay.origin is DelayFrom.MIX
    assert take.judged.mean_ms == pytest.approx(1000 * sum(offsets) / len(offsets), abs=2.5)


@pytest.mark.campaign
def test_what_to_mind_stands_whole_where_a_microphone_is_switched_on(stand, score: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await practise(pilot, 2)
        await pilot.press("R")
        await says(pilot, "open in passes only; nothing leaves this computer.", "start low", "take breaks.", "7  sound")
        await pilot.press("6")
        await says(pilot, "Open while a pass plays; no sound is saved. Start low; hold one to the mic. ")

    use(stand(score, player=fake_player), steps)


@pytest.mark.campaign
def test_with_headphones_a_stroke_that_stands_out_lights_its_sign(stand, score: Path, fake_player) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await practise(pilot, 2)
        await heard_by(pilot, 6)
        assert fake_player.told[-1] == ("listen", Listen(microphone=True, lights=True))
        await holds(pilot, lambda: pilot.app.screen.sound._is_ready)
        moments = written(pilot, fake_player, 0.0)
        await begin(pilot, fake_player, time.perf_counter() - 60, frame=96_000)
        before = row_of_when(pilot)
        # 70 ms are the usual way of a card; the third stroke comes 35 ms late.
        fake_player.coming = [
            StoodOut(96_000 + 48_000 * (at + 0.07 + 0.035 * (at == moments[2]))) for at in moments[:3]
        ]
        await holds(pilot, lambda: row_of_when(pilot) != before)
        assert [sign for sign in row_of_when(pilot) if sign in "⠉⠒⠶⠤⣀"] == ["⠶", "⠶", "⣀"]

    use(stand(score, player=fake_player), steps)


def test_a_pass_that_was_kept_is_forgotten_by_the_undo_key(stand, score: Path, fake_player, tmp_path: Path) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await practise(pilot, 2)
        await heard_by(pilot, 2)
        moment = time.perf_counter() - 200.0
        await begin(pilot, fake_player, moment)
        strike(pilot, written(pilot, fake_player, moment))
        fake_player.coming = [PassEnded(1), Stopped()]
        await says(pilot, "strokes", "A: at tempo")
        await pilot.press("ctrl+z")
        await says(pilot, "Last pass forgotten.")

    use(stand(score, player=fake_player), steps)
    history = History(tmp_path / "history.sqlite")
    assert KeptTakes(history).of(history.pieces()[0].digest, 2) == ()


def test_the_last_pass_is_played_back_with_the_others_and_what_was_set_comes_back(
    stand, score: Path, fake_player
) -> None:
    async def steps(pilot: Pilot[int]) -> None:
        await practise(pilot, 2)
        await pilot.press("T")
        await says(pilot, "No pass of these bars is saved yet")
        await heard_by(pilot, 2)
        moment = time.perf_counter() - 200.0
        await begin(pilot, fake_player, moment)
        moments = written(pilot, fake_player, moment)
        strike(pilot, [at + 0.02 for at in moments])
        fake_player.coming = [PassEnded(1), Stopped()]
        await says(pilot, f"{len(moments)} strokes")
        usual = fake_player.number
        await pilot.press("T")
        await holds(pilot, lambda: fake_player.names()[-1] == "play" and fake_player.number != usual)
        assert ("listen", Listen()) in fake_player.told[-4:]
        (_, sounds) = fake_player.told[-2]
        assert isinstance(sounds, Timeline)
        assert {strike.player for strike in sounds.strikes} == {1, 2, 3, 4}
        own = sorted({round(s.seconds, 3) for s in sounds.strikes if s.player == 2})
        others = min(s.seconds for s in sounds.strikes if s.player != 2)
        assert own[0] - others == pytest.approx(moments[0] + 0.02 - (moment + music_begins(pilot, usual)), abs=0.002)
        await says(pilot, "with the others")
        fake_player.coming = [PassTime(fake_player.number, 1, -inf, moment), Position(0.5, 16, 1, 0.5, 1, 104.0)]
        await holds(pilot, lambda: not fake_player.coming)
        fake_player.coming = [PassEnded(1), Stopped()]
        await holds(pilot, lambda: fake_player.told[-1][0] == "load")
        assert pilot.app.screen.sound.sent[fake_player.number].setting == pilot.app.screen.setting

    use(stand(score, player=fake_player), steps)


def music_begins(pilot: Pilot[int], number: int) -> float:
    """Second of a timeline at which the first of the others strikes."""
    screen: Any = pilot.app.screen
    others = timeline(
        screen.session.piece, screen.sound.sent[number].route, PlayOptions(players=frozenset({1, 3, 4}), count_in=0)
    )
    return float(screen.sound.sent[number].starts) + min(s.seconds for s in others.strikes if s.player)
