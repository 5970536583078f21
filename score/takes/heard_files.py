"""A pass from a file: sound or MIDI, with what was played along where that is there too."""

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
from score.takes.sound_pass import AlongMix, PassHints, judge_sound
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
    if route == whole(piece) and without_repeats(piece) != route:
        ways = [_judged(piece, way, player, pulse, file) for way in (route, without_repeats(piece))]
        if _likeness(ways[1]) > _likeness(ways[0]):
            return ways[1]._replace(remarks=(*ways[1].remarks, ONCE))
        return ways[0]
    return _judged(piece, route, player, pulse, file)


ONCE = "it was heard without the repeats"


def _likeness(judgement: JudgedPass) -> float:
    """Which share of what is written and what was heard is both."""
    return sum(stroke.state.is_timed for stroke in judgement.strokes) / max(1, len(judgement.strokes))


def _judged(piece: Piece, route: Route, player: int, pulse: PulseOptions, file: PassFile) -> JudgedPass:
    name = find_player(piece, player).name
    expected = expected_pass(piece, route, player, pulse)
    if not expected.strokes:
        raise RequestError("Nothing to judge", f"{name} does not play in these bars", "choose other bars")
    if file.path.suffix.lower() in MIDI_ENDINGS:
        return judge_played(expected, midi_strokes(file.path), file.delay)
    recording = read_recording(file.path)
    mix = _mix(piece, expected, pulse, player, file.mix)
    return judge_sound(expected, recording.samples, PassHints(mix, file.delay, clips=recording.clips))


def midi_strokes(path: Path) -> list[HeardStroke]:
    """The notes of a MIDI file as strokes that were heard."""
    notes = read_played_notes(path)
    return [HeardStroke(note.moment, note.velocity / 127, note.pitch, source=MIDI) for note in notes]


def _mix(piece: Piece, expected: ExpectedPass, pulse: PulseOptions, player: int, path: Path | None) -> AlongMix | None:
    if path is None:
        return None
    return along_mix(piece, expected, pulse, player, read_recording(path).samples)
