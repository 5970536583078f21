"""A recording in place of the machine's players: prepared for a route, cut at its beats, a click in its own time."""

import hashlib
from bisect import bisect_left
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

import numpy as np

from score.errors import RequestError
from score.kept_files import make_room
from score.piece import Piece
from score.playback.recorded_cuts import CONTEXT, FILE_RATE, RecordedCut
from score.playback.sound_events import RECORDED, RECORDING_PLAYER, Strike, Timeline
from score.playback.timeline import PlayOptions, timeline
from score.playback.tracks import Passage, TrackOptions, wished_sounds
from score.processes import quiet_stderr
from score.recording.bar_tempi import machine_times
from score.recording.heard_bars import HeardRecording
from score.recording.own_part import SoundedNote, lowered
from score.recording.passage_times import HeardBeat, recorded_times, route_beats
from score.recording.recording_store import sound_digest
from score.recording.sound_pieces import Samples, mono_blocks, sound_facts
from score.time.route import Route
from score.writing import write_atomically

SLOWEST = 0.4
"""Share of the recording's tempo below which it is no longer slowed."""
FASTEST = 1.5
ROOM = 400 * 2**20
"""Bytes of prepared recordings that are kept at the most."""
_AROUND = 1.5
_AFTER = 0.1
"""Seconds after a cut within which attacks are told to it."""
_LOUD = 0.1
"""Level of the loud parts of a prepared recording, so that it stands beside click and players."""


class RecordedPartner(NamedTuple):
    """A recording prepared for a route.

    Attributes:
        path: mono samples at `FILE_RATE`.
        origin: second of the recording at which they begin.
        beats: of the route, in the recording's seconds.
        attacks: seconds of the recording, rising.
    """

    path: Path
    origin: float
    beats: tuple[HeardBeat, ...]
    attacks: tuple[float, ...]


