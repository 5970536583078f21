"""Write every sample again: ``python samples/source/make_samples.py [--out FOLDER]``. The same bytes on every machine."""

import argparse
from collections.abc import Callable
from pathlib import Path

import quartet
import study
import trio
from layout import Encoding, Score
from writing import score_bytes

SAMPLES: dict[str, Callable[[], Score]] = {
    "quartet": quartet.score,
    "study": study.score,
    "trio-ids": lambda: trio.score(Encoding.IDS),
    "trio-plain": lambda: trio.score(Encoding.PLAIN),
    "trio-noteheads": lambda: trio.score(Encoding.PITCHES),
}


def main() -> None:
    """Write the samples into the folder asked for, or beside their source."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=Path(__file__).parents[1])
    folder: Path = parser.parse_args().out
    folder.mkdir(parents=True, exist_ok=True)
    for name, score in SAMPLES.items():
        (folder / f"{name}.musicxml").write_bytes(score_bytes(score()))


if __name__ == "__main__":
    main()
