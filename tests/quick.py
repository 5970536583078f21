"""The quick check, under a minute: ``python tests/quick.py``.

Ruff, types, contracts, and the tests that engrave nothing, open no screen, hear no sound again and draw no files at
random. One after the other where a machine has one core; what fails is shown whole, and the exit code is 1.
"""

import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

ROOT = Path(__file__).parents[1]
SLOW = (
    "tui", "parts", "recall", "command", "samples", "recording", "strokes", "takes",
    "concert/test_concert_command.py", "concert/test_concert_today.py", "concert/test_programme.py",
    "following/test_against_models.py", "following/test_following.py", "group/test_gather.py",
    "library/test_spreading.py",
    "memory/test_faded_run.py", "memory/test_memory_command.py", "memory/test_questions.py",
    "playback/test_agreed_sound.py", "playback/test_denied_microphone.py", "playback/test_ears.py",
    "playback/test_player.py", "playback/test_sound_file.py", "reading/test_fuzz.py", "tubes/test_fit.py",
)  # fmt: skip
"""Screens, engraving, whole commands, samples made again, sound made or heard again, and what is drawn at random:
files, calendars, questions, players, copies of a group's file, errors of measuring; real time and processes that are
killed: `.ci/run` has them all."""
SLOW_TESTS = "not bombs and not kills and not whole_range and not an_hour and not one_right_answer"
TOOL = f"{Path(sys.executable).parent}/"


def _tests() -> list[str]:
    ignored = [f"--ignore=tests/{place}" for place in SLOW]
    return [sys.executable, "-m", "pytest", "-q", "-n", "auto", "--dist", "loadfile", "-k", SLOW_TESTS, *ignored]


CHECKS = {
    "ruff check": [f"{TOOL}ruff", "check", "."],
    "ruff format": [f"{TOOL}ruff", "format", "--check", "."],
    "types": [f"{TOOL}mypy"],
    "contracts": [f"{TOOL}lint-imports"],
    "tests": _tests(),
}


def _checked(name: str) -> tuple[str, float, subprocess.CompletedProcess[str]]:
    start = time.monotonic()
    done = subprocess.run(CHECKS[name], cwd=ROOT, capture_output=True, text=True)
    return name, time.monotonic() - start, done


def main() -> int:
    """Run every check; 1 when one of them fails."""
    failed = False
    with ThreadPoolExecutor(2) as pool:
        for name, seconds, done in pool.map(_checked, reversed(CHECKS)):
            print(f"{name}: {'well' if done.returncode == 0 else 'FAILED'} ({seconds:.0f} s)", flush=True)
            if done.returncode:
                failed = True
                print(done.stdout[-8000:], done.stderr[-2000:], sep="\n")
    return int(failed)


if __name__ == "__main__":
    sys.exit(main())
