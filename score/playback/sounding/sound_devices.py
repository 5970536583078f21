"""What this machine can sound on. Opening is the only proof; looking is quiet."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from score.playback.sounding.midi_ports import port_names
from score.processes import quiet_stderr


@dataclass(frozen=True, slots=True)
class Found:
    """What was found.

    Attributes:
        ports: names of MIDI outputs.
        cards: names of sound cards.
        notes: why something could not be looked for, one sentence each.
    """

    ports: tuple[str, ...]
    cards: tuple[str, ...]
    notes: tuple[str, ...]


def find_devices() -> Found:
    """MIDI outputs and sound cards; never raises, never writes to the terminal."""
    notes: list[str] = []
    with quiet_stderr():
        ports = _ports(notes)
        cards = _cards(notes)
    return Found(ports, cards, tuple(notes))


def _ports(notes: list[str]) -> tuple[str, ...]:
    try:
        return port_names()
    except OSError as error:
        notes.append(f"MIDI ports cannot be listed: {error}.")
        return ()


def _cards(notes: list[str]) -> tuple[str, ...]:
    try:
        import miniaudio
    except ImportError:
        notes.append("No audio library for this machine; practise with a MIDI port, or silently.")
        return ()
    return _named(lambda devices: devices.get_playbacks(), notes, miniaudio)


def microphone_names() -> tuple[str, ...]:
    """Names of microphones; none where they cannot be looked for."""
    try:
        import miniaudio
    except ImportError:
        return ()
    return _named(lambda devices: devices.get_captures(), [], miniaudio)


def _named(listed: Callable[[Any], Any], notes: list[str], miniaudio: Any) -> tuple[str, ...]:
    backends = [backend for backend in miniaudio.Backend if backend.name not in ("NULL", "CUSTOM")]
    try:
        names = [str(device["name"]) for device in listed(miniaudio.Devices(backends))]
    except miniaudio.MiniaudioError as error:
        notes.append(f"No sound card: {error}.")
        return ()
    # ALSA's own null device is listed like a card.
    return tuple(name for name in names if not name.startswith("Discard all samples"))
