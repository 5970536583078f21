"""`inbreath concert edit`: the concert's file begun, changed and shown."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from tui.commands.command_common import json_option, print_json
from tui.option_numbers import number_option

if TYPE_CHECKING:
    from score.concert.concert_edit import Edit


@click.command("edit", short_help="Begin or change the concert's file, or show it.")
@click.argument("concert", type=click.Path(path_type=Path))
@click.option("--title", metavar="TEXT", help="What the concert is called.")
@click.option("--date", "day", metavar="DATE", help="The day of the concert, 2027-03-14.")
@click.option("--hall", metavar="WxD", help="Width and depth of the stage in metres, 9x6.")
@number_option("--temperature", between=(-20, 50), metavar="DEGREES", help="Temperature of the hall, Celsius.")
@click.option("--hand", "hands", multiple=True, metavar="NAME", help="A stagehand who helps carry.")
@click.option("--piece", "pieces", multiple=True, metavar="SCORE", help="Add a score at the end of the programme.")
@click.option("--score", "scores", multiple=True, metavar="PIECE=SCORE", help="Where a piece's score is now.")
@click.option("--people", multiple=True, metavar="PIECE:A,B,..", help="Who plays parts 1, 2, ... of a piece.")
@click.option("--order", metavar="PIECE,..", help="The pieces in another order.")
@click.option("--first", metavar="PIECE", help="The piece that stays first when an order is looked for.")
@click.option("--last", metavar="PIECE", help="The piece that stays last.")
@click.option("--anywhere", multiple=True, metavar="PIECE", help="A piece that need not stay first or last any more.")
@click.option(
    "--person", "persons", multiple=True, metavar="NAME:MINUTES", help="How many minutes a day somebody practises."
)
@click.option(
    "--rehearsal",
    "rehearsals",
    multiple=True,
    metavar="DATE/MINUTES",
    help="Add a rehearsal, or change its length: 2027-03-02T19:00/120.",
)
@click.option(
    "--move", "moves", multiple=True, metavar="OLD=NEW", help="Move a rehearsal: 2027-03-02=2027-03-03T19:00."
)
@click.option("--missing", multiple=True, metavar="DATE:NAME", help="Who cannot come.")
@click.option("--late", multiple=True, metavar="DATE:NAME HH:MM", help='Somebody comes late: "2027-03-02:Ann 19:30".')
@click.option("--leaves", multiple=True, metavar="DATE:NAME HH:MM", help="Somebody has to leave early.")
@click.option("--comes", multiple=True, metavar="DATE:NAME", help="Who can come after all, from start to finish.")
@click.option(
    "--instrument",
    "instruments",
    multiple=True,
    metavar="NAME=KIND,SOURCE",
    help='An instrument you have: "old marimba=marimba,borrowed"; SOURCE is owned, borrowed or build.',
)
@click.option("--serves", multiple=True, metavar="NAME=PIECE,..", help="The pieces an instrument is for, or all.")
@click.option("--played-by", multiple=True, metavar="NAME=PERSON", help="Who plays an instrument, or anybody.")
@click.option("--moving", multiple=True, metavar="KIND:FIGURE=N", help="What moving takes: marimba:carriers=3.")
@number_option(
    "--visits", between=(1, 99), whole=True, metavar="N", help="In how many rehearsals each piece should come up."
)
@number_option("--set-up", between=(0, 120), metavar="MINUTES", help="Time it takes to set up for another piece.")
@click.option("--without", multiple=True, metavar="PIECE", help="Remove a piece.")
@click.option("--without-hand", multiple=True, metavar="NAME", help="Remove a stagehand.")
@click.option("--without-person", multiple=True, metavar="NAME", help="Back to the usual minutes a day for somebody.")
@click.option("--without-rehearsal", multiple=True, metavar="DATE", help="Remove a rehearsal.")
@click.option("--without-instrument", multiple=True, metavar="NAME", help="Remove an instrument.")
@click.option("--without-moving", multiple=True, metavar="KIND", help="Back to the usual figures for moving a kind.")
@json_option
def edit(concert: Path, as_json: bool, **asked: Any) -> None:
    """Begin CONCERT's file, change it, or without an option show what it says; comments in it stay."""
    from score.concert.concert_file import concert_path, read_concert
    from score.concert.concert_texts import concert_json, concert_text
    from tui.concert_wishes import concert_edits

    path = concert_path(concert)
    edits: list[Edit] = concert_edits(path, **asked)
    if edits:
        from score.concert.concert_edit import edit_concert

        changed = edit_concert(path, edits)[1]
    else:
        changed = read_concert(path)
    if as_json:
        print_json(concert_json(changed))
    else:
        click.echo(concert_text(changed))
        click.echo(str(path), err=True)
