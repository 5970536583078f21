"""`inbreath recording`: every bar of the piece in a recording of it."""

from pathlib import Path

import click

from score.errors import RequestError
from tui.commands.command_common import json_option, open_score, print_json, score_argument
from tui.commands.recording_options import heard_in
from tui.progress_line import Progress


@click.command("recording")
@score_argument
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--csv", "as_csv", is_flag=True, help="Print a row for each bar, for a spreadsheet.")
@json_option
def command(score: Path, file: Path, as_csv: bool, as_json: bool) -> None:
    """Find every bar of SCORE in FILE, a recording of it: WAV, FLAC, MP3 or OGG, up to three hours.

    Says where the music begins and ends, what was played in which order, where the group stopped and went on, how it is
    tuned, and which bars are in doubt. Another group's recording is for practising on your own machine; nothing of it
    goes into parts or tracks.
    """
    if as_csv and as_json:
        raise RequestError("--csv with --json", "both were asked for", "give one of them")
    with Progress() as progress:
        reading, _ = open_score(score, progress)
        heard = heard_in(reading.piece, file, progress)
    from score.recording.recording_summary import recording_csv, recording_json, recording_summary

    for line in heard.notes if as_csv or as_json else ():
        click.echo(line, err=True)
    if as_json:
        print_json(recording_json(heard))
    else:
        click.echo(recording_csv(reading.piece, heard) if as_csv else recording_summary(reading.piece, heard))
