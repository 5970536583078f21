"""`inbreath gather`: the players' copies of the group's file joined into one."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.commands.command_common import json_option, open_score, print_json, score_argument
from tui.progress_line import Progress

if TYPE_CHECKING:
    from score.group.conflicts import Conflict
    from score.group.gather_files import Gathered


@click.command("gather")
@score_argument
@click.argument("copies", nargs=-1, metavar="COPY...", type=click.Path(path_type=Path))
@click.option("--mine", is_flag=True, help="Where you disagree, keep what stands in your file.")
@click.option("--theirs", is_flag=True, help="Where you disagree, take what the copies say, if they agree.")
@json_option
def command(score: Path, copies: tuple[Path, ...], mine: bool, theirs: bool, as_json: bool) -> None:
    """Join COPIES of the group's file, as the other players have changed them, into the one beside SCORE.

    In any order and as often as you like: nothing is lost, and what one of you replaced or took out does not come
    back. Where two of you changed the same thing, both stay in the file until you choose, on the screen or with
    --mine or --theirs. The copies themselves are not changed. Without a COPY it says what is still to be settled.
    """
    from score.errors import RequestError

    if mine and theirs:
        raise RequestError("--mine with --theirs", "both were asked for", "keep one of them")
    with Progress() as progress:
        reading, _ = open_score(score, progress)
    from score.group.gather_files import gather_files
    from score.writing import write_atomically

    gathered = gather_files(score, reading.piece, copies, mine=mine, theirs=theirs)
    if copies or mine or theirs:
        write_atomically(gathered.path, gathered.text.encode())
    if as_json:
        print_json(_json(gathered))
    else:
        click.echo(_text(gathered, bool(copies)))


def _text(gathered: "Gathered", joined: bool) -> str:
    lines = []
    if joined:
        lines.append(f"{gathered.path.name}: {_count(len(gathered.news))}")
        lines += [f"  {line}" for line in gathered.news]
    if gathered.open:
        lines += ["", "To settle, on the screen or with --mine or --theirs:"] if lines else ["To settle:"]
        lines += [f"  {_line(conflict)}" for conflict in gathered.open]
    return "\n".join(lines or ["Nothing is left to settle."])


def _count(news: int) -> str:
    return "nothing new" if news == 0 else f"{news} {'change' if news == 1 else 'changes'} from the copies"


def _line(conflict: "Conflict") -> str:
    sides = ", ".join(f"{side.words} (mine)" if side.mine else side.words for side in conflict.sides)
    return f"{conflict.where}: {sides}" if conflict.where else sides


def _json(gathered: "Gathered") -> dict[str, object]:
    return {
        "file": gathered.path.name,
        "news": list(gathered.news),
        "to settle": [
            {
                "about": conflict.matter.value,
                "ids": list(conflict.ids),
                "where": conflict.where,
                "sides": [{"says": side.words, "mine": side.mine} for side in conflict.sides],
            }
            for conflict in gathered.open
        ],
    }
