"""`inbreath plan`: what to rehearse when."""

from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import click

from score.errors import RequestError
from score.plain_text import file_stem
from tui.commands.command_common import json_option, open_score, print_json, score_argument
from tui.progress_line import Progress

if TYPE_CHECKING:
    from score.group.group_file import Group
    from score.piece import Piece
    from score.plan.plan_inputs import Rehearsal


@click.command("plan")
@score_argument
@click.option(
    "--rehearsal",
    "rehearsals",
    multiple=True,
    metavar="DATE/MINUTES",
    help="A rehearsal, 2027-03-02T19:00/90; repeat for each. Without any, the group's file gives them.",
)
@click.option("--concert", metavar="DATE", help="The concert's day, 2027-03-14.")
@click.option(
    "--missing", multiple=True, metavar="DATE:N", help="Player N cannot come on DATE (2027-03-02:2); may be repeated."
)
@click.option("--minutes", multiple=True, metavar="N:MINUTES", help="Player N's own practice a day, 1:40.")
@click.option("--out", type=click.Path(path_type=Path), metavar="DIR", help="Write the plan's files into this folder.")
@json_option
def command(score: Path, as_json: bool, out: Path | None, **asked: Any) -> None:
    """Plan the rehearsals of SCORE: chunks, joins, runs and the whole, and each player's own days before them.

    What this computer knows of its player is taken into account: how ready the chunks are, and ten minutes a day by
    heart once questions have been answered or places lost by heart.
    """
    with Progress() as progress:
        reading, group = open_score(score, progress)
    from score.plan.plan_of_piece import plan_of, write_plan
    from score.plan.plan_texts import plan_json, plan_text

    rehearsals, concert, minutes = _wishes(group, asked)
    own = _own(reading.piece, group)
    schedule = plan_of(reading.piece, group, rehearsals, concert, date.today(), minutes, own.ready, own.by_heart)
    if out is not None:
        files = write_plan(schedule, reading.piece, out, file_stem(score), datetime.now().astimezone())
        for path in files:
            click.echo(str(path), err=True)
    if as_json:
        print_json(plan_json(schedule.plan))
    else:
        click.echo(plan_text(schedule.plan))


class _Own(NamedTuple):
    """What the history of this computer says of its player.

    Attributes:
        ready: how far with each chunk, 0 to 1, where it is known.
        by_heart: (player, minutes a day for what is learnt by heart).
    """

    ready: dict[int, float]
    by_heart: tuple[tuple[int, int], ...] = ()


def _own(piece: "Piece", group: "Group") -> _Own:
    from score.chunks.division import divide
    from score.chunks.from_group import chunk_edits
    from tui.own_history import own_history, practising

    with own_history() as history:
        player = practising(history, piece) if history is not None else None
        if history is None or player is None:
            return _Own({})
        from score.takes.heart_day import planned_minutes

        chunks = divide(piece, edits=chunk_edits(group, piece))
        standings = {chunk.index: history.standing(piece.digest, player, chunk.bars) for chunk in chunks}
        ready = {index: standing.readiness.share for index, standing in standings.items() if standing}
        return _Own(ready, ((player, planned_minutes(piece, player, history)),))


def _wishes(group: "Group", asked: dict[str, Any]) -> Any:
    from score.plan.from_group import group_concert, group_minutes, group_rehearsals

    rehearsals = tuple(map(_rehearsal, asked["rehearsals"])) or group_rehearsals(group)
    for text in asked["missing"]:
        rehearsals = _without(rehearsals, text)
    concert = _date(asked["concert"], "--concert") if asked["concert"] else group_concert(group)
    if concert is None:
        raise RequestError("No concert", "a plan needs the concert's day", "give --concert 2027-03-14")
    minutes = tuple(_pair(text) for text in asked["minutes"]) or group_minutes(group)
    return rehearsals, concert, minutes


def _rehearsal(text: str) -> "Rehearsal":
    from score.plan.plan_inputs import Rehearsal

    when, _, minutes = text.partition("/")
    try:
        start, length = datetime.fromisoformat(when.strip()), int(minutes)
    except ValueError:
        raise RequestError(
            "Not a rehearsal", f"{text!r} is not a date and minutes", "write 2027-03-02T19:00/90"
        ) from None
    return Rehearsal(start.replace(tzinfo=None), length)


def _without(rehearsals: "tuple[Rehearsal, ...]", text: str) -> "tuple[Rehearsal, ...]":
    """The rehearsals, a player missing from those of a day: "2027-03-02:2"."""
    day, _, player = text.rpartition(":")
    try:
        on, number = date.fromisoformat(day.strip()), int(player)
    except ValueError:
        raise RequestError("Not a date and a player", f"{text!r} cannot be used", "write 2027-03-02:2") from None
    if all(rehearsal.start.date() != on for rehearsal in rehearsals):
        raise RequestError("No such rehearsal", f"there is none on {on}", "give the day of a rehearsal")
    return tuple(
        replace(rehearsal, missing=(*rehearsal.missing, number)) if rehearsal.start.date() == on else rehearsal
        for rehearsal in rehearsals
    )


def _date(text: str, option: str) -> date:
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise RequestError("Not a date", f"{option} {text!r} is not a date", "write 2027-03-14") from None


def _pair(text: str) -> tuple[int, int]:
    player, _, minutes = text.partition(":")
    try:
        return int(player), int(minutes)
    except ValueError:
        raise RequestError("Not a player and minutes", f"{text!r} cannot be used", "write 1:40") from None
