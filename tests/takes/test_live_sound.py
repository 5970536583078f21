"""A pass caught with a microphone while the machine plays: delay, strokes and figures come back from the sound."""

import random
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from score.playback.mixing import render
from score.playback.sound_events import Strike, Timeline
from score.playback.tracks import Passage, TrackOptions, track_timeline
from score.reading import read_score
from score.strokes.spectral_rise import RATE, Samples
from score.takes.judged_pass import DelayFrom, StrokeState
from score.takes.live_pass import LivePass
from score.takes.live_sound import MUTE, CaughtBlock, CaughtSound, SoundHints, judge_live_sound
from score.time.pulse import PulseOptions
from score.time.route import bars

PIECE = read_score(Path(__file__).parents[2] / "samples" / "quartet.musicxml").piece
ROUTE = bars(PIECE, range(16, 22))
LIVE = LivePass(ROUTE, 2, PulseOptions(), begins=0.0)
DELAY = 0.0715


def rendered(timeline: Timeline) -> Samples:
    return np.asarray(np.concatenate(list(render(timeline, None, RATE))).mean(axis=1), np.float32)


@cache
def others() -> tuple[Timeline, Samples]:
    """What the machine plays, with a bar counted in."""
    timeline = track_timeline(PIECE, Passage("", ROUTE), TrackOptions(2))
    return timeline, rendered(replace(timeline, seconds=timeline.seconds + 2))


@cache
def own(offset: float, spread: float, seed: int) -> tuple[Samples, tuple[float, ...]]:
    """The player's strokes, late by so much and unsteady, and how late each was."""
    chance = random.Random(seed)
    timeline = track_timeline(PIECE, Passage("", ROUTE), TrackOptions(2, "on"))
    mine = [strike for strike in timeline.strikes if strike.player == 2]
    moments = {strike.seconds: offset + chance.gauss(0.0, spread) for strike in mine}
    played: list[Strike] = [replace(strike, seconds=strike.seconds + moments[strike.seconds]) for strike in mine]
    played.sort(key=lambda strike: strike.seconds)
    sound = rendered(Timeline(tuple(played), timeline.seconds + 2))
    return sound, tuple(moments.values())


def caught(player: Samples, bleed: float, delay: float = DELAY, seed: int = 7) -> CaughtBlock:
    """What the microphone has: the player, the loudspeakers later by the delay and softer, a little noise."""
    _, sent = others()
    late = np.concatenate([np.zeros(round(delay * RATE), np.float32), sent])[: len(sent)]
    mine = np.concatenate([np.zeros(round(delay * RATE), np.float32), player])[: len(sent)]
    noise = np.random.default_rng(seed).normal(0.0, 1e-3, len(sent))
    return CaughtBlock(0, (mine + bleed * late + noise).astype(np.float32), sent.astype(np.float32))


def hints() -> SoundHints:
    return SoundHints(others()[0].starts)


@pytest.mark.parametrize("bleed", [0.25, 0.02])
def test_delay_and_figures_come_back(bleed: float) -> None:
    sound, offsets = own(0.015, 0.012, 101)
    judged = judge_live_sound(PIECE, LIVE, caught(sound, bleed), hints())
    assert judged is not None
    assert judged.judged
    assert judged.delay.origin is DelayFrom.MIX
    assert judged.delay.seconds == pytest.approx(DELAY, abs=0.001)
    assert judged.mean_ms == pytest.approx(1000 * np.mean(offsets), abs=2.5)
    assert judged.spread_ms == pytest.approx(1000 * np.std(offsets), rel=0.25)
    assert sum(stroke.state is StrokeState.MISSED for stroke in judged.strokes) <= 1


def test_a_stumble_of_the_card_is_said_and_nothing_is_judged() -> None:
    sound, _ = own(0.0, 0.012, 102)
    block = caught(sound, 0.25)
    half = len(block.heard) // 2
    lost = round(0.02 * RATE)
    heard = np.concatenate([block.heard[:half], block.heard[half + lost :], np.zeros(lost, np.float32)])
    judged = judge_live_sound(PIECE, LIVE, block._replace(heard=heard), hints())
    assert judged is not None
    assert not judged.judged
    assert "stumbled by 20 ms" in judged.why


def test_silence_is_said() -> None:
    block = caught(own(0.0, 0.012, 102)[0], 0.25)
    judged = judge_live_sound(PIECE, LIVE, block._replace(heard=np.zeros_like(block.heard)), hints())
    assert judged is not None
    assert not judged.judged
    assert judged.why == MUTE
    # The line of a screen of 80 columns holds all of it.
    assert len(f"Not judged: {MUTE}") <= 78


def test_with_headphones_the_delay_of_this_opening_is_used() -> None:
    sound, offsets = own(-0.01, 0.012, 103)
    judged = judge_live_sound(PIECE, LIVE, caught(sound, 0.0), hints()._replace(delay=DELAY))
    assert judged is not None
    assert judged.delay.origin is DelayFrom.GIVEN
    assert judged.mean_ms == pytest.approx(1000 * np.mean(offsets), abs=2.5)


def test_frames_are_found_again_and_what_was_lost_is_silence() -> None:
    wave = np.arange(1, 1001, dtype=np.float32)
    sound = CaughtSound()
    for first in (0, 100, 200, 400, 500):
        sound.add(first, wave[first : first + 100].tobytes(), (-wave[first : first + 100]).tobytes())
    block = sound.between(150, 450)
    wanted = np.concatenate([wave[150:300], np.zeros(100, np.float32), wave[400:450]])
    np.testing.assert_array_equal(block.heard, wanted)
    np.testing.assert_array_equal(block.sent, -wanted)
    sound.forget(420)
    assert not sound.between(0, 400).heard.any()
    sound.add(0, wave[:10].tobytes(), wave[:10].tobytes())
    assert not sound.between(400, 600).heard.any()
