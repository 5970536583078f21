"""`inbreath chunks`: where a score divides and what each part of it asks."""

from pathlib import Path

import click

from tui.commands.command_common import json_option, open_score, print_json, score_argument
from tui.option_numbers import number_option
from tui.progress_line import Progress


@click.command("chunks")
@score_argument
@number_option(
    "--shortest",
    between=(5, 600),
    default=20.0,
    show_default=True,
    metavar="SECONDS",
    help="Shortest chunk wanted, at tempo.",
)
@number_option(
    "--longest",
    between=(5, 600),
    default=45.0,
    show_default=True,
    metavar="SECONDS",
    help="Longest chunk wanted, at tempo.",
)
@json_option
def command(score: Path, shortest: float, longest: float, as_json: bool) -> None:
    """Print the chunks of SCORE: bars, length, why they begin there, what they ask of whom, who leads or might."""
    with Progress() as progress:
        reading, group = open_score(score, progress)
    from score.chunks.chunk import ChunkOptions
    from score.chunks.demands import demands
    from score.chunks.division import divide
    from score.chunks.explain import chunks_json, chunks_text
    from score.chunks.from_group import chunk_edits

    edits = chunk_edits(group, reading.piece)
    chunks = divide(reading.piece, ChunkOptions(shortest, longest), edits)
    asked = demands(reading.piece, chunks, edits)
    if as_json:
        print_json(chunks_json(reading.piece, chunks, asked))
    else:
        from tui.proposal_facts import entry_lines

        click.echo(chunks_text(reading.piece, chunks, asked))
        entries = entry_lines(reading.piece, group)
        if entries:
            click.echo("\n" + "\n".join(entries))
