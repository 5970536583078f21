"""A recording on the command line: heard with progress, and as a partner to play with."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from tui.progress_line import Progress

if TYPE_CHECKING:
    from score.piece import Piece
    from score.playback.sound_events import Timeline
    from score.playback.tracks import Passage, TrackOptions
    from score.recording.heard_bars import HeardRecording


def heard_in(piece: "Piece", file: Path, progress: Progress) -> "HeardRecording":
    """What is heard in a recording, kept or new, with progress and the time left."""
    from score.recording.finding_process import heard_recording
    from tui.kept_recordings import recording_store
    from tui.time_left import TimeLeft

    return heard_recording(piece, file, recording_store(), TimeLeft(progress))


def recorded_timelines(
    piece: "Piece", passage: "Passage", options: "TrackOptions", recording: Path, beside: tuple[int, ...]
) -> "Callable[[TrackOptions], Timeline]":
    """Makes the timeline of a passage along with a recording, at any tempo.

    Args:
        piece: the piece.
        passage: what is played.
        options: whose part is lower: that of the player, unless it is on.
        recording: the file.
        beside: players of the machine who are mixed in.
    """
    from score.places import find_player
    from score.recording.play_along import along_track, part_to_lower, partner_for
    from tui.kept_recordings import recording_store

    for number in beside:
        find_player(piece, number)
    with Progress() as progress:
        heard = heard_in(piece, recording, progress)
        progress("getting the recording ready", 0.0)
        partner = partner_for(piece, heard, recording, passage.route, recording_store().folder, part_to_lower(options))
    return lambda wished: along_track(piece, passage, partner, wished, frozenset(beside))


def timelines_in_time_of(piece: "Piece", passage: "Passage", recording: Path) -> "Callable[[TrackOptions], Timeline]":
    """Makes the timeline of a passage with the machine's players in the time of a recording."""
    from score.recording.play_along import in_time_of

    with Progress() as progress:
        heard = heard_in(piece, recording, progress)
    return lambda wished: in_time_of(piece, passage, heard, wished)
