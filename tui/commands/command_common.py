"""What several commands share: the score argument, reading it with its group's file, JSON."""

import json
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import click

from score.errors import RequestError
from tui.progress_line import Progress

if TYPE_CHECKING:
    from score.group.group_file import Group
    from score.reading.reading_result import Reading

score_argument = click.argument("score", type=click.Path(path_type=Path))
json_option = click.option("--json", "as_json", is_flag=True, help="Print it all as JSON.")


def open_score(path: Path, progress: Progress) -> "tuple[Reading, Group]":
    """Read a score and the group's file that stands beside it.

    Args:
        path: the score.
        progress: told how far it is.
    """
    from tui.kept_scores import KeptScore

    score = KeptScore(path)
    return score.read(progress), score.group


def keep_inputs(score: Path, read: Iterable[Path | None], written: Mapping[str, Path | None]) -> None:
    """Refuse to write over what is read: the score, its group's file, recordings; or two things into one file.

    Args:
        score: the score; its group's file stands beside it.
        read: other files that are read, None for what was not named.
        written: by option, the file that is asked for.

    Raises:
        RequestError: a file would be lost.
    """
    from score.group.group_file import group_path

    inputs = [score, group_path(score), *(path for path in read if path is not None)]
    outputs = {option: path for option, path in written.items() if path is not None}
    for option, path in outputs.items():
        if any(_is_same(path, other) for other in inputs):
            raise RequestError(option, f"{path} is read here and would be lost", "name another file")
        twice = [other for other, there in outputs.items() if other != option and _is_same(path, there)]
        if twice:
            raise RequestError(f"{option} with {twice[0]}", f"both name {path}", "name two files")


def _is_same(path: Path, other: Path) -> bool:
    """Whether two names lead to one file, whatever their letters and links."""
    try:
        return path.samefile(other)
    except OSError:
        return path.resolve() == other.resolve()


def print_json(value: object) -> None:
    """Print a value as JSON, readable and in the same order every time."""
    click.echo(json.dumps(value, ensure_ascii=False, indent=1))
