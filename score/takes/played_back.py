"""A pass played back with the others in step: one timeline for a sound file and for the sound card."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from score.errors import RequestError
from score.group.group_file import Group
from score.piece import Piece
from score.playback.bent_timeline import SecondsMap
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
    route = what.route or bars_route(piece, what.bars)
    return PassOver(route, what.player, pulse_options(group, piece, what.tempo))


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
    expected = over.expected(piece)
    moved = in_step(expected, judged)
    if file.suffix.lower() in MIDI_ENDINGS:
        own = played_notes(piece, over, midi_strokes(file), moved)
        return _together(piece, over, moved, own, _ends(own, moved(expected.seconds)))
    recording = read_recording(file)
    return _together(piece, over, moved, recorded(recording.samples, folder / _WORK), recording.seconds)


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
    sound = saved_sound(take, audio)
    if sound is not None:
        return file_with_others(piece, over, take.judged, sound, folder)
    expected = over.expected(piece)
    own = struck_again(piece, over, expected, take.judged)
    if not own:
        raise RequestError("Nothing to play back", "no stroke of this pass was heard", "choose another pass")
    moved = in_step(expected, take.judged)
    return _together(piece, over, moved, own, _ends(own, moved(expected.seconds)))


def saved_sound(take: KeptTake, audio: Path) -> Path | None:
    """The sound file of a kept pass in the folder of such files, None where none was kept or it has gone."""
    path = audio / take.what.audio
    return path if take.what.audio and path.is_file() else None


def _ends(own: Sequence[Strike], music: float) -> float:
    """The second in which the last stroke has been heard, or the music ends."""
    return max(own[-1].seconds + _LAST, music)


def _together(piece: Piece, over: PassOver, moved: SecondsMap, own: Sequence[Strike], seconds: float) -> Timeline:
    """Own strikes and the others', so many seconds of them."""
    others = others_in_step(piece, over, moved, seconds)
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
