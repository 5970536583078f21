"""A recording prepared for a route: the stretches of it that are needed, read, levelled, one's own part lower, kept."""

import hashlib
import io
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

import numpy as np

from score.errors import WritingError
from score.kept_files import make_room
from score.piece import Piece
from score.playback.recorded_cuts import FILE_RATE
from score.recording.heard_bars import HeardRecording
from score.recording.own_part import SoundedNote, lowered
from score.recording.passage_times import HeardBeat, route_beats
from score.recording.recording_store import recording_key
from score.recording.sound_pieces import Samples, sound_facts, sound_stretch
from score.time.route import Route
from score.writing import write_atomically

ROOM = 400 * 2**20
"""Bytes of prepared recordings that are kept at the most."""
_ENDING = ".npy"
_AROUND = 1.5
"""Seconds that are read before and after what is played."""
_LOUD = 0.1
"""Level of the loud parts of a prepared recording, so that it stands beside click and players."""


class PreparedSound(NamedTuple):
    """A stretch of a recording as it is played from.

    Attributes:
        path: mono samples at `FILE_RATE`.
        start, end: seconds of the recording.
    """

    path: Path
    start: float
    end: float


class RecordedPartner(NamedTuple):
    """A recording prepared for a route.

    Attributes:
        beats: of the route, in the recording's seconds.
        sounds: where each of them lies.
        attacks: seconds of the recording, rising.
    """

    beats: tuple[HeardBeat, ...]
    sounds: tuple[PreparedSound, ...]
    attacks: tuple[float, ...]


def load_libraries() -> None:
    """Load what `partner_for` needs; it does so by itself, half a second later."""
    import msgspec  # noqa: F401
    import scipy.fft
    import scipy.signal  # noqa: F401
    import soundfile  # noqa: F401


def partner_for(
    piece: Piece, heard: HeardRecording, sound: Path, route: Route, folder: Path, my_part: int = 0
) -> RecordedPartner:
    """Prepare a recording for a route; at once where it was prepared before, or bars around it were.

    Args:
        piece: the piece.
        heard: what was heard in the recording.
        sound: the recording.
        route: what is played.
        folder: where prepared recordings are kept.
        my_part: number of the player whose part is made lower; 0 for nobody.

    Raises:
        RequestError: a bar of the route was not played in the recording.
        WritingError: the folder cannot be written.
    """
    beats = tuple(_on_frames(beat) for beat in route_beats(piece, heard, route))
    name = _name(piece, sound, my_part)
    sounds: list[PreparedSound] = []
    for start, end in stretches_of(beats, heard.seconds):
        kept = _kept(folder, name, start, end)
        if kept is None:
            samples = _levelled(sound_stretch(sound_facts(sound), start, end, FILE_RATE))
            if my_part:
                samples = lowered(samples, FILE_RATE, _notes(piece, heard, start, end), my_part)
            kept = PreparedSound(folder / f"{name}-{_frames(start)}-{_frames(end)}{_ENDING}", start, end)
            _keep(kept.path, samples)
        with suppress(OSError):
            kept.path.touch()
        sounds.append(kept)
    around = tuple(next(each for each in sounds if each.start <= beat.start < each.end) for beat in beats)
    attacks = sorted({onset.seconds for onset in heard.onsets if any(s.start < onset.seconds < s.end for s in sounds)})
    return RecordedPartner(beats, around, attacks=tuple(attacks))


def is_prepared(piece: Piece, heard: HeardRecording, sound: Path, route: Route, folder: Path, my_part: int = 0) -> bool:
    """Whether `partner_for` would answer at once; the arguments are its own.

    Raises:
        RequestError: a bar of the route was not played in the recording.
    """
    name = _name(piece, sound, my_part)
    stretches = stretches_of(route_beats(piece, heard, route), heard.seconds)
    return all(_kept(folder, name, start, end) is not None for start, end in stretches)


def _name(piece: Piece, sound: Path, my_part: int) -> str:
    """What prepared stretches of a recording are called, with somebody's part lower or nobody's."""
    return hashlib.sha256(f"{recording_key(piece, sound)} {my_part}".encode()).hexdigest()[:40]


def stretches_of(beats: Sequence[HeardBeat], seconds: float) -> list[tuple[float, float]]:
    """Seconds from and to which a recording is needed, with some around: what lies far apart is not read between."""
    needed: list[tuple[float, float]] = []
    for beat in sorted(beats, key=lambda beat: beat.start):
        start, end = _on_frame(max(0.0, beat.start - _AROUND)), _on_frame(min(seconds, beat.end + _AROUND))
        if needed and start <= needed[-1][1] + _AROUND:
            needed[-1] = needed[-1][0], max(needed[-1][1], end)
        else:
            needed.append((start, end))
    return needed


def _kept(folder: Path, name: str, start: float, end: float) -> PreparedSound | None:
    """A prepared stretch that holds these seconds, None where there is none."""
    for path in folder.glob(f"{name}-*{_ENDING}"):
        first, _, last = path.stem.removeprefix(f"{name}-").partition("-")
        if first.isdecimal() and last.isdecimal() and int(first) <= _frames(start) and _frames(end) <= int(last):
            return PreparedSound(path, int(first) / FILE_RATE, int(last) / FILE_RATE)
    return None


def _on_frames(beat: HeardBeat) -> HeardBeat:
    """A beat from frame to frame, so that cuts that follow each other join without a jump."""
    return beat._replace(start=_on_frame(beat.start), end=_on_frame(beat.end))


def _on_frame(seconds: float) -> float:
    return _frames(seconds) / FILE_RATE


def _frames(seconds: float) -> int:
    return round(seconds * FILE_RATE)


def _levelled(samples: Samples) -> Samples:
    """As loud as click and players beside it, and never over its scale."""
    level = float(np.sqrt(np.percentile(samples**2, 90))) + 1e-9
    return np.asarray(samples * min(_LOUD / level, 0.9 / (float(np.abs(samples).max(initial=0.0)) + 1e-9)), np.float32)


def _notes(piece: Piece, heard: HeardRecording, origin: float, end: float) -> Sequence[SoundedNote]:
    """Every note that sounds in a stretch of a recording, in its own seconds."""
    seconds = {(onset.bar, onset.turn, onset.at): onset.seconds for onset in heard.onsets}
    notes = []
    for bar in heard.bars:
        if bar.end < origin or bar.start > end:
            continue
        quarter = (bar.end - bar.start) / max(0.1, float(piece.bars[bar.bar].length))
        for player in piece.players:
            for stroke in (stroke for stroke in player.strokes if stroke.bar == bar.bar):
                start = seconds.get((bar.bar, bar.turn, stroke.at))
                if start is not None:
                    length = max(0.1, float(stroke.length) * quarter)
                    notes.append(SoundedNote(start - origin, length, stroke, player=player))
    return notes


def _keep(path: Path, samples: Samples) -> None:
    content = io.BytesIO()
    np.save(content, samples, allow_pickle=False)
    try:
        write_atomically(path, content.getvalue())
    except WritingError as error:
        reason = error.what.rpartition(": ")[2]
        raise WritingError("Recording cannot be prepared", reason, f"it would go into {path.parent}") from error
    make_room(path.parent, path.suffix, ROOM)
