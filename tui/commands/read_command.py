"""`inbreath read`: what a score holds."""

from pathlib import Path

import click

from tui.commands.command_common import json_option, open_score, print_json, score_argument
from tui.progress_line import Progress


@click.command("read")
@score_argument
@json_option
def command(score: Path, as_json: bool) -> None:
    """Print what SCORE holds: players, instruments, bars, length, tempi, marks, and every repair."""
    with Progress() as progress:
        reading, _ = open_score(score, progress)
    from score.reading.score_summary import piece_json, piece_summary

    if as_json:
        print_json(piece_json(reading.piece))
    else:
        click.echo(piece_summary(reading.piece))
