"""`inbreath setup`: does the part fit the instruments, the hands and the time for changes?"""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from score.plain_text import file_stem
from tui.commands.command_common import json_option, open_score, print_json, score_argument
from tui.option_numbers import PLAYER
from tui.progress_line import Progress

if TYPE_CHECKING:
    from score.group.group_file import Group
    from score.piece import Piece
    from score.setup.setup_check import SetupReport


@click.command("setup")
@score_argument
@click.option("--out", type=click.Path(path_type=Path), metavar="DIR", help="Write findings, gear list and plan there.")
@click.option("--stickings", type=PLAYER, metavar="N", help="Print suggested stickings for player N instead.")
@click.option("--limits", "show_limits", is_flag=True, help="Print every limit with its source instead.")
@click.option("--instruments", is_flag=True, help="Print what is known of the score's instruments instead.")
@json_option
def command(
    score: Path, out: Path | None, stickings: int | None, show_limits: bool, instruments: bool, as_json: bool
) -> None:
    """Check SCORE against ranges, hands, shared instruments and time for changes; list what to carry."""
    _one_at_a_time(
        {"--stickings": stickings is not None, "--limits": show_limits, "--instruments": instruments}, out is not None
    )
    with Progress() as progress:
        reading, group = open_score(score, progress)
    from score.setup.setup_check import check
    from score.setup.setup_texts import setup_json, setup_text, write_setup

    piece = reading.piece
    if show_limits:
        _limits(group, as_json)
        return
    if instruments:
        _instruments(piece, group, as_json)
        return
    if stickings is not None:
        _stickings(piece, group, stickings, as_json)
        return
    report = check(piece, group)
    if out is not None:
        for path in write_setup(piece, report, out, file_stem(score)):
            click.echo(str(path), err=True)
    if as_json:
        print_json(setup_json(piece, report))
    else:
        click.echo(setup_text(piece, report))
        _way_to_tubes(score, report)


def _way_to_tubes(score: Path, report: "SetupReport") -> None:
    """The command that works out the tubes for an instrument of the gear list that can be made of pipe."""
    from score.setup.gear_list import to_build

    item = to_build(report.gear)
    if item is not None:
        click.echo("")
        click.echo(f'  inbreath tubes --score "{score}" --player {item.players[0]} --instrument "{item.what}"')


def _one_at_a_time(instead: dict[str, bool], out: bool) -> None:
    """What is printed instead of the check is one thing, and is not written."""
    from score.errors import RequestError

    instead_of = [name for name, there in instead.items() if there]
    together = [*instead_of, *(["--out"] if out and instead_of else [])]
    if len(together) > 1:
        what = f"{' and '.join(together)} do not go together"
        raise RequestError("Too many options", what, "ask for one at a time, and send what is printed to a file with >")


def _limits(group: "Group", as_json: bool) -> None:
    from score.setup.from_group import limits_of
    from score.setup.limits import table_of

    rows = list(table_of(limits_of(group)))
    if as_json:
        print_json({"limits": [{"name": name, "figure": figure, "source": source} for name, figure, source in rows]})
        return
    for name, figure, source in rows:
        click.echo(f"{name} = {figure:g}   {source}")


def _instruments(piece: "Piece", group: "Group", as_json: bool) -> None:
    from score.setup.from_group import fittings_of
    from score.setup.setup_tables import instrument_lines, instrument_rows

    fittings = fittings_of(group)
    if as_json:
        print_json({"instruments": instrument_rows(piece, fittings)})
        return
    for line in instrument_lines(piece, fittings):
        click.echo(line)


def _stickings(piece: "Piece", group: "Group", number: int, as_json: bool) -> None:
    from score.beats import quarters_text
    from score.places import find_player
    from score.setup.setup_check import suggested_stickings
    from score.setup.suggested_stickings import stickings_text

    player = find_player(piece, number)
    stickings = suggested_stickings(piece, group, player)
    if as_json:
        rows = [
            {"bar": bar, "at": quarters_text(at), "mallets": each.mallets, "notes": list(each.notes)}
            for (bar, at), each in stickings.items()
        ]
        print_json({"player": number, "stickings": rows})
        return
    click.echo(stickings_text(piece, player, stickings))
