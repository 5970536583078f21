"""`inbreath score`: the score for all players, with what the group works with written over it."""

from pathlib import Path

import click

from score.plain_text import several
from tui.commands.command_common import json_option, open_score, print_json, score_argument
from tui.option_numbers import number_option
from tui.output_folder import default_folder
from tui.progress_line import Progress

PAPERS = ("a4", "a3", "letter")


@click.command("score")
@score_argument
@click.option("--out", type=click.Path(path_type=Path), metavar="DIR", help="Folder for the file.")
@click.option("--paper", type=click.Choice(PAPERS), default="a4", show_default=True, help="Paper of the PDF.")
@click.option("--landscape", is_flag=True, help="The sheet lies on its long side.")
@number_option(
    "--staff-height",
    between=(3, 8),
    default=5.0,
    show_default=True,
    metavar="MM",
    help="Height of a five-line staff: 4 at a table, 5 on the stand, 6 on A3 or where the light is poor.",
)
@click.option("--curve", is_flag=True, help="Draw the tempo over bars that the group shapes.")
@json_option
def command(
    score: Path, out: Path | None, paper: str, landscape: bool, staff_height: float, curve: bool, as_json: bool
) -> None:
    """Print SCORE for all players together: staves that rest are hidden, chunks, leads and the group's words above."""
    with Progress() as progress:
        reading, group = open_score(score, progress)
        from score.chunks.division import divide
        from score.chunks.from_group import chunk_edits
        from score.parts.score_jobs import ScoreOptions
        from score.parts.write_score import printing_score

        progress("engraving", 0.0)
        chunks = divide(reading.piece, edits=chunk_edits(group, reading.piece))
        with printing_score(reading, group, ScoreOptions(paper, landscape, staff_height, curve=curve), chunks) as pages:
            printed = pages.write(out or default_folder(score))
    for warning in printed.warnings:
        click.echo(f"  {warning}", err=True)
    if as_json:
        print_json({"pdf": str(printed.pdf), "pages": printed.page_count, "warnings": list(printed.warnings)})
    else:
        count = several(printed.page_count, "page")
        click.echo(f"Score for all: {count}  {printed.pdf}")
