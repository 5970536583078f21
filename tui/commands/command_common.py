"""What several commands share: the score argument, reading it with its group's file, JSON."""

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

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


def print_json(value: object) -> None:
    """Print a value as JSON, readable and in the same order every time."""
    click.echo(json.dumps(value, ensure_ascii=False, indent=1))
