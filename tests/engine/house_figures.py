"""Figures of the house, printed: how large, how deep, how it names things. Not a check and not collected.

Run it by hand: ``python tests/engine/house_figures.py``; with the folder of an earlier tree that is installed in its
own ``.venv`` also how long the quick check takes, and `prepare` against that tree, in turn in one run.
"""

import ast
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from statistics import median, quantiles

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.engine.source_tree import (
    AGREED_BASENAMES,
    STATE_NAMES,
    Source,
    contracts,
    functions,
    local_names,
    positional_calls,
    sources,
)

ROOT = Path(__file__).parents[2]
ROUNDS = 9


def main() -> None:
    """Print the figures."""
    files = sources()
    lines = [source.text.count("\n") for source in files]
    lengths = [_length(function) for source in files for function in functions(source.tree)]
    imports = {source.module: set(_imports(source)) for source in files}
    rooms = _between_rooms(imports)
    names = [name for source in files for function in functions(source.tree) for name in set(local_names(function))]
    basenames = Counter(source.module.rpartition(".")[2] for source in files)
    print(f"files {len(files)}, lines {sum(lines)}, lines a file {_spread(lines)}")
    print(f"functions {len(lengths)}, lines a function {_spread(lengths)}")
    print(f"room cycles {len(_cycles(rooms))}, arrows up {len(list(_arrows_up(rooms)))}")
    print(f"basenames used twice {sum(n > 1 for name, n in basenames.items() if name not in AGREED_BASENAMES)}")
    print(
        f"state names {100 * sum(name in STATE_NAMES for name in names) / len(names):.2f} % of {len(names)} local names"
    )
    print(f"records made with 7 or more arguments by position {len(list(positional_calls(files, 7)))}, ", end="")
    print(f"with more than 3 {len(list(positional_calls(files, 4)))}")
    for before in sys.argv[1:]:
        _timed(Path(before).resolve())


def _timed(before: Path) -> None:
    """Seconds of the quick check, and of `prepare` on the quartet against an earlier tree."""
    print(f"quick check {_seconds([sys.executable, str(ROOT / 'tests' / 'quick.py')], ROOT):.0f} s")
    with tempfile.TemporaryDirectory() as folder:
        both = [_preparing(tree, Path(folder) / name) for tree, name in ((ROOT, "now"), (before, "before"))]
        for command, place in both:
            _seconds(command, place)
        ratios = [_seconds(*both[0]) / _seconds(*both[1]) for _ in range(ROUNDS)]
    print(f"prepare against {before.name}: {median(ratios):.2f} of {ROUNDS} pairs", end="")
    print(f" ({min(ratios):.2f} to {max(ratios):.2f})")


def _preparing(tree: Path, place: Path) -> tuple[list[str], Path]:
    """The command of a tree on its own sample, and where it is run."""
    shutil.copytree(tree / "samples", place)
    program = "import sys; from tui.__main__ import main; sys.argv[0] = 'inbreath'; main()"
    scripts = "Scripts" if os.name == "nt" else "bin"
    return [str(tree / ".venv" / scripts / "python"), "-c", program, "prepare", "quartet.musicxml"], place


def _seconds(command: list[str], place: Path) -> float:
    # Compiled once, as whoever installs it has it; readings are kept as they are for a user, but not among the user's.
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    environment |= {} if place == ROOT else {"INBREATH_READINGS": str(place / "readings")}
    start = time.perf_counter()
    subprocess.run(command, cwd=place, env=environment, check=True, capture_output=True)
    return time.perf_counter() - start


def _length(function: ast.AST) -> int:
    return (getattr(function, "end_lineno", 0) or 0) - getattr(function, "lineno", 0) + 1


def _spread(values: list[int]) -> str:
    return f"median {median(values):.0f}, p90 {quantiles(values, n=10)[8]:.0f}, max {max(values)}"


def _imports(source: Source) -> Iterator[str]:
    for node in ast.walk(source.tree):
        if isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
        elif isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)


def _room(module: str) -> str:
    parts = module.split(".")
    return parts[1] if parts[0] == "score" and len(parts) > 1 else parts[0]


def _between_rooms(imports: Mapping[str, Iterable[str]]) -> dict[str, set[str]]:
    rooms: dict[str, set[str]] = defaultdict(set)
    for module, wanted in imports.items():
        for other in wanted:
            if other.split(".")[0] in ("score", "tui") and _room(other) != _room(module):
                rooms[_room(module)].add(_room(other))
    return rooms


def _cycles(rooms: Mapping[str, set[str]]) -> list[tuple[str, str]]:
    reach = {room: _reached(rooms, room) for room in rooms}
    return [(a, b) for a in rooms for b in reach[a] if a < b and a in reach.get(b, set())]


def _reached(rooms: Mapping[str, set[str]], start: str) -> set[str]:
    seen: set[str] = set()
    waiting = [start]
    while waiting:
        for room in rooms.get(waiting.pop(), set()) - seen:
            seen.add(room)
            waiting.append(room)
    return seen


def _arrows_up(rooms: Mapping[str, set[str]]) -> Iterator[tuple[str, str]]:
    floor = {room: level for level, names in enumerate(_layers()) for room in names.split(" | ")}
    for room, others in rooms.items():
        yield from ((room, other) for other in others if floor.get(other, 99) < floor.get(room, -1))


def _layers() -> list[str]:
    """The rooms of the layers contract, from the top: "setup | plan | playback"."""
    (layers,) = (contract["layers"] for contract in contracts() if contract["type"] == "layers")
    assert isinstance(layers, list)
    return layers


if __name__ == "__main__":
    main()
