"""`inbreath prepare`: the main job in one word."""

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from score.plain_text import several
from tui.commands.command_common import json_option, score_argument
from tui.commands.part_options import part_options
from tui.commands.parts_command import begun, report, say_parts
from tui.output_folder import default_folder
from tui.progress_line import Progress

if TYPE_CHECKING:
    from score.parts.write_score import ScoreFile


@click.command("prepare")
@score_argument
@part_options
@click.option("--tracks", is_flag=True, help="Also a practice track of every chunk for every player (mp3).")
@json_option
def command(score: Path, tracks: bool, as_json: bool, **asked: Any) -> None:
    """Read SCORE and write everything its players need before the first rehearsal into one folder."""
    with (
        Progress() as progress,
        begun(score, asked, progress, with_score=not asked["changed"]) as (kept, options, workers),
    ):
        from score.parts.all_parts import begin_all_parts

        reading, group, folder = kept.read(), kept.group, asked["out"] or default_folder(score)
        progress("engraving", 0.0)
        printing = begin_all_parts(reading, group, folder, options, workers)
        kept.keep()
        if asked["changed"]:
            say_parts(reading.piece, printing.write(progress), as_json, True)
            return
        # Loaded while the parts are made.
        from score.prepare import prepare, prepare_tracks

        prepared = prepare(reading, group, folder, printing, progress, datetime.now().astimezone())
        if tracks:
            prepare_tracks(reading, group, prepared.division, folder, options.players, progress)
    for warning in reading.piece.warnings:
        click.echo(warning.line, err=True)
    report(reading.piece, prepared.parts, as_json)
    if not as_json:
        _say_score(prepared.score)
        click.echo(f"Everything is in {prepared.folder}")


def _say_score(score: "ScoreFile | str") -> None:
    if isinstance(score, str):
        click.echo(score, err=True)
        return
    click.echo(f"Score for all: {several(score.page_count, 'page')}  {score.pdf}")
    for warning in score.warnings:
        click.echo(f"  {warning}", err=True)
