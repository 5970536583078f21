"""`inbreath concert setup`: gear, stage plans, changes, the van."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.commands.command_common import json_option, print_json
from tui.commands.concert_plan_command import concert_argument
from tui.progress_line import Progress

if TYPE_CHECKING:
    from score.concert.concert_pieces import ConcertPiece
    from score.concert.concert_setup import ConcertSetup
    from score.concert.concert_values import Concert


@click.command("setup", short_help="Gear, stage plans, changes, order, the van's load.")
@concert_argument
@click.option("--out", type=click.Path(path_type=Path), metavar="DIR", help="Write pages for the stage hands there.")
@click.option("--reorder", is_flag=True, help="Put the pieces into the order that takes the least time to change.")
@click.option("--moving", is_flag=True, help="Print what moving each instrument takes instead.")
@json_option
def setup(concert: Path, out: Path | None, reorder: bool, moving: bool, as_json: bool) -> None:
    """List what CONCERT needs, where it stands in the hall, what changes between its pieces, and the van's load."""
    from tui.concert_opening import open_concert, open_pieces

    with Progress() as progress:
        entry = open_concert(concert)
        pieces = open_pieces(entry, progress)
    from score.concert.concert_setup import concert_setup
    from score.concert.stage_texts import setup_as_json, setup_lines

    whole = concert_setup(entry, pieces)
    if reorder:
        entry, pieces = _reordered(entry, pieces, whole)
        whole = concert_setup(entry, pieces)
    if moving:
        _print_moving(entry, whole, as_json)
        return
    if out is not None:
        from score.concert.stage_sheet import write_stage_sheet

        click.echo(str(write_stage_sheet(entry, whole, out)), err=True)
    if as_json:
        print_json(setup_as_json(entry, whole))
    else:
        click.echo(setup_lines(entry, whole))


def _reordered(
    entry: "Concert", pieces: "tuple[ConcertPiece, ...]", whole: "ConcertSetup"
) -> "tuple[Concert, tuple[ConcertPiece, ...]]":
    """The concert in the order that takes least, in its file too."""
    from score.concert.concert_edit import edit_concert, in_order

    order = whole.order.order
    names = [pieces[position].name for position in order]
    changed = edit_concert(entry.path, [in_order(names)])[1]
    return changed, tuple(pieces[position] for position in order)


def _print_moving(entry: "Concert", whole: "ConcertSetup", as_json: bool) -> None:
    from score.concert.moving import SOURCE, moving, moving_lines

    kinds = [item.key for item in whole.gear if item.kind == "instrument"]
    if as_json:
        rows = [moving(kind, entry.moving) for kind in kinds]
        print_json({"moving": [{**row._asdict(), "source": "" if row.own else SOURCE} for row in rows]})
        return
    for line in moving_lines(kinds, entry.moving):
        click.echo(line)
