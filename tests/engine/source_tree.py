"""The tree's own source, read as syntax: what figures and checks of the house are counted from."""

import ast
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

ROOT = Path(__file__).parents[2]
PACKAGES = ("score", "tui")
AGREED_BASENAMES = frozenset({"__init__", "__main__", "rules", "explain", "sheet", "from_group"})
"""Modules that many rooms have, each to be understood with its folder."""
STATE_NAMES = frozenset({"found", "made", "known", "given", "one", "it", "thing", "data"})
"""Names that say only what became of a value, and not what it is."""

Function = ast.FunctionDef | ast.AsyncFunctionDef


class Source(NamedTuple):
    """One file of the tree.

    Attributes:
        module: dotted name.
        text: what stands in it.
        tree: its syntax.
    """

    module: str
    text: str
    tree: ast.Module


class PositionalCall(NamedTuple):
    """A record made with arguments by position.

    Attributes:
        module, line: where.
        record: name of the class.
        count: arguments by position.
    """

    module: str
    line: int
    record: str
    count: int  # type: ignore[assignment]


def sources() -> list[Source]:
    """Every file of the engine and the interface."""
    paths = (path for package in PACKAGES for path in sorted((ROOT / package).rglob("*.py")))
    return [_source(path) for path in paths]


def _source(path: Path) -> Source:
    text = path.read_text(encoding="utf-8")
    return Source(".".join(path.relative_to(ROOT).with_suffix("").parts), text, ast.parse(text))


def imported(tree: ast.AST) -> set[str]:
    """The first names of whatever a file imports: "score", "lxml"."""
    modules = [node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom) and node.module]
    modules += [alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names]
    return {module.partition(".")[0] for module in modules}


def room_of(source: Source) -> str:
    """The room of the engine a file stands in, "score.parts", or the interface as a whole."""
    return ".".join(source.module.split(".")[:2]) if source.module.startswith("score.") else "tui"


def declared() -> set[str]:
    """The names of packages that the project's file asks for, extras too, in small letters."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = [*project["dependencies"], *(line for extra in project["optional-dependencies"].values() for line in extra)]
    return {re.split(r"[^\w-]", line, maxsplit=1)[0].lower() for line in asked}


def contracts() -> list[dict[str, Any]]:
    """The contracts of imports, as the project's file says them."""
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    listed: list[dict[str, Any]] = settings["tool"]["importlinter"]["contracts"]
    return listed


def functions(tree: ast.AST) -> Iterator[Function]:
    """Every function and method."""
    return (node for node in ast.walk(tree) if isinstance(node, Function))


def records(files: list[Source]) -> set[tuple[str, str]]:
    """(module, name) of every record of ours: a named tuple or a dataclass."""
    return {
        (source.module, node.name)
        for source in files
        for node in ast.walk(source.tree)
        if isinstance(node, ast.ClassDef) and _is_record(node)
    }


def _is_record(node: ast.ClassDef) -> bool:
    return any("NamedTuple" in ast.unparse(base) for base in node.bases) or any(
        "dataclass" in ast.unparse(decorator) for decorator in node.decorator_list
    )


def positional_calls(files: list[Source], least: int) -> Iterator[PositionalCall]:
    """Records of ours made with so many arguments or more by position."""
    ours = records(files)
    for source in files:
        names = {name for module, name in ours if module == source.module} | _imported(source.tree, ours)
        for node in ast.walk(source.tree):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in names:
                count = sum(not isinstance(argument, ast.Starred) for argument in node.args)
                if count >= least:
                    yield PositionalCall(source.module, node.lineno, node.func.id, count)


def _imported(tree: ast.AST, ours: set[tuple[str, str]]) -> set[str]:
    """Names under which a file imports records of ours."""
    return {
        alias.asname or alias.name
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
        if (node.module or "", alias.name) in ours
    }


def local_names(function: Function) -> Iterator[str]:
    """Every name a function gives to a value: as an argument, assigned, looped over, unpacked."""
    yield from (argument.arg for argument in (*function.args.args, *function.args.kwonlyargs))
    for node in ast.walk(function):
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            yield node.id
