"""A recording in place of the machine's players: cut at its beats, with a click in its own time."""

from bisect import bisect_left
from dataclasses import replace

from score.errors import RequestError
from score.piece import Piece
from score.playback.recorded_cuts import CONTEXT, RecordedCut
from score.playback.sound_events import RECORDED, RECORDING_PLAYER, Strike, Timeline
from score.playback.tempo_steps import RECORDING_TEMPI
from score.playback.timeline import PlayOptions, timeline
from score.playback.tracks import Passage, TrackOptions, wished_sounds
from score.recording.bar_tempi import machine_times
from score.recording.heard_bars import HeardRecording
from score.recording.passage_times import HeardBeat, counted_tempo, recorded_times
from score.recording.prepared_sounds import PreparedSound, RecordedPartner
from score.time.route import Route

_AFTER = 0.1
"""Seconds after a cut within which attacks are told to it."""


def part_to_lower(options: TrackOptions) -> int:
    """Number of the player whose part is made lower: the one who practises, unless they want to hear it; else 0."""
    return options.player if options.own != "on" else 0


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
    slowest, fastest = RECORDING_TEMPI
    if not slowest <= tempo <= fastest:
        limits = f"from {100 * slowest:.0f} to {100 * fastest:.0f} %"
        raise RequestError("Tempo of the recording", f"{100 * tempo:.0f} % of its own", f"choose {limits}")
    times = recorded_times(partner.beats, tempo)
    bare = timeline(piece, route, replace(options, times=times, counted=tempo * counted_tempo(partner.beats)))
    cuts = [
        _cut(sound, partner.attacks, beat, bare.starts + times.seconds(beat.offset), 1 / tempo)
        for beat, sound in zip(partner.beats, partner.sounds, strict=True)
    ]
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


def _cut(sound: PreparedSound, attacks: tuple[float, ...], beat: HeardBeat, seconds: float, factor: float) -> Strike:
    first = max(0, bisect_left(attacks, beat.start - CONTEXT) - 1)
    around = tuple(
        attack - sound.start
        for attack in attacks[first : bisect_left(attacks, beat.end + _AFTER)]
        if attack > sound.start
    )
    start, end = beat.start - sound.start, beat.end - sound.start
    return Strike(
        seconds,
        (end - start) * factor,
        RECORDING_PLAYER,
        voice=RECORDED,
        pitch=None,
        velocity=127,
        variant=RecordedCut(str(sound.path), start, end, factor=factor, attacks=around).text(),
        offset=float(beat.offset),
    )
