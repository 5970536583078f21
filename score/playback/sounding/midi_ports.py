"""MIDI ports through mido, on whichever of its backends is installed."""

import importlib.util
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

_BACKENDS = (("rtmidi", "mido.backends.rtmidi"), ("pygame", "mido.backends.pygame"))
MISSING = "no MIDI library here; pip install 'inbreath[midi]' adds one"


def port_names() -> tuple[str, ...]:
    """Names of the MIDI outputs.

    Raises:
        OSError: no library, or the system has no MIDI.
    """
    with _as_os_error():
        return tuple(_backend().get_output_names())


def input_names() -> tuple[str, ...]:
    """Names of the MIDI inputs.

    Raises:
        OSError: no library, or the system has no MIDI.
    """
    with _as_os_error():
        return tuple(_backend().get_input_names())


def open_port(name: str) -> Any:
    """An open output.

    Raises:
        OSError: no library, or the port is not there or refuses.
    """
    with _as_os_error():
        return _backend().open_output(name)


def open_strokes(name: str, heard: Callable[[int, int], None], channel: int = 0) -> Any:
    """An open input that tells every note struck, from a thread of its own.

    Args:
        name: of the port.
        heard: told the MIDI number and the velocity, 1 to 127.
        channel: only of this one, 1 to 16; 0 for all of them.

    Raises:
        OSError: no library, or the port is not there or refuses.
    """

    def take(message: Any) -> None:
        if message.type == "note_on" and message.velocity and channel in (0, message.channel + 1):
            heard(message.note, message.velocity)

    with _as_os_error():
        return _backend().open_input(name, callback=take)


@contextmanager
def _as_os_error() -> Iterator[None]:
    """Backends raise their own kinds of error."""
    try:
        yield
    except OSError:
        raise
    except Exception as error:
        raise OSError(str(error) or type(error).__name__) from error


def _backend() -> Any:
    import mido

    # Whoever names a backend in the environment gets that one (mido's own rule).
    if os.environ.get("MIDO_BACKEND"):
        return mido.Backend(load=True)
    for package, module in _BACKENDS:
        if importlib.util.find_spec(package) is not None:
            return mido.Backend(module, load=True)
    raise OSError(MISSING)
