"""`inbreath prepare`: the main job in one word."""

from datetime import datetime
from pathlib import Path
from typing import Any

import click

from tui.commands.common import default_folder, json_option, open_score, score_argument
from tui.commands.part_options import CHECKER, part_options
from tui.commands.parts import engine_options, report
from tui.progress import Progress


@click.command("prepare")
@score_argument
@part_options
@click.option("--tracks", is_flag=True, help="Also a practice track of every chunk for every player (mp3).")
@json_option
def command(score: Path, tracks: bool, as_json: bool, **asked: Any) -> None:
    """Read SCORE and write everything its players need before the first rehearsal into one folder."""
    from score.cues.engravers import engravers
    from score.reading.apart import hearing_apart

    with Progress() as progress, hearing_apart() as listen, engravers([CHECKER]) as workers:
        options, folder = engine_options(asked), asked["out"] or default_folder(score)
        reading, group = open_score(
            score, progress, lambda outline: workers.begin(outline, options.players, options.level), listen
        )
        from score.prepare import prepare, prepare_tracks

        prepared = prepare(reading, group, folder, options, workers, progress, datetime.now().astimezone())
        if tracks:
            prepare_tracks(reading, group, folder, options.players, progress)
    for warning in reading.piece.warnings:
        click.echo(warning.line, err=True)
    report(reading.piece, prepared.parts, as_json)
    if not as_json:
        click.echo(f"Everything is in {prepared.folder}")
