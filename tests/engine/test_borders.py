"""The engine stays free of the interface, and the overview free of the engine."""

import pkgutil
import subprocess
import sys

import pytest

import score

HEAVY = ("music21", "verovio", "typst", "scipy", "textual", "rich", "numpy", "lxml")


def _modules_after(statement: str) -> set[str]:
    code = f"{statement}\nimport sys\nprint(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return set(done.stdout.split())


def _engine_modules() -> list[str]:
    return [name for _, name, _ in pkgutil.walk_packages(score.__path__, "score.")]


def test_no_engine_module_loads_the_interface() -> None:
    loaded = _modules_after("\n".join(f"import {name}" for name in _engine_modules()))
    assert not loaded & {"tui", "textual", "rich", "click"}


def test_help_loads_nothing_heavy() -> None:
    loaded = _modules_after("import tui.command; tui.command.run(['--help'])")
    assert not loaded & set(HEAVY)


@pytest.mark.parametrize("name", ["read", "parts", "prepare"])
def test_help_of_a_command_loads_nothing_heavy(name: str) -> None:
    loaded = _modules_after(f"import tui.command; tui.command.run(['{name}', '--help'])")
    assert not loaded & set(HEAVY)
