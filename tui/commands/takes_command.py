"""`inbreath takes`: a recorded pass against the score, stroke by stroke; the passes that were kept; a chart of them."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from score.errors import RequestError
from tui.commands.command_common import json_option, open_score, print_json, score_argument
from tui.progress_line import Progress

if TYPE_CHECKING:
    from score.group.group_file import Group
    from score.piece import Piece
    from score.takes.judged_pass import JudgedPass
    from score.takes.kept_takes import KeptTake


@click.command("takes")
@score_argument
@click.argument("recordings", nargs=-1, type=click.Path(path_type=Path))
@click.option("--player", type=int, metavar="N", help="Whose pass.")
@click.option("--hear", type=click.Path(path_type=Path), metavar="FILE", help="The pass: WAV, FLAC, OGG, MP3 or MIDI.")
@click.option("--chunk", default="", metavar="NAME", help="The chunk that was played (C, C+8).")
@click.option("--bars", default="", metavar="BARS", help="The printed bars that were played, 17-32.")
@click.option("--tempo", default="100%", show_default=True, metavar="TEMPO", help="80%, or quarters a minute.")
@click.option(
    "--accompanied", type=click.Path(path_type=Path), metavar="MIX", help="What the loudspeakers played along."
)
@click.option("--delay", type=float, metavar="MS", help="How far FILE runs behind the machine, where that is known.")
@click.option("--csv", "as_csv", is_flag=True, help="Print a row a stroke.")
@click.option("--chart", type=click.Path(path_type=Path), metavar="PDF", help="Write a page a chunk of all passes.")
@click.option("--together", is_flag=True, help="RECORDINGS of one rehearsal: a file a player, or a channel each.")
@json_option
def command(
    score: Path,
    recordings: tuple[Path, ...],
    player: int | None,
    hear: Path | None,
    as_csv: bool,
    chart: Path | None,
    together: bool,
    as_json: bool,
    **asked: Any,
) -> None:
    """Judge a recorded pass of SCORE, or a whole rehearsal; without either, list the passes that were kept.

    With --json: strokes (bar: index from 0; at: quarters into the bar, "3/2"; state: early, together, late, missed,
    wrong, extra or unsure; offset_ms, negative is early; seconds in FILE), mean_ms with mean_ms_interval (95 %),
    spread_ms, delay_ms of FILE, judged, and why when it is false.
    """
    if together or recordings:
        _print_group(score, recordings, together, as_json, asked)
        return
    if hear is not None and player is None:
        raise RequestError("Whose pass", "no player is named", "add --player N")
    with Progress() as progress:
        reading, group = open_score(score, progress)
        piece = reading.piece
        judgement = None
        if hear is not None and player is not None:
            progress("listening", 0.5)
            judgement = _judged(piece, group, player, hear, asked)
    if chart is not None:
        click.echo(str(_write_chart(piece, group, player, judgement, asked["tempo"], chart)), err=True)
    if judgement is None or player is None:
        _print_kept(piece, player, as_json, as_csv)
    else:
        _print(piece, player, judgement, as_json, as_csv)


def _print_group(
    score: Path, recordings: tuple[Path, ...], together: bool, as_json: bool, asked: dict[str, Any]
) -> None:
    if not (together and recordings):
        raise RequestError(
            "Nothing to hear", "recordings go with --together", "write inbreath takes SCORE --together FILE FILE …"
        )
    with Progress() as progress:
        reading, group = open_score(score, progress)
        from score.playback.passage_finding import find_passage
        from score.takes.group_files import hear_files
        from score.takes.group_timing import pair_timings
        from score.takes.group_words import group_json, group_words

        progress("listening", 0.5)
        heard = hear_files(
            reading.piece, find_passage(reading.piece, group, asked["chunk"], asked["bars"]).route, recordings
        )
        pairs = pair_timings(heard)
    if as_json:
        print_json(group_json(heard, pairs))
    else:
        click.echo("\n".join(group_words(reading.piece, heard, pairs)))


def _print(piece: "Piece", player: int, judgement: "JudgedPass", as_json: bool, as_csv: bool) -> None:
    from score.takes.pass_json import pass_csv, pass_json
    from score.takes.pass_words import pass_words

    if as_json:
        print_json(pass_json(judgement))
    elif as_csv:
        click.echo(pass_csv(judgement), nl=False)
    else:
        click.echo("\n".join(pass_words(piece, player, judgement)))


def _print_kept(piece: "Piece", player: int | None, as_json: bool, as_csv: bool) -> None:
    from score.takes.pass_json import takes_csv
    from score.takes.pass_words import findings_words
    from score.takes.takes_list import takes_json, takes_lines

    number, takes = _kept(piece, player)
    if as_json:
        print_json(takes_json(takes))
    elif as_csv:
        click.echo(takes_csv([take.judged for take in takes]), nl=False)
    elif not takes:
        click.echo("No passes are kept yet")
    else:
        lines = [*takes_lines(piece, takes), *findings_words(piece, number, [take.judged for take in takes])]
        click.echo("\n".join(lines))


def _kept(piece: "Piece", player: int | None) -> "tuple[int, tuple[KeptTake, ...]]":
    """Who is meant, and this player's passes in the history of this computer."""
    from score.places import find_player
    from score.takes.history import History
    from score.takes.kept_takes import KeptTakes
    from tui.settings import history_path

    if player is not None:
        find_player(piece, player)
    if not history_path().exists():
        return player or 1, ()
    history = History(history_path())
    mine = next((kept.player for kept in history.pieces() if kept.digest == piece.digest), None)
    number = player or mine or 1
    return number, KeptTakes(history).of(piece.digest, number)


def _write_chart(
    piece: "Piece", group: "Group", player: int | None, judgement: "JudgedPass | None", tempo: str, path: Path
) -> Path:
    from datetime import UTC, datetime

    from score.chunks.division import divide
    from score.chunks.from_group import chunk_edits
    from score.takes.takes_chart import ChartPass, takes_chart
    from score.writing import write_atomically

    number, takes = _kept(piece, player)
    passes = [ChartPass(take.at, take.what.tempo, take.judged) for take in takes]
    if judgement is not None:
        passes.append(ChartPass(datetime.now(UTC), _share(piece, tempo), judgement))
    if not any(p.judged.judged for p in passes):
        raise RequestError(
            "Nothing to chart", "no judged pass is saved", "practise with hearing on, or name a recording"
        )
    chunks = divide(piece, edits=chunk_edits(group, piece))
    return write_atomically(path, takes_chart(piece, number, chunks, passes))


def _share(piece: "Piece", tempo: str) -> float:
    from score.playback.passage_finding import parse_tempo

    scale, steady = parse_tempo(tempo)
    return scale if steady is None else steady / piece.tempi[0].quarters_per_minute


def _judged(piece: "Piece", group: "Group", player: int, hear: Path, asked: dict[str, Any]) -> "JudgedPass":
    from score.playback.passage_finding import find_passage, parse_tempo
    from score.takes.heard_files import PassFile, judge_file
    from score.time.from_group import pulse_options

    route = find_passage(piece, group, asked["chunk"], asked["bars"]).route
    scale, steady = parse_tempo(asked["tempo"])
    delay = None if asked["delay"] is None else asked["delay"] / 1000
    file = PassFile(hear, asked["accompanied"], delay)
    return judge_file(piece, route, player, pulse_options(group, piece, scale, steady), file=file)
