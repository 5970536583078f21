"""Where what was heard in recordings is kept on this system."""

import os
from pathlib import Path
from typing import TYPE_CHECKING

from platformdirs import user_cache_path

from tui.kept_scores import PLACE

if TYPE_CHECKING:
    from score.recording.recording_store import RecordingStore


def recording_store() -> "RecordingStore":
    """Beside the readings of scores."""
    from score.recording.recording_store import RecordingStore

    place = os.environ.get(PLACE)
    return RecordingStore((Path(place) if place else user_cache_path("inbreath", appauthor=False)) / "recordings")
