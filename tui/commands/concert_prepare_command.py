"""`inbreath concert prepare`: a folder for everybody."""

from datetime import date, datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from score.plain_text import several
from tui.commands.command_common import json_option, print_json
from tui.commands.concert_plan_command import concert_argument, seconds_option
from tui.commands.part_options import CHECKERS, LEVELS, PAPERS
from tui.commands.tracks_command import KINDS
from tui.option_numbers import number_option
from tui.progress_line import Progress

if TYPE_CHECKING:
    from score.concert.concert_prepare import PreparedConcert
    from score.concert.concert_values import Concert


@click.command("prepare", short_help="A folder for everybody, pages for group and stage.")
@concert_argument
@click.option("--out", type=click.Path(path_type=Path), metavar="DIR", help="Folder for everything.")
@click.option(
    "--as",
    "kinds",
    type=click.Choice(KINDS),
    multiple=True,
    default=("mid",),
    show_default=True,
    help="Kinds of practice tracks; sound files take a while.",
)
@click.option("--no-tracks", is_flag=True, help="No practice tracks.")
@click.option("--cues", type=click.Choice(LEVELS), default="usual", show_default=True, help="How much is cued.")
@click.option("--paper", default="a4", show_default=True, metavar="PAPER", help=f"Of the parts: {', '.join(PAPERS)}.")
@number_option(
    "--staff-height",
    between=(4, 12),
    default=7.5,
    show_default=True,
    metavar="MM",
    help="Height of the five-line staff.",
)
@seconds_option
@json_option
def prepare(concert: Path, out: Path | None, as_json: bool, **asked: Any) -> None:
    """Write a folder for each person of CONCERT: parts in its order, set-up sketches, own days, tracks; group pages."""
    from tui.concert_opening import open_concert

    entry = open_concert(concert)
    folder = out or entry.folder
    with Progress() as progress:
        written = _prepared(entry, folder, asked, progress)
    for warning in written.warnings:
        click.echo(warning, err=True)
    if as_json:
        print_json(_json(written))
    else:
        click.echo("\n".join(_lines(written)))


def _prepared(entry: "Concert", folder: Path, asked: dict[str, Any], progress: Progress) -> "PreparedConcert":
    from score.concert.concert_prepare import ConcertWishes, prepare_concert
    from score.concert.concert_setup import concert_setup
    from score.cues.sheet import Level
    from score.parts.engraving_processes import engravers
    from score.parts.paper import PageOptions, paper_named
    from score.parts.write_parts import PartOptions
    from tui.concert_opening import open_pieces
    from tui.concert_own import own_state_here
    from tui.concert_planning import plan_pieces

    paper_named(asked["paper"])
    pieces = open_pieces(entry, progress)
    setup = concert_setup(entry, pieces)
    own = own_state_here(entry, pieces)
    plan = plan_pieces(entry, pieces, setup, date.today(), asked["seconds"], own, progress)
    parts = PartOptions((), Level(asked["cues"]), PageOptions(asked["paper"], asked["staff_height"]))
    tracks = () if asked["no_tracks"] else tuple(asked["kinds"])
    wishes = ConcertWishes(folder, parts, tracks, stamp=datetime.now().astimezone())
    return prepare_concert(entry, pieces, setup, plan, wishes, partial(engravers, CHECKERS), progress)


def _lines(written: "PreparedConcert") -> list[str]:
    lines = []
    for person in written.people:
        tracks = f", {several(len(person.tracks), 'track')}" if person.tracks else ""
        lines.append(f"{person.person}: {several(len(person.parts), 'part')}{tracks}  {person.folder}")
    lines += [f"For everybody: {written.group}", f"For the stage: {written.stage}"]
    if not written.calendar:
        lines.append("No calendar: the concert's file gives no date, or no rehearsal to come.")
    return [*lines, f"Everything is in {written.folder}"]


def _json(written: "PreparedConcert") -> dict[str, object]:
    return {
        "folder": str(written.folder),
        "people": [
            {
                "person": person.person,
                "folder": str(person.folder),
                "sheet": str(person.sheet),
                "parts": list(map(str, person.parts)),
                "calendar": str(person.calendar) if person.calendar else None,
                "tracks": list(map(str, person.tracks)),
            }
            for person in written.people
        ],
        "group": str(written.group),
        "stage": str(written.stage),
        "calendar": list(map(str, written.calendar)),
        "warnings": list(written.warnings),
    }
