"""`inbreath takes`: a recorded pass against the score, stroke by stroke."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from score.errors import RequestError
from tui.commands.command_common import json_option, open_score, print_json, score_argument
from tui.progress_line import Progress

if TYPE_CHECKING:
    from score.piece import Piece
    from score.playback.recording_file import Recording
    from score.takes.expected_strokes import ExpectedPass
    from score.takes.judged_pass import JudgedPass
    from score.time.pulse import PulseOptions


@click.command("takes")
@score_argument
@click.option("--player", type=int, metavar="N", help="Whose pass.")
@click.option(
    "--hear", type=click.Path(path_type=Path), metavar="FILE", help="WAV, FLAC, OGG, MP3 or MIDI of the pass."
)
@click.option("--chunk", default="", metavar="NAME", help="The chunk that was played (C, C+8).")
@click.option("--bars", default="", metavar="BARS", help="The printed bars that were played, 17-32.")
@click.option("--tempo", default="100%", show_default=True, metavar="TEMPO", help="80%, or quarters a minute.")
@click.option(
    "--accompanied", type=click.Path(path_type=Path), metavar="MIX", help="What the loudspeakers played along."
)
@click.option("--delay", type=float, metavar="MS", help="How far FILE runs behind the machine, where that is known.")
@json_option
def command(score: Path, player: int | None, hear: Path | None, as_json: bool, **asked: Any) -> None:
    """Judge a recorded pass of SCORE: which strokes were early, together, late, missed, wrong or extra.

    With --json: strokes (bar: index from 0; at: quarters into the bar, "3/2"; state; offset_ms, negative is early;
    seconds in FILE), mean_ms with mean_ms_interval (95 %), spread_ms, delay_ms of FILE, judged, and why when it is
    false.
    """
    if hear is None or player is None:
        raise RequestError("Nothing to hear", "no recording is named", "inbreath takes SCORE --player N --hear FILE")
    with Progress() as progress:
        reading, group = open_score(score, progress)
        judgement = _judged(reading.piece, group, player, hear, asked)
    if as_json:
        from score.takes.pass_json import pass_json

        print_json(pass_json(judgement))
    else:
        from score.takes.pass_words import pass_words

        click.echo("\n".join(pass_words(reading.piece, player, judgement)))


def _judged(piece: "Piece", group: Any, player: int, hear: Path, asked: dict[str, Any]) -> "JudgedPass":
    from score.places import find_player
    from score.playback.passage_finding import find_passage, parse_tempo
    from score.takes.expected_strokes import expected_pass
    from score.time.from_group import pulse_options

    name = find_player(piece, player).name
    scale, steady = parse_tempo(asked["tempo"])
    pulse = pulse_options(group, piece, scale, steady)
    expected = expected_pass(piece, find_passage(piece, group, asked["chunk"], asked["bars"]).route, player, pulse)
    if not expected.strokes:
        raise RequestError("Nothing to judge", f"{name} does not play in these bars", "choose other bars")
    delay = None if asked["delay"] is None else asked["delay"] / 1000
    if hear.suffix.lower() in (".mid", ".midi"):
        return _of_midi(expected, hear, delay)
    return _of_sound(piece, expected, pulse, player, hear, delay, asked["accompanied"])


def _of_midi(expected: "ExpectedPass", hear: Path, delay: float | None) -> "JudgedPass":
    from score.playback.played_notes import read_played_notes
    from score.strokes.heard_stroke import MIDI, HeardStroke
    from score.takes.played_pass import judge_played

    heard = [HeardStroke(note.moment, note.velocity / 127, note.pitch, source=MIDI) for note in read_played_notes(hear)]
    return judge_played(expected, heard, delay)


def _of_sound(
    piece: "Piece",
    expected: "ExpectedPass",
    pulse: "PulseOptions",
    player: int,
    hear: Path,
    delay: float | None,
    accompanied: Path | None,
) -> "JudgedPass":
    from score.playback.recording_file import read_recording
    from score.takes.mix_alignment import along_mix
    from score.takes.sound_pass import PassHints, judge_sound

    recording: Recording = read_recording(hear)
    mix = along_mix(piece, expected, pulse, player, read_recording(accompanied).samples) if accompanied else None
    return judge_sound(expected, recording.samples, PassHints(mix, delay, clips=recording.clips))
