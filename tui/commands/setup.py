"""`inbreath setup`: does the part fit the instruments, the hands and the time between?"""

from pathlib import Path

import click

from tui.commands.common import json_option, open_score, print_json, score_argument
from tui.progress import Progress


@click.command("setup")
@score_argument
@click.option("--out", type=click.Path(path_type=Path), metavar="DIR", help="Write findings, gear list and plan there.")
@click.option("--stickings", type=int, metavar="N", help="Print suggested stickings for player N instead.")
@click.option("--limits", "show_limits", is_flag=True, help="Print every limit with its source instead.")
@json_option
def command(score: Path, out: Path | None, stickings: int | None, show_limits: bool, as_json: bool) -> None:
    """Check SCORE against ranges, hands, shared instruments and the time between; list what to carry."""
    with Progress() as progress:
        reading, group = open_score(score, progress)
    from score.setup.check import check
    from score.setup.limits import limits_of, table_of
    from score.setup.texts import setup_json, setup_text, write_setup

    piece = reading.piece
    if show_limits:
        for name, figure, source in table_of(limits_of(group)):
            click.echo(f"{name} = {figure:g}   {source}")
        return
    if stickings is not None:
        _stickings(piece, group, stickings)
        return
    report = check(piece, group)
    if out is not None:
        for path in write_setup(piece, report, out, score.stem):
            click.echo(str(path), err=True)
    if as_json:
        print_json(setup_json(piece, report))
    else:
        click.echo(setup_text(piece, report))


def _stickings(piece: object, group: object, number: int) -> None:
    from score.group import Group
    from score.piece import Piece
    from score.places import bar_name, find_player
    from score.playback.pulse import tempo_map
    from score.setup.hands import suggested
    from score.setup.limits import limits_of

    assert isinstance(piece, Piece)
    assert isinstance(group, Group)
    player = find_player(piece, number)
    bars: dict[int, list[str]] = {}
    for (bar, _), hands in suggested(piece, player, tempo_map(piece), limits_of(group)).items():
        bars.setdefault(bar, []).append(hands)
    for bar, dealt in bars.items():
        click.echo(f"bar {bar_name(piece, bar)}: {' '.join(dealt)}")
