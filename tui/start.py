"""Starting the screens: the sound process first, then the application."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from score.errors import RequestError
from score.playback.sounding.sound_process import Device, SoundProcess
from score.processes import own_stderr
from score.takes.history import History
from tui.key_bindings import known_names
from tui.settings import Settings, history_path, read_settings, settings_path
from tui.terminal_pictures import TerminalQuestion, ask
from tui.theme import terminal_is_plain, wants_colour

if TYPE_CHECKING:
    from tui.notation import Notation


def start(score: Path | None, port: str = "", silent: bool = False) -> int:
    """Run the application until it is left; the device is given back whatever happens.

    Args:
        score: the score to open at once.
        port: a MIDI port to sound on; kept for the next time, "-" goes back to the sound card.
        silent: no sound.

    Raises:
        RequestError: keys do not come from a terminal, or what is drawn does not go to one.
    """
    if not all(stream is not None and stream.isatty() for stream in (sys.__stdin__, sys.__stderr__)):
        raise RequestError(
            "No terminal", "the screens need one", "open a terminal; `inbreath --help` says what does not"
        )
    settings = read_settings(settings_path(), known_names())
    # Asked first: the terminal may answer while everything else is being loaded.
    question = ask() if may_show_pictures(settings) else None
    try:
        return _run(score, settings, port, silent, question)
    finally:
        if question is not None:
            question.put_back()


def _run(score: Path | None, settings: Settings, port: str, silent: bool, question: TerminalQuestion | None) -> int:
    # Before the screen: from inside a running Textual application no process can be started.
    history = History(history_path())
    port = "" if port == "-" else port or history.recall("port")
    player = SoundProcess(Device("" if silent else port, audio=not silent))
    player.start()
    history.remember("port", port)
    notation = None
    try:
        from tui.app import InbreathApp

        notation = _notation(question)
        app = InbreathApp(score, history, settings, player, notation)
        with own_stderr():
            result = app.run()
        history.close()
        if app.fault is not None:
            raise app.fault
        return result or 0
    finally:
        player.close()
        if notation is not None:
            notation.close()


def may_show_pictures(settings: Settings) -> bool:
    """Pictures are shown by cells of a colour; where neither colours nor letters are free, nobody is asked."""
    return settings.notation == "auto" and wants_colour() and not terminal_is_plain(settings.letters)


def _notation(question: TerminalQuestion | None) -> "Notation | None":
    cell = question.answer() if question is not None else None
    if cell is None:
        return None
    from score.parts.picture_process import PictureProcess
    from tui.notation import Notation

    process = PictureProcess()
    process.start()
    return Notation(process, cell)
