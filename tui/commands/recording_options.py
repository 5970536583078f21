"""A recording on the command line: heard with progress, and as a partner to play with."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from score.errors import RequestError
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
    from score.recording.play_along import along_track, part_to_lower
    from score.recording.prepared_sounds import partner_for
    from tui.kept_recordings import recording_store

    for number in beside:
        find_player(piece, number)
    with Progress() as progress:
        heard = heard_in(piece, recording, progress)
        progress("getting the recording ready", 0.0)
        partner = partner_for(piece, heard, recording, passage.route, recording_store().folder, part_to_lower(options))
    return lambda wished: along_track(piece, passage, partner, wished, frozenset(beside))


def check_ours(recording: Path | None, ours: bool, follow: tuple[str, ...], kinds: tuple[str, ...]) -> None:
    """A recording goes into tracks only where it is the group's own, and only into tracks of sound.

    Raises:
        RequestError: it is not said to be theirs, or something else does not go with it.
    """
    if recording is None:
        if ours:
            raise RequestError("--ours alone", "--ours says whose a recording is", "add --recording with the file")
        return
    if not ours:
        raise RequestError(
            "Whose recording",
            f"{recording.name} would be copied into tracks to hand on",
            "add --ours where your group made it; inbreath play plays any other",
        )
    if follow:
        raise RequestError("A recording with --follow", "a recording follows nobody", "give one of them")
    if "mid" in kinds:
        raise RequestError("A recording as mid", "MIDI holds notes, no sound", "choose wav, flac, ogg or mp3")


def recorded_tracks(
    piece: "Piece", options: "TrackOptions", recording: Path, progress: Progress
) -> "Callable[[Passage], tuple[Passage, Timeline]]":
    """What passages sound like with a recording in place of the machine's players."""
    from score.recording.play_along import along_track, part_to_lower
    from score.recording.prepared_sounds import partner_for
    from tui.kept_recordings import recording_store

    heard, folder = heard_in(piece, recording, progress), recording_store().folder

    def sounding(passage: "Passage") -> "tuple[Passage, Timeline]":
        partner = partner_for(piece, heard, recording, passage.route, folder, part_to_lower(options))
        return passage, along_track(piece, passage, partner, options)

    return sounding


def timelines_in_time_of(piece: "Piece", passage: "Passage", recording: Path) -> "Callable[[TrackOptions], Timeline]":
    """Makes the timeline of a passage with the machine's players in the time of a recording."""
    from score.recording.play_along import in_time_of

    with Progress() as progress:
        heard = heard_in(piece, recording, progress)
    return lambda wished: in_time_of(piece, passage, heard, wished)
