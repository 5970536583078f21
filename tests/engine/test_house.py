"""What holds all over the tree: the engine knows no options, and records say what their fields are."""

import ast
import re
import sys
from collections import Counter
from functools import cache

from tests.engine.source_tree import (
    AGREED_BASENAMES,
    STATE_NAMES,
    Source,
    contracts,
    declared,
    functions,
    imported,
    local_names,
    positional_calls,
    room_of,
    sources,
)
from tui.option_words import OPTIONS

OPTION = re.compile(r"(?<![\w-])--[a-z]")


@cache
def house() -> list[Source]:
    """Every module, parsed once, and by the one process that needs it."""
    return sources()


def _texts(tree: ast.AST) -> list[str]:
    """Every text of a file except its docstrings; a text with values in it is one text."""
    apart = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    texts = []
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            parts = [part for part in node.values if isinstance(part, ast.Constant)]
            apart.update(map(id, parts))
            texts.append("…".join(str(part.value) for part in parts))
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in apart:
            texts.append(node.value)
    return texts


def test_the_engine_names_no_option_of_the_command_line() -> None:
    # A whole command, to be typed as it stands, is no option without its command.
    named = {
        (source.module, text)
        for source in house()
        if source.module.startswith("score.")
        for text in _texts(source.tree)
        if OPTION.search(text) and "inbreath " not in text
    }
    assert not named


def test_options_stand_behind_errors_that_exist() -> None:
    texts = {text for source in house() if source.module.startswith("score.") for text in _texts(source.tree)}
    assert set(OPTIONS) <= texts


def test_records_are_built_by_keyword_from_the_fourth_argument_on() -> None:
    assert list(positional_calls(house(), least=4)) == []


def test_no_class_name_has_two_meanings_and_no_module_two_places() -> None:
    classes = Counter(
        node.name.strip("_") for source in house() for node in source.tree.body if isinstance(node, ast.ClassDef)
    )
    assert [name for name, count in classes.items() if count > 1] == []
    modules = Counter(source.module.rpartition(".")[2] for source in house())
    assert [name for name, count in modules.items() if count > 1 and name not in AGREED_BASENAMES] == []


def test_every_room_that_has_no_need_of_a_library_is_kept_from_it() -> None:
    """A new room stands in each contract that keeps a library in some rooms, unless it imports that library."""
    importing = {(room_of(source), name) for source in house() for name in imported(source.tree)}
    rooms = {room_of(source) for source in house()} - {"score.__init__"}
    kept = [
        contract for contract in contracts() if contract["type"] == "forbidden" and "tui" in contract["source_modules"]
    ]
    kept = [contract for contract in kept if contract.get("allow_indirect_imports")]
    assert len(kept) == 4
    for contract in kept:
        users = {room for room, name in importing if name in contract["forbidden_modules"]}
        assert rooms - set(contract["source_modules"]) == users, contract["name"]


def test_whatever_is_imported_is_declared() -> None:
    """What only comes along with another package may be gone with its next version."""
    packages = {"rtmidi": "python-rtmidi", "pygame": "pygame-ce"}
    foreign = {name for source in house() for name in imported(source.tree)} - sys.stdlib_module_names
    assert {packages.get(name, name.lower()) for name in foreign - {"score", "tui"}} - declared() == set()


def test_local_names_say_what_a_value_is() -> None:
    states = {
        (source.module, function.name, name)
        for source in house()
        for function in functions(source.tree)
        for name in STATE_NAMES.intersection(local_names(function))
    }
    assert states == set()
