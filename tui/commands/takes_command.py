"""`inbreath takes`: a recorded pass against the score, stroke by stroke; the passes that were kept; a chart of them."""

from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from score.errors import RequestError
from score.places import find_player
from tui.commands.command_common import json_option, keep_inputs, open_score, print_json, score_argument
from tui.option_numbers import PLAYER, TypedNumber
from tui.own_history import practising
from tui.progress_line import Progress

if TYPE_CHECKING:
    from score.group.group_file import Group
    from score.piece import Piece
    from score.takes.history import History
    from score.takes.kept_takes import KeptTake
    from tui.commands.takes_playing import AskedPass


@click.command("takes")
@score_argument
@click.argument("recordings", nargs=-1, type=click.Path(path_type=Path))
@click.option("--player", type=PLAYER, metavar="N", help="Whose pass.")
@click.option("--hear", type=click.Path(path_type=Path), metavar="FILE", help="The pass: WAV, FLAC, OGG, MP3 or MIDI.")
@click.option("--chunk", default="", metavar="NAME", help="The chunk that was played (C, C+8).")
@click.option("--bars", default="", metavar="BARS", help="The printed bars that were played, 17-32.")
@click.option("--tempo", default="100%", show_default=True, metavar="TEMPO", help="80%, or quarters a minute.")
@click.option(
    "--accompanied", type=click.Path(path_type=Path), metavar="MIX", help="What the loudspeakers played along."
)
@click.option("--delay", type=TypedNumber(), metavar="MS", help="How far FILE is behind the machine, if you know.")
@click.option(
    "--take",
    "number",
    type=TypedNumber((1, 1_000_000), whole=True),
    metavar="N",
    help="A pass that was kept, by its number in the list.",
)
@click.option(
    "--mixed", type=click.Path(path_type=Path), metavar="SOUND", help="Write the pass with the others in step."
)
@click.option("--listen", is_flag=True, help="Play the pass with the others in step.")
@click.option("--csv", "as_csv", is_flag=True, help="Print one row per stroke.")
@click.option(
    "--chart", type=click.Path(path_type=Path), metavar="PDF", help="Write a PDF of all passes, one page per chunk."
)
@click.option("--together", is_flag=True, help="RECORDINGS of one rehearsal: one file per player, or one channel each.")
@json_option
def command(
    score: Path,
    recordings: tuple[Path, ...],
    player: int | None,
    hear: Path | None,
    as_csv: bool,
    chart: Path | None,
    together: bool,
    number: int | None,
    as_json: bool,
    **asked: Any,
) -> None:
    """Judge a recorded pass of SCORE, or a whole rehearsal; without either, list the passes that were kept.

    With --json: strokes (bar: index from 0; at: quarters into the bar, "3/2"; state: early, together, late, missed,
    wrong, extra or unsure; offset_ms, negative is early; seconds in FILE; turn: which time the bar is played; hand:
    the printed sticking; expected_seconds), mean_ms with mean_ms_interval (95 %), or null and mean_why; spread_ms,
    delay_ms of FILE and delay_from (mix, count-in, given, clock, strokes or nothing), together_ms, remarks, lost (what
    was lost in a row: bar, at, last_bar, strokes), judged, and why when it is false. findings holds tempo (moved_ms:
    the last third against the first; words: rushing, dragging or nothing; start and end as shares of the tempo asked
    for), hands (left_later_ms), places (bar, at, step, after_rest, later_ms than the rest, passes of so many), partners
    (player, spread_ms, later_ms, words) and lost_strokes (bar, lost, written): each figure with its _interval, null
    where the strokes are too few. The list of kept passes has number, at, first_bar, last_bar, tempo, source, audio
    and by_heart besides. With --together: players (player, heard, written) and pairs (players, shared, mean_ms the
    second is later, asynchrony_ms, leader, bars with bar and mean_ms).
    """
    if together or recordings:
        _print_group(score, recordings, together, as_json, asked)
        return
    _check(player, hear, number, asked)
    keep_inputs(score, (hear, asked["accompanied"]), {"--chart": chart, "--mixed": asked["mixed"]})
    with Progress() as progress:
        reading, group = open_score(score, progress)
        piece = reading.piece
        kept = KeptHere(piece, player if number is None else None)
        named = None
        if hear is not None and player is not None:
            progress("listening", 0.5)
            named = _heard(piece, group, player, hear, asked)
        elif number is not None:
            named = _taken(piece, group, kept, number)
    if chart is not None:
        click.echo(str(_write_chart(piece, group, kept, named, asked["tempo"], chart)), err=True)
    if named is None:
        _print_kept(piece, kept, as_json, as_csv)
        return
    _print(piece, named, as_json, as_csv)
    if asked["mixed"] is not None or asked["listen"]:
        from tui.commands.takes_playing import play_back

        play_back(piece, named, asked["mixed"], asked["listen"])


