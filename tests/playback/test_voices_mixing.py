"""Mixing: the sum of its templates, no clicks at cuts, no clipping, the same live as in a file."""

import random
from itertools import pairwise
from math import inf

import numpy as np
import pytest

from score.playback.mixing import BLOCK, Block, Mixer, limited, render
from score.playback.sound_events import Strike, Timeline
from score.playback.voices.mallet_sounds import loudness_gain
from score.playback.voices.voice_templates import Templates, template

RATE = 48_000
LOW = Strike(0.0, inf, 1, voice="vibraphone", pitch=53.0, velocity=110, hardness=0.0)


def dense(seconds: float, seed: int = 1) -> Timeline:
    """Four players, 42 loud strokes a second in all, eight at a time."""
    rng = random.Random(seed)
    kinds = [("marimba", 36, 84), ("vibraphone", 53, 89), ("marimba", 45, 96), ("tom-toms", 0, 0)]
    strikes = []
    for index in range(int(seconds * 42)):
        player = rng.randrange(4)
        voice, low, high = kinds[player]
        pitch = float(rng.randint(low, high)) if high else None
        place = rng.choice(["F4", "A4", "C5", "E5"])
        velocity, damped = rng.randint(90, 127), rng.random() < 0.3
        strikes.append(
            Strike(
                index // 8 * 8 / 42,
                0.25,
                player + 1,
                voice=voice,
                pitch=pitch,
                velocity=velocity,
                hardness=0.5,
                damped=damped,
                variant=place,
            )
        )
    return Timeline(tuple(strikes), seconds)


def whole(timeline: Timeline, levels: dict[int, float] | None = None) -> Block:
    return np.concatenate([np.zeros((0, 2), np.float32), *render(timeline, levels)])


def live(mixer: Mixer, frames: int, size: int = 240) -> Block:
    sound = np.zeros((frames, 2), np.float32)
    for frame in range(0, frames, size):
        mixer.mix_into(sound[frame : frame + size], frame)
    return sound


def hiss(sound: Block, frame: int) -> float:
    """Loudness over 9 kHz in 20 ms around a frame, dB: a click there shows, a low bar does not."""
    piece = sound[frame - 480 : frame + 480, 0] * np.hanning(960)
    return float(10 * np.log10(np.sum(np.abs(np.fft.rfft(piece)[180:]) ** 2) + 1e-20))


def test_a_mix_is_the_sum_of_its_templates_at_their_offsets() -> None:
    strikes = (
        Strike(0.25, inf, 0, voice="click", pitch=None, velocity=127),
        Strike(0.5, inf, 0, voice="claves", pitch=None, velocity=100),
        Strike(0.5, inf, 0, voice="marimba", pitch=60.0, velocity=64),
    )
    wanted = np.zeros(2 * RATE)
    for strike in strikes:
        sound, start = template(strike), round(strike.seconds * RATE)
        wanted[start : start + sound.size] += loudness_gain(strike.velocity) * sound
    made = whole(Timeline(strikes, 2.0))
    # Equal power in the middle: each side is the sum times cos 45 degrees.
    assert np.max(np.abs(made - wanted[:, None] * 0.5**0.5)) < 1e-6


def test_a_file_is_as_long_as_its_timeline_to_the_frame() -> None:
    for seconds in (0.0, 0.01, BLOCK / RATE, 1.2345678, 3.0):
        assert len(whole(Timeline((LOW,), seconds))) == round(seconds * RATE)


