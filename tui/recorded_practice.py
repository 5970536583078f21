"""Practising with a recording instead of the machine's players: what is heard in it, and the timelines that follow."""

import json
from collections.abc import Sequence
from contextlib import suppress
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from score.errors import InbreathError
from score.progress import ReportProgress
from score.time.tries import Try
from tui.kept_recordings import recording_store
from tui.session import Session

if TYPE_CHECKING:
    from score.playback.sound_events import Timeline
    from score.playback.tracks import Passage, TrackOptions
    from score.recording.heard_bars import HeardRecording
    from score.time.route import Route

MOST_KEPT = 5
"""Recordings of a piece that are remembered."""
_LEAST_SHAPE = 4.0
"""Percent under which what a recording's tempo does is no shape: single bars are not heard more exactly."""


class ListenedTo(NamedTuple):
    """A recording that was listened to.

    Attributes:
        path: where it lies.
        said: what is to be said of it, "" for nothing.
    """

    path: str
    said: str


def load_early() -> None:
    """Load what the first recording needs, so that it sounds as soon as its key is pressed."""
    import score.recording.finding_process
    import score.recording.play_along  # noqa: F401
    from score.recording.prepared_sounds import load_libraries

    load_libraries()


def prepare_early(session: Session, path: str, route: "Route") -> None:
    """Make ready what playing a route along with a recording needs; nothing where it was never listened to."""
    from score.recording.prepared_sounds import partner_for
    from score.recording.recording_store import recording_key

    load_early()
    file, store = Path(path), recording_store()
    with suppress(InbreathError, LookupError):
        heard = _kept(store.folder, recording_key(session.piece, file))
        partner_for(session.piece, heard, file, route, store.folder)


def listen_to(session: Session, path: str, progress: ReportProgress | None = None) -> ListenedTo:
    """Listen to a recording of the piece.

    Args:
        session: the opened piece.
        path: as it was typed.
        progress: told how far it is.

    Raises:
        RequestError: the recording cannot be used.
    """
    file = Path(path).expanduser()
    heard = _heard(session, file, progress)
    return ListenedTo(str(file.resolve()), " ".join(heard.notes))


def recorded_timeline(
    session: Session, path: str, passage: "Passage", options: "TrackOptions", beside: frozenset[int]
) -> "Timeline":
    """What sounds along a passage: the recording, a click in its own time; one's own part lower where that is ready.

    Raises:
        RequestError: a bar that was not played in it, or a tempo it cannot go.
    """
    from score.recording.play_along import along_track
    from score.recording.prepared_sounds import partner_for

    file, folder = Path(path), recording_store().folder
    heard = _heard(session, file)
    mine = _part_to_lower(session, path, passage.route, options)
    partner = partner_for(session.piece, heard, file, passage.route, folder, 0 if mine.waits else mine.player)
    return along_track(session.piece, passage, partner, options, beside)


class _LowerPart(NamedTuple):
    """Whose part is to be lower, 0 for nobody's, and whether that is still to be made."""

    player: int
    waits: bool


def _part_to_lower(session: Session, path: str, route: "Route", options: "TrackOptions") -> _LowerPart:
    from score.recording.play_along import part_to_lower
    from score.recording.prepared_sounds import is_prepared

    mine, file = part_to_lower(options), Path(path)
    ready = not mine or is_prepared(session.piece, _heard(session, file), file, route, recording_store().folder, mine)
    return _LowerPart(mine, not ready)


def lower_part(session: Session, path: str, route: "Route", options: "TrackOptions") -> bool:
    """Make one's own part lower in what a route needs of a recording; gives back whether there was anything to make.

    Raises:
        RequestError: a bar that was not played in it.
        WritingError: it cannot be kept.
    """
    from score.recording.prepared_sounds import partner_for

    mine = _part_to_lower(session, path, route, options)
    if mine.waits:
        file = Path(path)
        partner_for(session.piece, _heard(session, file), file, route, recording_store().folder, mine.player)
    return mine.waits


def doubts_in(session: Session, path: str, route: "Route") -> frozenset[int]:
    """Indices of the bars of a route that are in doubt in a recording.

    Raises:
        RequestError: a bar that was not played in it.
    """
    from score.recording.passage_times import doubtful_bars

    return doubtful_bars(session.piece, _heard(session, Path(path)), route)


def timeline_in_time_of(session: Session, path: str, passage: "Passage", options: "TrackOptions") -> "Timeline":
    """The machine's players in a recording's time.

    Raises:
        RequestError: the recording cannot be used any more.
    """
    from score.recording.play_along import in_time_of

    return in_time_of(session.piece, passage, _heard(session, Path(path)), options)


def recorded_try(session: Session, path: str, bars: range) -> Try | None:
    """The tempo of some bars in a recording as the nearest shape a word says, None where none is near.

    Raises:
        RequestError: the recording cannot be used any more.
    """
    from score.following.learned_shape import learned_shape
    from score.recording.bar_tempi import recorded_tempo

    piece = session.piece
    start, last = piece.bars[bars[0]].start, piece.bars[bars[-1]]
    tempo = recorded_tempo(piece, _heard(session, Path(path)), bars)
    trial = learned_shape(tempo, start, last.start + last.length)
    return trial if trial is not None and trial.amount >= _LEAST_SHAPE else None


def kept_paths(session: Session) -> list[str]:
    """The recordings this player used with the piece, the last one first."""
    try:
        kept = json.loads(session.history.recall(_name(session)) or "[]")
    except ValueError:
        return []
    return [path for path in kept if isinstance(path, str)] if isinstance(kept, list) else []


def keep_paths(session: Session, paths: Sequence[str]) -> None:
    """Remember them for the next time."""
    session.history.remember(_name(session), json.dumps(list(paths)[:MOST_KEPT]))


def _name(session: Session) -> str:
    return f"recordings {session.piece.digest}"


def _heard(session: Session, file: Path, progress: ReportProgress | None = None) -> "HeardRecording":
    """What is heard in a recording; a file that has not changed is asked for once."""
    from score.recording.finding_process import heard_recording
    from score.recording.recording_store import recording_key
    from score.recording.sound_pieces import sound_facts

    sound_facts(file)
    store = recording_store()
    with suppress(LookupError):
        return _kept(store.folder, recording_key(session.piece, file))
    return heard_recording(session.piece, file, store, progress)


@lru_cache(maxsize=2)
def _kept(folder: Path, key: str) -> "HeardRecording":
    """What was heard and kept under a key, unpacked once; `LookupError` where nothing was kept."""
    from score.recording.recording_store import RecordingStore

    heard = RecordingStore(folder).kept(key)
    if heard is None:
        raise LookupError(key)
    return heard
