"""A pass played back with the others in step: one timeline for a sound file and for the sound card."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from score.errors import RequestError
from score.group.group_file import Group
from score.piece import Piece
from score.playback.recording_file import read_recording
from score.playback.sound_events import Strike, Timeline
from score.takes.heard_files import MIDI_ENDINGS, midi_strokes
from score.takes.in_step import PassOver, in_step, others_in_step
from score.takes.judged_pass import JudgedPass
from score.takes.kept_takes import KeptTake
from score.takes.own_sound import played_notes, recorded, struck_again
from score.time.from_group import pulse_options
from score.time.route import bars as bars_route

_WORK = "pass.npy"
_LAST = 0.5


def take_over(piece: Piece, group: Group, take: KeptTake) -> PassOver:
    """What a kept pass was played over."""
    what = take.what
    return PassOver(
        what.route or bars_route(piece, list(what.bars)), what.player, pulse_options(group, piece, what.tempo)
    )


def file_with_others(piece: Piece, over: PassOver, judged: JudgedPass, file: Path, folder: Path) -> Timeline:
    """A judged recording, or the notes of a MIDI file, and everybody else in step with it.

    Args:
        piece: the piece.
        over: what was played.
        judged: what became of it.
        file: the recording.
        folder: where its sound may be laid down while it is played back.

    Raises:
        RequestError: the pass could not be judged, or the file cannot be read.
        WritingError: the folder cannot be written.
    """
    if file.suffix.lower() in MIDI_ENDINGS:
        own = played_notes(piece, over, midi_strokes(file), in_step(over.expected(piece), judged))
        return _together(piece, over, judged, own)
    recording = read_recording(file)
    in_step(over.expected(piece), judged)
    return _together(piece, over, judged, recorded(recording.samples, folder / _WORK), recording.seconds)


def take_with_others(piece: Piece, over: PassOver, take: KeptTake, audio: Path, folder: Path) -> Timeline:
    """A kept pass and everybody else in step with it; its strokes on the machine's instrument where no sound was kept.

    Args:
        piece: the piece.
        over: what was played.
        take: the pass.
        audio: folder of the sound that is kept.
        folder: where it may be laid down while it is played back.

    Raises:
        RequestError: the pass could not be judged.
        WritingError: the folder cannot be written.
    """
    sound = audio / take.what.audio
    if take.what.audio and sound.is_file():
        return file_with_others(piece, over, take.judged, sound, folder)
    own = struck_again(piece, over, take.judged)
    if not own:
        raise RequestError("Nothing to play back", "no stroke of this pass was heard", "choose another pass")
    return _together(piece, over, take.judged, own)


def _together(
    piece: Piece, over: PassOver, judged: JudgedPass, own: Sequence[Strike], seconds: float | None = None
) -> Timeline:
    """Own strikes and the others', to the end of the recording, or of the music where that is not what ends it."""
    if seconds is None:
        expected = over.expected(piece)
        seconds = max(own[-1].seconds + _LAST, in_step(expected, judged)(expected.seconds))
    others = others_in_step(piece, over, judged, seconds)
    mine = (replace(strike, seconds=strike.seconds + others.starts) for strike in own)
    strikes = sorted((*others.strikes, *mine), key=lambda s: (s.seconds, s.player, s.pitch or 0, s.voice))
    return replace(others, strikes=tuple(strikes))


def write_played_back(sounds: Timeline, path: Path, title: str) -> Path:
    """Write it as a sound file of the path's ending: WAV, FLAC, OGG or MP3.

    Raises:
        RequestError: another ending.
        WritingError: it cannot be written.
    """
    from score.playback.loudness import evened
    from score.playback.mixing import render
    from score.playback.sound_file import USUAL_RATES, sound_format, write_sound

    kind = sound_format(path)
    rate = USUAL_RATES[kind]
    write_sound(path, evened(render(sounds, None, rate), rate), rate, kind, {"title": title})
    return path