def test_live_blocks_of_240_frames_sound_like_a_file() -> None:
    timeline = dense(2.0)
    mixer = Mixer()
    mixer.warm(timeline.strikes)
    mixer.place(strike.player for strike in timeline.strikes)
    for strike in timeline.strikes:
        assert mixer.strike(strike, round(strike.seconds * RATE))
    sound, file = live(mixer, 2 * RATE), whole(timeline)
    # The file alone is faded at its end.
    assert np.max(np.abs(sound[: -RATE // 20] - file[: -RATE // 20])) < 1e-5


def test_four_dense_players_never_clip() -> None:
    raw = whole(dense(6.0))
    assert np.max(np.abs(raw)) > 1.0
    out = limited(raw.copy())
    assert np.max(np.abs(out)) < 1.0
    assert np.max(np.abs(limited(np.full((64, 2), 50.0, np.float32)))) < 1.0


def test_the_limit_leaves_what_is_soft_alone_and_bends_smoothly() -> None:
    ramp = np.repeat(np.linspace(-3.0, 3.0, 60_001, dtype=np.float32)[:, None], 2, axis=1)
    out = limited(ramp.copy(), master=1.0)
    soft = np.abs(ramp) < 0.7
    assert np.array_equal(out[soft], ramp[soft])
    slope = np.diff(out[:, 0]) / np.diff(ramp[:, 0])
    assert slope.min() > -1e-3
    assert np.max(np.abs(np.diff(slope))) < 0.02


def test_a_damped_stroke_is_silent_after_its_length_and_does_not_click() -> None:
    damped = Strike(0.0, 0.5, 1, voice="vibraphone", pitch=53.0, velocity=110, hardness=0.0, damped=True)
    sound, ringing = whole(Timeline((damped,), 2.0)), whole(Timeline((LOW,), 2.0))
    assert np.array_equal(sound[: RATE // 2], ringing[: RATE // 2])
    assert not sound[round(0.54 * RATE) :].any()
    hard_cut = ringing.copy()
    hard_cut[RATE // 2 + 11 :] = 0.0
    assert hiss(sound, RATE // 2) < hiss(ringing, RATE // 2) + 6
    assert hiss(hard_cut, RATE // 2) > hiss(sound, RATE // 2) + 40  # What a click would measure.


@pytest.mark.parametrize("more", [1, 200, 1000, 1439, 1440, 5000])
def test_the_end_is_faded_wherever_the_last_block_begins(more: int) -> None:
    seconds = (2 * BLOCK + more) / RATE
    sound = whole(Timeline((LOW,), seconds))
    frame = len(sound) - 1440
    assert np.array_equal(sound[:frame], whole(Timeline((LOW,), 2.0))[:frame])
    assert abs(sound[-1]).max() < 1e-5
    padded = np.concatenate([sound, np.zeros((RATE, 2), np.float32)])
    for place in {frame, 2 * BLOCK, len(sound)}:
        assert hiss(padded, place) < hiss(whole(Timeline((LOW,), 2.0)), place) + 10


def test_let_ring_is_not_cut() -> None:
    ringing = whole(Timeline((LOW,), 3.0))
    assert np.max(np.abs(ringing[2 * RATE : 2 * RATE + 4800])) > 0.005


@pytest.mark.parametrize("at", [0.31, 0.5, 0.5021, 0.77])
def test_a_cut_on_demand_fades_and_drops_what_was_to_come(at: float) -> None:
    mixer = Mixer()
    later = Strike(0.9, inf, 1, voice="vibraphone", pitch=60.0, velocity=110, hardness=0.0)
    mixer.warm([LOW, later])
    mixer.strike(LOW, 0)
    mixer.strike(later, round(0.9 * RATE))
    frame = round(at * RATE)
    before = np.zeros((frame, 2), np.float32)
    for start in range(0, frame, 240):
        mixer.mix_into(before[start : start + 240], start)
    mixer.cut(frame)
    after = np.zeros((2 * RATE, 2), np.float32)
    for start in range(0, len(after), 240):
        mixer.mix_into(after[start : start + 240], frame + start)
    sound = np.concatenate([before, after])
    assert not after[round(0.011 * RATE) :].any()
    assert mixer.active == 0
    assert hiss(sound, frame) < hiss(whole(Timeline((LOW,), 2.0)), frame) + 10


def test_a_cut_in_the_middle_of_a_fade_goes_on_from_there() -> None:
    damped = Strike(0.0, 0.5, 1, voice="vibraphone", pitch=53.0, velocity=110, hardness=0.0, damped=True)
    mixer = Mixer()
    mixer.warm([damped])
    mixer.strike(damped, 0)
    frame = round(0.51 * RATE)
    sound = np.zeros((RATE, 2), np.float32)
    for first, last in pairwise([*range(0, frame, 240), frame, *range(frame + 240, RATE, 240), RATE]):
        if first == frame:
            mixer.cut(frame)
        mixer.mix_into(sound[first:last], first)
    assert hiss(sound, frame) < hiss(whole(Timeline((LOW,), 2.0)), frame) + 10


def test_the_same_bar_struck_again_stops_its_earlier_sound() -> None:
    roll = tuple(Strike(i / 14, inf, 1, voice="vibraphone", pitch=60.0, velocity=100, hardness=0.25) for i in range(70))
    mixer = Mixer()
    mixer.warm(roll)
    most = 0
    sound = np.zeros((240, 2), np.float32)
    waiting = list(roll)
    for frame in range(0, 5 * RATE, 240):
        while waiting and round(waiting[0].seconds * RATE) < frame + 240:
            strike = waiting.pop(0)
            mixer.strike(strike, round(strike.seconds * RATE))
        mixer.mix_into(sound, frame)
        most = max(most, mixer.active)
    assert most <= 3


def test_mute_and_solo_are_levels_that_move_without_a_click() -> None:
    mixer = Mixer()
    mixer.warm([LOW])
    mixer.strike(LOW, 0)
    sound = np.zeros((RATE, 2), np.float32)
    for frame in range(0, RATE, 240):
        if frame == 24_000:
            mixer.set_level(1, 0.0)
        mixer.mix_into(sound[frame : frame + 240], frame)
    ringing = whole(Timeline((LOW,), 2.0))
    hard_cut = ringing.copy()
    hard_cut[24_011:] = 0.0
    assert not sound[24_240:].any()
    assert hiss(sound, 24_000) < hiss(hard_cut, 24_000) - 15


def test_levels_are_gains_and_silent_players_are_not_made() -> None:
    timeline = dense(1.0)
    alone = Timeline(tuple(s for s in timeline.strikes if s.player == 1), timeline.seconds)
    templates = Templates(RATE)
    muted = np.concatenate(list(render(timeline, {2: 0.0, 3: 0.0, 4: 0.0}, RATE, templates)))
    assert len(templates) <= len(alone.strikes)
    mono = whole(alone) * np.float32(2**0.5)
    # Player 1 stands left of the middle among four, in the middle alone: equal power keeps the sum of squares.
    assert np.sum(muted.astype(float) ** 2) == pytest.approx(np.sum(mono.astype(float) ** 2) / 2, rel=1e-4)
    half = np.concatenate(list(render(alone, {1: 0.5})))
    assert np.max(np.abs(half - 0.5 * whole(alone))) < 1e-6


def test_players_stand_from_left_to_right() -> None:
    mixer = Mixer()
    mixer.place([1, 2, 3])
    sides = []
    for player in (1, 2, 3):
        strike = Strike(0.0, inf, player, voice="claves", pitch=None, velocity=100)
        mixer.warm([strike])
        mixer.strike(strike, 0)
        left, right = np.sum(live(mixer, 9600).astype(float) ** 2, axis=0)
        mixer.cut(0)
        sides.append(left / right)
    assert sides[0] > 1.5
    assert sides[1] == pytest.approx(1.0)
    assert sides[2] < 1 / 1.5


def test_nothing_is_synthesised_while_mixing() -> None:
    mixer = Mixer(templates=Templates(RATE))
    assert not mixer.strike(LOW, 0)
    assert mixer.missed == 1
    assert not live(mixer, 4800).any()


def test_two_places_at_once_sound_as_two_drums() -> None:
    both = Strike(0.0, inf, 0, voice="tom-toms", pitch=None, velocity=100, variant="F4+E5")
    mixer = Mixer()
    assert mixer.warm([both]) == 2
    assert mixer.strike(both, 0)
    assert mixer.active == 2
