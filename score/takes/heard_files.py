"""A pass from a file: sound or MIDI, with what was played along where that is there too."""

from collections.abc import Sequence
from math import isfinite
from pathlib import Path
from typing import NamedTuple

from score.errors import RequestError
from score.piece import Piece
from score.places import find_player
from score.playback.played_notes import read_played_notes
from score.playback.recording_file import read_recording
from score.strokes.heard_stroke import MIDI, HeardStroke
from score.takes.expected_strokes import ExpectedPass, expected_pass
from score.takes.judged_pass import JudgedPass
from score.takes.mix_alignment import along_mix
from score.takes.played_pass import judge_played
from score.takes.sound_pass import PassHints, judge_sound
from score.time.pulse import PulseOptions
from score.time.route import Route, whole, without_repeats

MIDI_ENDINGS = (".mid", ".midi")


class PassFile(NamedTuple):
    """A recorded pass.

    Attributes:
        path: sound or MIDI, by its ending.
        mix: sound of what the loudspeakers played along, None for none.
        delay: seconds the recording runs behind the machine, None where nobody knows.
    """

    path: Path
    mix: Path | None = None
    delay: float | None = None


def judge_file(piece: Piece, route: Route, player: int, pulse: PulseOptions, *, file: PassFile) -> JudgedPass:
    """Judge a recorded pass.

    Args:
        piece: the piece.
        route: what was played.
        player: number of the player.
        pulse: the time it was played in.
        file: the recording.

    Raises:
        RequestError: there is no such player, nothing is written there, or a file cannot be used.
    """
    name = find_player(piece, player).name
    ways = [route]
    if route == whole(piece) and (once := without_repeats(piece)) != route:
        ways.append(once)
    expected = [expected_pass(piece, way, player, pulse) for way in ways]
    if not expected[0].strokes:
        raise RequestError("Nothing to judge", f"{name} does not play in these bars", "choose other bars")
    judgements = _judgements(piece, player, pulse, file, expected)
    if len(judgements) > 1 and _likeness(judgements[1]) > _likeness(judgements[0]):
        return judgements[1]._replace(remarks=(*judgements[1].remarks, ONCE))
    return judgements[0]


def heard_route(piece: Piece, route: Route, judged: JudgedPass) -> Route:
    """What a pass turned out to be played over: the route, or the same without its repeats."""
    return without_repeats(piece) if ONCE in judged.remarks else route


ONCE = "it was heard without the repeats"


def _likeness(judgement: JudgedPass) -> float:
    """Which share of what is written and what was heard is both."""
    return sum(stroke.state.is_timed for stroke in judgement.strokes) / max(1, len(judgement.strokes))


def _judgements(
    piece: Piece, player: int, pulse: PulseOptions, file: PassFile, ways: Sequence[ExpectedPass]
) -> list[JudgedPass]:
    """The file, read once, against each of the ways it may have been played."""
    if file.path.suffix.lower() in MIDI_ENDINGS:
        strokes = midi_strokes(file.path)
        _check_delay(file, max((stroke.seconds for stroke in strokes), default=None))
        return [judge_played(way, strokes, file.delay) for way in ways]
    recording = read_recording(file.path)
    _check_delay(file, recording.seconds)
    mix = None if file.mix is None else read_recording(file.mix).samples
    judgements = []
    for way in ways:
        along = None if mix is None else along_mix(piece, way, pulse, player, mix)
        hints = PassHints(along, file.delay, clips=recording.clips)
        judgements.append(judge_sound(way, recording.samples, hints))
    return judgements


def _check_delay(file: PassFile, seconds: float | None) -> None:
    """A delay is shorter than the file, None for one in which nothing is.

    Raises:
        RequestError: it is not.
    """
    if file.delay is None or (seconds is None and isfinite(file.delay)):
        return
    if not abs(file.delay) <= (seconds or 0.0):
        raise RequestError(
            "Delay too long",
            f"{file.path.name} cannot run {1000 * file.delay:.0f} ms behind, it ends after {seconds or 0.0:.1f} s",
            "give milliseconds, or none to have it sought",
        )


def midi_strokes(path: Path) -> list[HeardStroke]:
    """The notes of a MIDI file as strokes that were heard."""
    notes = read_played_notes(path)
    return [HeardStroke(note.moment, note.velocity / 127, note.pitch, source=MIDI) for note in notes]