def _check(player: int | None, hear: Path | None, number: int | None, asked: dict[str, Any]) -> None:
    if hear is not None and number is not None:
        raise RequestError("--hear with --take", "both name a pass", "give one of them")
    if hear is not None and player is None:
        raise RequestError("Whose pass", "no player is named", "add --player N")
    if hear is None and number is None and (asked["mixed"] is not None or asked["listen"]):
        raise RequestError("Nothing to play back", "no pass is named", "add --hear FILE, or --take N from the list")


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


def _print(piece: "Piece", named: "AskedPass", as_json: bool, as_csv: bool) -> None:
    from score.takes.findings_json import findings_json
    from score.takes.pass_json import pass_csv, pass_json
    from score.takes.pass_words import pass_words

    if as_json:
        print_json(pass_json(named.judged) | {"findings": findings_json(piece, named.over.player, (named.judged,))})
    elif as_csv:
        click.echo(pass_csv(named.judged), nl=False)
    else:
        click.echo("\n".join(pass_words(piece, named.over.player, named.judged)))


def _print_kept(piece: "Piece", kept: "KeptHere", as_json: bool, as_csv: bool) -> None:
    from score.takes.pass_json import takes_csv
    from score.takes.pass_words import findings_words
    from score.takes.takes_list import takes_json, takes_lines

    takes = kept.takes
    if as_json:
        print_json(takes_json(takes))
    elif as_csv:
        click.echo(takes_csv([(take.number, take.judged) for take in takes]), nl=False)
    elif not takes:
        click.echo("No passes are kept yet")
    else:
        lines = [*takes_lines(piece, takes), *findings_words(piece, kept.player, [take.judged for take in takes])]
        click.echo("\n".join(lines))


class KeptHere:
    """A player's passes over a piece in the history of this computer, which is opened once, when it is asked for.

    Args:
        piece: the piece.
        player: whose; whoever practises the piece here where None.

    Raises:
        RequestError: the piece has no such player.
    """

    def __init__(self, piece: "Piece", player: int | None) -> None:
        if player is not None:
            find_player(piece, player)
        self._piece, self._player = piece, player

    @cached_property
    def _history(self) -> "History | None":
        from score.takes.history import History
        from tui.settings import history_path

        return History(history_path()) if history_path().exists() else None

    @cached_property
    def player(self) -> int:
        """Number of the player."""
        mine = practising(self._history, self._piece) if self._history is not None else None
        return self._player or mine or 1

    @cached_property
    def takes(self) -> "tuple[KeptTake, ...]":
        """All of them, the earliest first."""
        from score.takes.kept_takes import KeptTakes

        return KeptTakes(self._history).of(self._piece.digest, self.player) if self._history is not None else ()

    def numbered(self, number: int) -> "KeptTake | None":
        """One pass, of whichever player."""
        from score.takes.kept_takes import KeptTakes

        return KeptTakes(self._history).numbered(self._piece.digest, number) if self._history is not None else None


def _write_chart(
    piece: "Piece", group: "Group", kept: "KeptHere", named: "AskedPass | None", tempo: str, path: Path
) -> Path:
    from datetime import UTC, datetime

    from score.chunks.division import divide
    from score.chunks.from_group import chunk_edits
    from score.takes.takes_chart import ChartPass, takes_chart
    from score.writing import write_atomically

    passes = [ChartPass(take.at, take.what.tempo, take.judged) for take in kept.takes]
    if named is not None and named.take is None:
        passes.append(ChartPass(datetime.now(UTC), _share(piece, tempo), named.judged))
    if not any(p.judged.judged for p in passes):
        raise RequestError(
            "Nothing to chart", "no judged pass is saved", "practise with hearing on, or name a recording"
        )
    chunks = divide(piece, edits=chunk_edits(group, piece))
    return write_atomically(path, takes_chart(piece, kept.player, chunks, passes))


def _share(piece: "Piece", tempo: str) -> float:
    from score.playback.passage_finding import parse_tempo

    scale, steady = parse_tempo(tempo)
    return scale if steady is None else steady / piece.tempi[0].quarters_per_minute


def _heard(piece: "Piece", group: "Group", player: int, hear: Path, asked: dict[str, Any]) -> "AskedPass":
    from score.playback.passage_finding import find_passage, parse_tempo
    from score.takes.heard_files import PassFile, heard_route, judge_file
    from score.takes.in_step import PassOver
    from score.time.from_group import pulse_options
    from tui.commands.takes_playing import AskedPass

    route = find_passage(piece, group, asked["chunk"], asked["bars"]).route
    pulse = pulse_options(group, piece, *parse_tempo(asked["tempo"]))
    delay = None if asked["delay"] is None else asked["delay"] / 1000
    judged = judge_file(piece, route, player, pulse, file=PassFile(hear, asked["accompanied"], delay))
    return AskedPass(PassOver(heard_route(piece, route, judged), player, pulse), judged, file=hear)


def _taken(piece: "Piece", group: "Group", kept: "KeptHere", number: int) -> "AskedPass":
    from score.takes.played_back import take_over
    from tui.commands.takes_playing import AskedPass

    take = kept.numbered(number)
    if take is None:
        raise RequestError("No such pass", f"no pass of this piece has number {number}", "list them without --take")
    return AskedPass(take_over(piece, group, take), take.judged, take=take)
