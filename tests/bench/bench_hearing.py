"""Being heard, by hand: how long judging takes against the pass, and how soon a stroke is told to the screen.

Figures are ratios and times of one run; they go nowhere but to the terminal.
"""

import random
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from score.playback.mixing import render
from score.playback.tracks import Passage, TrackOptions, track_timeline
from score.reading import read_score
from score.strokes.heard_stroke import KEY, HeardStroke
from score.strokes.live_onsets import LiveOnsets
from score.strokes.spectral_rise import RATE
from score.takes.live_pass import LivePass, judge_live
from score.takes.live_sound import CaughtBlock, SoundHints, judge_live_sound
from score.time.pulse import PulseOptions
from score.time.route import bars

PIECE = read_score(Path(__file__).parents[2] / "samples" / "quartet.musicxml").piece
ROUTE = bars(PIECE, range(16, 40))
LIVE = LivePass(ROUTE, 2, PulseOptions(), begins=10.0)


def test_judging_costs_less_than_a_tenth_of_the_pass() -> None:
    expected = LIVE.expected(PIECE)
    chance = random.Random(900)
    taps = [HeardStroke(10 + s.seconds + chance.gauss(0, 0.02), source=KEY) for s in expected.strokes]
    begun = time.process_time()
    judged = judge_live(PIECE, LIVE, sorted(taps))
    by_keys = time.process_time() - begun
    assert judged is not None
    whole = track_timeline(PIECE, Passage("", ROUTE), TrackOptions(2, "on"))
    others = track_timeline(PIECE, Passage("", ROUTE), TrackOptions(2))
    sent = np.concatenate(list(render(replace(others, seconds=others.seconds + 2), None, RATE))).mean(axis=1)
    heard = np.concatenate(list(render(replace(whole, seconds=others.seconds + 2), None, RATE))).mean(axis=1)
    block = CaughtBlock(0, np.roll(heard, 3000).astype(np.float32), sent.astype(np.float32))
    begun = time.process_time()
    judge_live_sound(PIECE, LIVE, block, SoundHints(others.starts))
    by_ear = time.process_time() - begun
    print(f"\n  a pass of {expected.seconds:.0f} s: by keys {by_keys / expected.seconds:.4f}, "
          f"by a microphone {by_ear / expected.seconds:.4f} of its length")  # fmt: skip
    assert by_ear < 0.1 * expected.seconds


def test_the_light_costs_little_of_a_core() -> None:
    live, noise = LiveOnsets(), np.random.default_rng(901).normal(0, 0.01, 20 * RATE).astype(np.float32)
    slowest, begun = 0.0, time.process_time()
    for at in range(0, len(noise), RATE // 100):
        before = time.process_time()
        live.fed(noise[at : at + RATE // 100])
        slowest = max(slowest, time.process_time() - before)
    share = (time.process_time() - begun) / 20
    print(f"\n  the light: {100 * share:.1f} % of a core, at most {1000 * slowest:.1f} ms at once")
    assert share < 0.1
