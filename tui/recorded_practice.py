"""Practising with a recording instead of the machine's players: what is heard in it, and the timeline that follows."""

from pathlib import Path
from typing import TYPE_CHECKING

from score.progress import ReportProgress
from tui.kept_recordings import recording_store
from tui.session import Session

if TYPE_CHECKING:
    from score.playback.sound_events import Timeline
    from score.playback.tracks import Passage, TrackOptions


def listen_to(session: Session, path: str, progress: ReportProgress | None = None) -> str:
    """Listen to a recording of the piece; gives back where it lies.

    Args:
        session: the opened piece.
        path: as it was typed.
        progress: told how far it is.

    Raises:
        RequestError: the recording cannot be used.
    """
    from score.recording.finding_process import heard_recording

    file = Path(path).expanduser()
    heard_recording(session.piece, file, recording_store(), progress)
    return str(file.resolve())


def recorded_timeline(
    session: Session, path: str, passage: "Passage", options: "TrackOptions", beside: frozenset[int]
) -> "Timeline":
    """What sounds along a passage: the recording, one's own part lower unless it is on, a click in its own time.

    Raises:
        RequestError: a bar that was not played in it, or a tempo it cannot go.
    """
    from score.recording.finding_process import heard_recording
    from score.recording.play_along import along_track, part_to_lower, partner_for

    file, store = Path(path), recording_store()
    heard = heard_recording(session.piece, file, store)
    partner = partner_for(session.piece, heard, file, passage.route, store.folder, part_to_lower(options))
    return along_track(session.piece, passage, partner, options, beside)


def kept_path(session: Session) -> str:
    """The recording this player used last with the piece, "" for none."""
    return session.history.recall(_name(session)) or ""


def keep_path(session: Session, path: str) -> None:
    """Remember it for the next time."""
    session.history.remember(_name(session), path)


def _name(session: Session) -> str:
    return f"recording {session.piece.digest}"
