"""Speed of the sound: four dense players over 180 s, some 7,500 strokes, on one core.

- render: seconds of sound a second of work, with no template kept beforehand (cold) and with them (warm);
- tracks: the same with even loudness and encoding, by format; at least 30 times real time;
- live: share of one core that mixing in blocks of 240 frames takes, and its slowest block against the 5 ms it lasts;
- beside a sample player on the same strokes, where its wheel and a bank of samples are installed: at least 2 times
  faster.

Run by hand, on one core: taskset -c 0 python -m pytest tests/bench/bench_synthesis.py -s
"""

import random
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from score.playback.loudness import evened
from score.playback.mixing import Mixer, render
from score.playback.sound_events import Strike, Timeline
from score.playback.sound_file import FORMATS, USUAL_RATES, write_sound
from score.playback.voices.voice_templates import Templates

SECONDS, STROKES = 180.0, 7_500
# Each player with the mallets of a piece: one hardness, all dynamics.
PLAYERS = [
    ("marimba", 36, 84, 0.25),
    ("vibraphone", 53, 89, 0.5),
    ("marimba", 48, 96, 0.5),
    ("glockenspiel", 79, 108, 0.75),
]


def dense() -> Timeline:
    rng = random.Random(4)
    strikes = []
    for index in range(STROKES):
        player = index % 4
        voice, low, high, hardness = PLAYERS[player]
        pitch, velocity = float(rng.randint(low, high)), rng.randint(40, 120)
        at = SECONDS * (index // 4) * 4 / STROKES
        strikes.append(Strike(at, 0.3, player + 1, voice, pitch, velocity, hardness, rng.random() < 0.2))
    return Timeline(tuple(strikes), SECONDS)


@pytest.fixture(scope="module", autouse=True)
def _first_imports() -> None:
    list(evened(render(Timeline((), 0.1)), 48_000))


def run(blocks: Iterator[np.ndarray], rate: int = 48_000) -> float:
    start = time.perf_counter()
    assert sum(len(block) for block in blocks) == round(SECONDS * rate)
    return SECONDS / (time.perf_counter() - start)


def test_render_cold_and_warm() -> None:
    timeline, templates = dense(), Templates()
    cold = run(render(timeline, templates=templates))
    warm = run(render(timeline, templates=templates))
    print(f"\nrender, cap 96 MB: cold {cold:.0f}, warm {warm:.0f} x real time; {len(templates)} templates kept")
    large = Templates(cap=2**30)
    cold, warm = (run(render(timeline, templates=large)) for _ in range(2))
    print(f"render, no cap: cold {cold:.0f}, warm {warm:.0f}; {len(large)} templates, {large.bytes / 2**20:.0f} MB")
    assert cold > 30


@pytest.mark.parametrize("kind", sorted(FORMATS))
def test_tracks(kind: str, tmp_path: Path) -> None:
    timeline, rate = dense(), USUAL_RATES[kind]
    alone = run(render(timeline, rate=rate, templates=Templates(rate)), rate)
    start = time.perf_counter()
    write_sound(tmp_path / f"t.{kind}", evened(render(timeline, rate=rate, templates=Templates(rate)), rate), rate)
    speed = SECONDS / (time.perf_counter() - start)
    print(f"\n{kind} at {rate}: {speed:.0f} x real time, even loudness and encoding included; mixing alone {alone:.0f}")
    assert speed > alone / 8


def test_live() -> None:
    timeline, mixer = dense(), Mixer(templates=Templates(cap=2**30))
    mixer.warm(timeline.strikes)
    waiting, spent = list(reversed(timeline.strikes)), []
    block = np.zeros((240, 2), np.float32)
    for frame in range(0, 60 * 48_000, 240):
        start = time.perf_counter()
        while waiting and (at := round(waiting[-1].seconds * 48_000)) < frame + 240:
            mixer.strike(waiting.pop(), at)
        mixer.mix_into(block, frame)
        spent.append(time.perf_counter() - start)
    share, p99, slowest = sum(spent) / 60, float(np.percentile(spent, 99)), max(spent)
    print(
        f"\nlive: {100 * share:.1f} % of a core; a block of 5 ms takes p99 {p99 * 1e3:.2f}, max {slowest * 1e3:.2f} ms"
    )
    assert share < 0.2
    assert p99 < 0.0025


def test_beside_a_sample_player() -> None:
    tinysoundfont = pytest.importorskip("tinysoundfont")
    pretty_midi = pytest.importorskip("pretty_midi")
    bank = Path(pretty_midi.__file__).with_name("TimGM6mb.sf2")
    timeline = dense()
    ours, theirs = [], []
    for _ in range(3):  # In turns, so that both see the same machine.
        ours.append(run(render(timeline, templates=Templates())))
        theirs.append(run(_sampled(tinysoundfont.Synth(samplerate=48_000), bank, timeline)))
    print(f"\nours {sorted(ours)[1]:.0f}, sample player {sorted(theirs)[1]:.0f} x real time (medians of three)")
    assert sorted(ours)[1] > 2 * sorted(theirs)[1]


def _sampled(synth, bank: Path, timeline: Timeline) -> Iterator[np.ndarray]:
    font = synth.sfload(str(bank))
    for channel, program in enumerate((12, 11, 12, 9)):
        synth.program_select(channel, font, 0, program)
    events = [(s.seconds, 1, s) for s in timeline.strikes] + [(s.seconds + s.length, 0, s) for s in timeline.strikes]
    frame, end = 0, round(SECONDS * 48_000)
    for seconds, on, strike in sorted(events, key=lambda event: event[:2]):
        until = min(end, round(seconds * 48_000))
        if until > frame:
            yield np.frombuffer(synth.generate(until - frame), np.float32).reshape(-1, 2)
            frame = until
        if on:
            synth.noteon(strike.player - 1, round(strike.pitch or 60), strike.velocity)
        else:
            synth.noteoff(strike.player - 1, round(strike.pitch or 60))
    if end > frame:
        yield np.frombuffer(synth.generate(end - frame), np.float32).reshape(-1, 2)
