"""Three hours of a quartet at one go: by hand, ``pytest tests/bench/bench_long_recording.py -s``; ten minutes.

The whole sample played again and again (three performances, seeds 110 to 112), with talk between, as FLAC; a process
of its own listens to it and says the most memory it took. No human recording is in it.
"""

import json
import subprocess
import sys
from itertools import cycle
from pathlib import Path

import soundfile

from score.reading import read_score
from tests.recording.performances import Performance, perform
from tests.recording.synthesis import RATE, Sound, noisy, render, room, speech

QUARTET = Path(__file__).parents[2] / "samples" / "quartet.musicxml"
HOURS, MOST_MEGABYTES = 3.0, 500
SEEDS = (110, 111, 112)
_NEAR = 0.3
_LISTEN = """
import json, resource, sys, time
from pathlib import Path
from score.processes import reckon_on_one_core
reckon_on_one_core()
from score.reading import read_score
from score.recording.find_bars import find_recording
clock = time.process_time()
heard = find_recording(read_score(Path(sys.argv[1])).piece, Path(sys.argv[2]))
status = Path("/proc/self/status")
peak = [line.split()[1] for line in status.read_text().splitlines() if "VmHWM" in line] if status.exists() else []
print(json.dumps({
    "megabytes": int(peak[0] if peak else resource.getrusage(resource.RUSAGE_SELF).ru_maxrss) // 1024,
    "cost": (time.process_time() - clock) / heard.seconds,
    "bars": [(bar.bar, bar.start, bar.sure) for bar in heard.bars],
}))
"""


def test_three_hours_of_a_quartet(tmp_path: Path) -> None:
    played = [perform(read_score(QUARTET).piece, seed) for seed in SEEDS]
    path = tmp_path / "rehearsal.flac"
    truth = _written(path, played, HOURS * 3600)
    listened = subprocess.run(
        [sys.executable, "-c", _LISTEN, str(QUARTET), str(path)], check=True, capture_output=True, text=True
    )
    said = json.loads(listened.stdout)
    order = [bar for bar, _ in truth] == [bar for bar, _, _ in said["bars"]]
    off = [min(abs(start - second) for heard, second, _ in said["bars"] if heard == bar) for bar, start in truth]
    near = sum(each <= _NEAR for each in off)
    print(
        f"{soundfile.info(path).duration:.0f} s: {said['megabytes']} MB, {100 * said['cost']:.1f} % of the length, "
        f"{len(said['bars'])} bars heard of {len(truth)}, {near} within {_NEAR} s, order {order}"
    )
    assert said["megabytes"] <= MOST_MEGABYTES
    assert near >= 0.95 * len(truth)


def _written(path: Path, played: list[Performance], seconds: float) -> list[tuple[int, float]]:
    """Performances in turn as long as there is room, talk before each; gives back when each bar is played."""
    sounds = [_in_a_room(each, seed) for each, seed in zip(played, SEEDS, strict=True)]
    bars: list[tuple[int, float]] = []
    with soundfile.SoundFile(path, "w", RATE, 1, "PCM_16", format="FLAC") as file:
        for number, (each, music) in enumerate(cycle(zip(played, sounds, strict=True))):
            talk = speech(8.0 + number % 5, seed=number)
            if file.frames + len(talk) + len(music) > seconds * RATE:
                return bars
            file.write(0.5 * talk)
            bars += [(bar.bar, bar.start + file.frames / RATE) for bar in each.bars]
            file.write(music)
    return bars


def _in_a_room(played: Performance, seed: int) -> Sound:
    return noisy(room(render(played.sounds, played.seconds, 15.0, seed=seed), seed=seed), seed=seed)
