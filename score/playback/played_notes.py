"""Notes somebody played, read from a MIDI file in real seconds."""

from pathlib import Path
from typing import NamedTuple

from score.errors import RequestError

_LARGEST = 20_000_000
"""Bytes: hours of playing."""


class PlayedNote(NamedTuple):
    """One note.

    Attributes:
        moment: seconds from the beginning of the file.
        pitch: MIDI number.
        velocity: 1 to 127.
        length: seconds.
    """

    moment: float
    pitch: int
    velocity: int = 80
    length: float = 0.2


def read_played_notes(path: Path) -> tuple[PlayedNote, ...]:
    """Every note of a MIDI file, of all tracks and channels, in order.

    Raises:
        RequestError: the file is not there, is no MIDI file, or holds no notes.
    """
    import mido

    try:
        if path.stat().st_size > _LARGEST:
            raise RequestError("Take too large", f"{path.name} has more than 20 MB", "give one take")
        messages = list(mido.MidiFile(str(path), clip=True))
    except OSError as error:
        # The library says in the same class that a file is no MIDI file; then there is no number of the system's.
        what = error.strerror.lower() if error.strerror else "cannot be read as MIDI"
        raise RequestError("Take unreadable", f"{path.name}: {what}", "give a MIDI file") from error
    except (EOFError, ValueError, KeyError, IndexError, TypeError) as error:
        raise RequestError("Take unreadable", f"{path.name}: cannot be read as MIDI", "give a MIDI file") from error
    notes = _notes(messages)
    if not notes:
        raise RequestError("Nothing played", f"{path.name} holds no notes", "give a take with notes")
    return notes


def _notes(messages: "list[object]") -> tuple[PlayedNote, ...]:
    now, open_notes = 0.0, dict[tuple[int, int], PlayedNote]()
    notes: list[PlayedNote] = []
    for message in messages:
        now += getattr(message, "time", 0.0)
        kind, note = getattr(message, "type", ""), getattr(message, "note", -1)
        if kind not in ("note_on", "note_off"):
            continue
        key, velocity = (getattr(message, "channel", 0), note), getattr(message, "velocity", 0)
        begun = open_notes.pop(key, None)
        if begun is not None:
            notes.append(begun._replace(length=now - begun.moment))
        if kind == "note_on" and velocity:
            open_notes[key] = PlayedNote(now, note, velocity)
    return tuple(sorted((*notes, *open_notes.values())))
