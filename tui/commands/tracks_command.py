"""`inbreath tracks`: practice tracks to take along."""

from pathlib import Path
from typing import Any

import click

from score.errors import RequestError
from score.plain_text import file_stem
from tui.commands.command_common import json_option, open_score, print_json, score_argument
from tui.commands.play_options import heard_sources, play_options, track_options
from tui.commands.recording_options import check_ours, recorded_tracks
from tui.option_numbers import PLAYER, number_option
from tui.output_folder import default_folder
from tui.progress_line import Progress

KINDS = ("mid", "wav", "flac", "ogg", "mp3")


@click.command("tracks")
@score_argument
@click.option("--player", type=PLAYER, required=True, metavar="N", help="Whose tracks.")
@play_options
@click.option("--all", "everything", is_flag=True, help="A track for each chunk, and one of the whole.")
@click.option(
    "--as", "kinds", type=click.Choice(KINDS), multiple=True, help="Kinds of file; mid and mp3 where none is given."
)
@click.option(
    "--follow",
    multiple=True,
    metavar="TAKE",
    help="MIDI of your take: the others follow it. 2=TAKE beside it is another player's on the same clock.",
)
@click.option(
    "--after",
    "earlier",
    type=click.Path(path_type=Path),
    multiple=True,
    metavar="TAKE",
    help="MIDI of an earlier take, from which they know your time; may be repeated.",
)
@number_option(
    "--give",
    between=(0, 1),
    default=0.75,
    show_default=True,
    metavar="SHARE",
    help="How far the others go with you.",
)
@click.option(
    "--recording",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="A recording in place of the machine's players, your part softer in it; tracks get passed on, so with --ours.",
)
@click.option("--ours", is_flag=True, help="The recording is your group's own: it may go into tracks.")
@click.option("--out", type=click.Path(path_type=Path), metavar="DIR", help="Folder for the files.")
@json_option
def command(
    score: Path,
    player: int,
    everything: bool,
    kinds: tuple[str, ...],
    follow: tuple[str, ...],
    earlier: tuple[Path, ...],
    give: float,
    recording: Path | None,
    ours: bool,
    out: Path | None,
    **asked: Any,
) -> None:
    """Write tracks of SCORE for one player: the others with a click, one's own part left out or soft.

    With --recording and --ours they hold your group's own recording, slower or faster with --tempo. Play along with
    anybody else's: inbreath play SCORE --recording FILE.
    """
    if everything and (asked["chunk"] or asked["bars"]):
        raise RequestError("--all with --chunk", "--all was given with --chunk or --bars", "give one of them")
    if earlier and not follow:
        raise RequestError(
            "--after alone", "--after was given without --follow", "add --follow with the take to go with"
        )
    if everything and follow:
        raise RequestError("--all with --follow", "a take is of one passage", "name it with --chunk or --bars")
    check_ours(recording, ours, follow, kinds)
    with Progress() as progress:
        reading, group = open_score(score, progress)
        from score.playback.tracks import missing_voices, write_tracks

        piece = reading.piece
        options = track_options(piece, group, player, asked, kinds or (("mp3",) if recording else ("mid", "mp3")))
        passages = _passages(piece, group, everything, asked)
        sounding = _following(piece, group, options, follow, earlier, give) if follow else None
        if recording:
            sounding = recorded_tracks(piece, options, recording, progress)
        folder = out or default_folder(score)
        files = write_tracks(piece, passages, folder, file_stem(score), options, progress, sounding)
    for line in missing_voices(piece):
        click.echo(line, err=True)
    if asked["as_json"]:
        print_json([str(path) for path in files])
    else:
        click.echo("\n".join(str(path) for path in files))


def _passages(piece: Any, group: Any, everything: bool, asked: dict[str, Any]) -> Any:
    """What tracks are written of: one passage, or every chunk and the whole."""
    from score.chunks.division import divide
    from score.chunks.from_group import chunk_edits
    from score.playback.passage_finding import find_passage
    from score.playback.tracks import chunk_passages, whole_passage

    if not everything:
        return (find_passage(piece, group, asked["chunk"], asked["bars"]),)
    chunks = divide(piece, edits=chunk_edits(group, piece))
    return (*chunk_passages(piece, chunks), whole_passage(piece))


def _following(piece: Any, group: Any, options: Any, asked: tuple[str, ...], earlier: Any, give: float) -> Any:
    """What passages sound like when the others follow takes."""
    from score.following.followed_take import FollowOptions
    from score.following.followed_tracks import Takes, followed_track
    from score.following.from_group import group_leads
    from score.playback.played_notes import read_played_notes

    named = heard_sources(asked, options.player)
    notes = {number: read_played_notes(Path(name)) for number, name in named.items()}
    takes = Takes(notes, [read_played_notes(path) for path in earlier])
    leads = group_leads(group, piece)
    return lambda passage: followed_track(piece, passage, options, takes, FollowOptions(give), leads)
