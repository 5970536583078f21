"""`inbreath recording`: every bar of the piece in a recording of it, and what can be learnt from that."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from score.errors import RequestError
from tui.commands.command_common import json_option, keep_inputs, open_score, print_json, score_argument
from tui.commands.recording_options import heard_in
from tui.progress_line import Progress

if TYPE_CHECKING:
    from score.group.group_file import Group
    from score.piece import Piece
    from score.recording.heard_bars import HeardRecording


@click.command("recording")
@score_argument
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--csv", "as_csv", is_flag=True, help="Print one row per bar, for a spreadsheet.")
@click.option(
    "--beside",
    type=click.Path(path_type=Path),
    multiple=True,
    metavar="FILE",
    help="Compare with this other recording; may be repeated.",
)
@click.option("--chart", type=click.Path(path_type=Path), metavar="PDF", help="Draw its tempo against the score's.")
@click.option(
    "--protocol",
    type=click.Path(path_type=Path),
    metavar="MD",
    help="Write down what was really done in a recorded rehearsal.",
)
@json_option
def command(
    score: Path,
    file: Path,
    as_csv: bool,
    beside: tuple[Path, ...],
    chart: Path | None,
    protocol: Path | None,
    as_json: bool,
) -> None:
    """Find every bar of SCORE in FILE, a recording of it: WAV, FLAC, MP3 or OGG, up to three hours.

    Says where the music begins and ends, what was played in which order, where the group stopped and went on, how it is
    tuned, which bars are in doubt, and who is early or late where that can be told. To play along with it: inbreath
    play SCORE --recording FILE.

    A recording is used on your own machine only. It is never copied into parts or tracks to hand on, unless it is your
    group's own: inbreath tracks SCORE --player N --recording FILE --ours.
    """
    if as_csv and as_json:
        raise RequestError("--csv with --json", "both were asked for", "give one of them")
    keep_inputs(score, (file, *beside), {"--chart": chart, "--protocol": protocol})
    with Progress() as progress:
        reading, group = open_score(score, progress)
        heard = heard_in(reading.piece, file, progress)
        others = _named([(other, heard_in(reading.piece, other, progress)) for other in beside])
    for path in _written(reading.piece, group, heard, chart, protocol):
        click.echo(str(path), err=True)
    _print(reading.piece, heard, others, as_csv=as_csv, as_json=as_json)


def _named(others: "list[tuple[Path, HeardRecording]]") -> "dict[str, HeardRecording]":
    """Each by its file's name, or by its path where two files have one name."""
    names = [path.name for path, _ in others]
    return {str(path) if names.count(path.name) > 1 else path.name: heard for path, heard in others}


def _print(
    piece: "Piece", heard: "HeardRecording", others: "dict[str, HeardRecording]", *, as_csv: bool, as_json: bool
) -> None:
    from score.recording.comparison import comparison_json, comparison_lines
    from score.recording.recording_summary import recording_csv, recording_json, recording_summary

    for line in heard.notes if as_csv or as_json else ():
        click.echo(line, err=True)
    if as_json:
        beside = {"beside": comparison_json(piece, heard, others)} if others else {}
        print_json(recording_json(piece, heard) | beside)
    elif as_csv:
        click.echo(recording_csv(piece, heard, others))
    else:
        compared = ["", *comparison_lines(piece, heard, others)] if others else []
        click.echo("\n".join([recording_summary(piece, heard), *compared]))


def _written(
    piece: "Piece", group: "Group", heard: "HeardRecording", chart: Path | None, protocol: Path | None
) -> list[Path]:
    """The files that were asked for."""
    if chart is None and protocol is None:
        return []
    from score.chunks.division import divide
    from score.chunks.from_group import chunk_edits
    from score.group.agreements import TRIED, agreements
    from score.recording.rehearsal_protocol import protocol_of_recording
    from score.recording.tempo_chart import tempo_chart
    from score.takes.readiness import AT_TEMPO
    from score.writing import write_atomically

    chunks = divide(piece, edits=chunk_edits(group, piece))
    paths = []
    if chart is not None:
        paths.append(write_atomically(chart, tempo_chart(piece, heard, chunks)))
    if protocol is not None:
        tried = [matter.line for matter in agreements(piece, group) if matter.state == TRIED]
        text = protocol_of_recording(piece, heard, chunks, _planned(piece, group), tried, AT_TEMPO)
        paths.append(write_atomically(protocol, text.encode()))
    return paths


def _planned(piece: "Piece", group: "Group") -> dict[str, int]:
    """Minutes of each chunk and join in the rehearsal that was last, or comes first; empty without a plan."""
    from score.plan.from_group import group_concert, group_minutes, group_rehearsals
    from score.plan.plan import item_name
    from score.plan.plan_of_piece import plan_of

    concert, rehearsals = group_concert(group), sorted(group_rehearsals(group), key=lambda each: each.start)
    if concert is None or not rehearsals:
        return {}
    day = min(date.today(), rehearsals[0].start.date())
    plan = plan_of(piece, group, rehearsals, concert, day, group_minutes(group)).plan
    past = [index for index, each in enumerate(plan.inputs.rehearsals) if each.start.date() <= date.today()]
    minutes: dict[str, int] = {}
    for item in plan.items[past[-1] if past else 0]:
        name = item_name(plan.inputs, item).removeprefix("join ")
        minutes[name] = minutes.get(name, 0) + item.minutes
    return minutes