def partner_for(
    piece: Piece, heard: HeardRecording, sound: Path, route: Route, folder: Path, my_part: int = 0
) -> RecordedPartner:
    """Prepare a recording for a route; at once where it was prepared before.

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
    origin = _frame(max(0.0, min(beat.start for beat in beats) - _AROUND))
    end = min(heard.seconds, max(beat.end for beat in beats) + _AROUND)
    attacks = tuple(sorted({onset.seconds for onset in heard.onsets if origin < onset.seconds < end}))
    said = f"{sound_digest(sound)} {piece.digest} {origin:.4f} {end:.4f} {my_part}"
    path = folder / f"{hashlib.sha256(said.encode()).hexdigest()}.npy"
    if not path.exists():
        with quiet_stderr():
            samples = _stretch(sound, origin, end)
        if my_part:
            samples = lowered(samples, FILE_RATE, _notes(piece, heard, origin, end), my_part)
        _keep(path, samples)
    with suppress(OSError):
        path.touch()
    return RecordedPartner(path, origin, beats, attacks=attacks)


def part_to_lower(options: TrackOptions) -> int:
    """Number of the player whose part is made lower: the one who practises, unless they want to hear it; else 0."""
    return options.player if options.own != "on" else 0


def _on_frames(beat: HeardBeat) -> HeardBeat:
    """A beat from frame to frame, so that cuts that follow each other join without a jump."""
    return beat._replace(start=_frame(beat.start), end=_frame(beat.end))


def _frame(seconds: float) -> float:
    return round(seconds * FILE_RATE) / FILE_RATE


def along(piece: Piece, route: Route, partner: RecordedPartner, options: PlayOptions, tempo: float = 1.0) -> Timeline:
    """What sounds along a route: the recording, the click in its time, and the players that are asked for.

    Args:
        piece: the piece.
        route: as the partner was prepared for.
        partner: the prepared recording.
        options: of click, count-in and players; their time is the recording's.
        tempo: share of the recording's tempo.

    Raises:
        RequestError: slower or faster than a recording can go.
    """
    if not SLOWEST <= tempo <= FASTEST:
        limits = f"from {100 * SLOWEST:.0f} to {100 * FASTEST:.0f} %"
        raise RequestError("Tempo of the recording", f"{100 * tempo:.0f} % of its own", f"choose {limits}")
    times = recorded_times(partner.beats, tempo)
    bare = timeline(piece, route, replace(options, times=times))
    attacks = tuple(attack - partner.origin for attack in partner.attacks)
    cuts = [_cut(partner, attacks, beat, bare.starts + times.seconds(beat.offset), 1 / tempo) for beat in partner.beats]
    strikes = sorted((*bare.strikes, *cuts), key=lambda strike: (strike.seconds, strike.player, strike.pitch or 0))
    return replace(bare, strikes=tuple(strikes))


def along_track(
    piece: Piece,
    passage: Passage,
    partner: RecordedPartner,
    options: TrackOptions,
    beside: frozenset[int] = frozenset(),
) -> Timeline:
    """What sounds along a passage as it is practised: `along` with the tempo of the options.

    Args:
        piece: the piece.
        passage: what is played.
        partner: the recording, prepared for it.
        options: click, count-in, breaths, tempo.
        beside: numbers of the machine's players who are mixed in.

    Raises:
        RequestError: a tempo in quarters a minute, or one a recording cannot go.
    """
    wished = replace(wished_sounds(piece, options), players=beside, levels={})
    return along(piece, passage.route, partner, wished, _share(options))


def in_time_of(piece: Piece, passage: Passage, heard: HeardRecording, options: TrackOptions) -> Timeline:
    """The machine's players in the time of a recording.

    Raises:
        RequestError: a tempo in quarters a minute.
    """
    times = machine_times(piece, heard, passage.route, _share(options))
    return timeline(piece, passage.route, replace(wished_sounds(piece, options), times=times))


def _share(options: TrackOptions) -> float:
    """The tempo as a share of the recording's."""
    if options.pulse.steady is not None:
        what = f"{options.pulse.steady:.0f} quarters a minute"
        raise RequestError("Tempo of the recording", what, "choose a share of its own, such as 80%")
    return options.pulse.scale


def _cut(
    partner: RecordedPartner, attacks: tuple[float, ...], beat: HeardBeat, seconds: float, factor: float
) -> Strike:
    start, end = beat.start - partner.origin, beat.end - partner.origin
    first = max(0, bisect_left(attacks, start - CONTEXT) - 1)
    around = attacks[first : bisect_left(attacks, end + _AFTER)]
    return Strike(
        seconds,
        (end - start) * factor,
        RECORDING_PLAYER,
        voice=RECORDED,
        pitch=None,
        velocity=127,
        variant=RecordedCut(str(partner.path), start, end, factor=factor, attacks=around).text(),
        offset=float(beat.offset),
    )


def _stretch(sound: Path, start: float, end: float) -> Samples:
    """Some seconds of a recording, mono at `FILE_RATE`, levelled."""
    first, last = round(start * FILE_RATE), round(end * FILE_RATE)
    pieces: list[Samples] = []
    place = 0
    for block in mono_blocks(sound_facts(sound), FILE_RATE):
        if place + len(block) > first:
            pieces.append(block[max(0, first - place) : max(0, last - place)])
        place += len(block)
        if place >= last:
            break
    samples = np.concatenate(pieces) if pieces else np.zeros(2, np.float32)
    level = float(np.sqrt(np.percentile(samples.astype(np.float32) ** 2, 90))) + 1e-9
    return np.asarray(samples * min(_LOUD / level, 0.9 / (float(np.abs(samples).max()) + 1e-9)), np.float32)


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
    import io

    content = io.BytesIO()
    np.save(content, samples, allow_pickle=False)
    write_atomically(path, content.getvalue())
    make_room(path.parent, path.suffix, ROOM)
