"""What several commands share: the score argument, reading it with its group's file, JSON."""

import json
from collections.abc import Callable
from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.progress import Progress

if TYPE_CHECKING:
    from score.group.group_file import Group
    from score.reading.note_kinds import Listen
    from score.reading.reading_result import Outline, Reading

score_argument = click.argument("score", type=click.Path(path_type=Path))
json_option = click.option("--json", "as_json", is_flag=True, help="Print it all as JSON.")


def open_score(
    path: Path,
    progress: Progress,
    outlined: "Callable[[Outline], None] | None" = None,
    listen: "Listen | None" = None,
) -> "tuple[Reading, Group]":
    """Read a score and the group's file that stands beside it.

    Args:
        path: the score.
        progress: told how far it is.
        outlined: as for `read_score`.
        listen: who hears the notes; a process of its own when it is left out.
    """
    from score.reading.hearing_process import hearing_apart

    with hearing_apart() if listen is None else nullcontext(listen) as who:
        from score.group.group_file import group_path, read_group
        from score.reading import read_score

        group = read_group(group_path(path))
        return read_score(path, group, progress, outlined, who), group


def print_json(value: object) -> None:
    """Print a value as JSON, readable and in the same order every time."""
    click.echo(json.dumps(value, ensure_ascii=False, indent=1))
