"""The tree's own source, read as syntax: what figures and checks of the house are counted from."""

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parents[2]
PACKAGES = ("score", "tui")

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


def functions(tree: ast.AST) -> Iterator[Function]:
    """Every function and method."""
    return (node for node in ast.walk(tree) if isinstance(node, Function))


def records(files: list[Source]) -> dict[str, int]:
    """Name of every frozen record of ours and how many fields it has; the largest where two share a name."""
    sizes: dict[str, int] = {}
    for source in files:
        for node in ast.walk(source.tree):
            if isinstance(node, ast.ClassDef) and _is_record(node):
                fields = sum(isinstance(line, ast.AnnAssign) for line in node.body)
                sizes[node.name] = max(fields, sizes.get(node.name, 0))
    return sizes


def _is_record(node: ast.ClassDef) -> bool:
    return any("NamedTuple" in ast.unparse(base) for base in node.bases) or any(
        "dataclass" in ast.unparse(decorator) for decorator in node.decorator_list
    )


def positional_calls(files: list[Source], least: int) -> Iterator[PositionalCall]:
    """Records of ours made with so many arguments or more by position."""
    sizes = records(files)
    for source in files:
        for node in ast.walk(source.tree):
            if isinstance(node, ast.Call):
                name = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
                count = sum(not isinstance(argument, ast.Starred) for argument in node.args)
                if sizes.get(name, 0) >= least and count >= least:
                    yield PositionalCall(source.module, node.lineno, name, count)


def local_names(function: Function) -> Iterator[str]:
    """Every name a function gives to a value: assigned, looped over, unpacked."""
    for node in ast.walk(function):
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            yield node.id
