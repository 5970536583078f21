"""`inbreath concert plan`: one calendar over all pieces."""

from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.commands.command_common import json_option, print_json
from tui.option_numbers import number_option
from tui.progress_line import Progress

if TYPE_CHECKING:
    from score.concert.programme_plan import ProgrammePlan

concert_argument = click.argument("concert", type=click.Path(path_type=Path))


seconds_option = number_option(
    "--seconds",
    between=(1, 3600),
    default=10.0,
    show_default=True,
    metavar="SECONDS",
    help="How long to look for a better calendar.",
)


@click.command("plan", short_help="One calendar over all pieces, people called by block.")
@concert_argument
@seconds_option
@click.option("--out", type=click.Path(path_type=Path), metavar="DIR", help="Write the calendar's files there.")
@json_option
def plan(concert: Path, seconds: float, out: Path | None, as_json: bool) -> None:
    """Plan the rehearsals of CONCERT: who is called when, for which piece, and everybody's own days before them.

    What this computer knows of whoever practises here is taken into account: how ready the chunks are, and ten minutes
    a day by heart once questions have been answered or places lost by heart.
    """
    from tui.concert_opening import open_concert
    from tui.concert_planning import plan_concert

    with Progress() as progress:
        entry = open_concert(concert)
        calendar = plan_concert(entry, date.today(), seconds, progress)
    if out is not None:
        for path in _written(calendar, out, entry.stem):
            click.echo(str(path), err=True)
    from score.concert.programme_texts import programme_json, programme_text

    if as_json:
        print_json(programme_json(calendar))
    else:
        click.echo(programme_text(calendar))


def _written(calendar: "ProgrammePlan", out: Path, stem: str) -> tuple[Path, ...]:
    from score.concert.programme_files import write_programme

    return write_programme(calendar, out, stem, datetime.now().astimezone())
