"""Words that were replaced because a player stumbled over them never come back to anything a player reads."""

import ast
import re
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

import click
import pytest

from tui.command import COMMANDS, inbreath
from tui.keys import TABLES

ROOT = Path(__file__).parents[2]
REPLACED = (
    r"\bis no (way|side|size|shape|date|list|pitch|note|number|range|part|temperature)\b",
    r"\bthe clock stands\b",
    r"\bat one moment\b",
    r"\bone mallet twice running\b",
    r"\bs are needed\b",
    r"\bmend (that|the) line\b",
    r"\bfree the disk\b",
    r"\bcannot be kept(?! apart)",
    r"\bis kept\b",
    r"\btakes? (it )?back\b",
    r"\bis taken back\b",
    r"\boff the list\b",
    r"\b(take|takes|taken) ((a|an|the|this|one of) \w+ )?out\b",
    r"\b(chunk|page) before\b",
    r"\bplease report\b",
    r"\bpractise goes on\b",
    r"\blead in time\b",
    r"\bnobody stands out\b",
    r"\blong note of all\b",
    r"\bwished\b",
    r"\bbars before\b",
    r"\bwhat a hole is wider\b",
    r"\bwhat there is\b",
    r"\bdate past\b",
    r"\bnotes twice\b",
    r"\ball or some\b",
    r"\bno number\b",
    r"\bdoes not fit\b",
    r"\bfind no (day|time)\b",
    r"\bstands? in the way\b",
    r"\bpalette\b",
    r"\bthe seam\b",
    r"\bp plans\b",
)
SAID = re.compile("|".join(REPLACED), re.IGNORECASE)


def options(command: click.Command) -> Iterator[str]:
    """The help of a command, of its options, and of the commands it holds."""
    yield from (command.help or "", command.short_help or "")
    yield from (param.help or "" for param in command.params if isinstance(param, click.Option))
    for inner in command.commands.values() if isinstance(command, click.Group) else ():
        yield from options(inner)


def texts(path: Path) -> Iterator[str]:
    """Every text of a file but its docstrings: error titles, reasons, remedies, labels."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    silent = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in silent:
            yield node.value


def error_titles() -> Iterator[tuple[str, str]]:
    for path in sorted([*ROOT.glob("score/**/*.py"), *ROOT.glob("tui/**/*.py")]):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and ast.unparse(node.func).endswith("Error") and node.args:
                title = node.args[0]
                if isinstance(title, ast.Constant) and isinstance(title.value, str):
                    yield f"{path.relative_to(ROOT)}:{node.lineno}", title.value


@pytest.mark.parametrize("name", COMMANDS)
def test_no_help_says_what_was_replaced(name: str) -> None:
    command = import_module(COMMANDS[name].module).command
    said = [text for text in (COMMANDS[name].help, *options(command)) if SAID.search(text)]
    assert said == []
    assert [text for text in options(inbreath) if SAID.search(text)] == []


def test_no_key_says_what_was_replaced() -> None:
    words = [action.words for actions in TABLES.values() for action in actions]
    assert len(words) > 40
    assert [text for text in words if SAID.search(text) or text in ("before", "ask for", "leave out")] == []


def test_no_error_title_says_what_was_replaced() -> None:
    titles = list(error_titles())
    assert len(titles) > 60
    assert [(where, title) for where, title in titles if SAID.search(title)] == []


def test_no_other_text_says_what_was_replaced() -> None:
    said = [
        (str(path.relative_to(ROOT)), text)
        for path in sorted([*ROOT.glob("score/**/*.py"), *ROOT.glob("tui/**/*.py")])
        for text in texts(path)
        if SAID.search(text)
    ]
    assert said == []


def test_the_list_would_be_noticed() -> None:
    assert SAID.search("History cannot be kept")
    assert SAID.search("octaves = 6 is no size; there are five")
    assert SAID.search("take this piece out")
    assert not SAID.search("the piece has no player 9")
