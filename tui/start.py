"""Starting the screens: the player process first, then the application."""

from pathlib import Path

from score.playback.sounding.sound_process import Device, PlayerProcess
from score.takes.history import History
from tui.keys import known_names
from tui.settings import history_path, read_settings, settings_path


def start(score: Path | None, port: str = "", silent: bool = False) -> int:
    """Run the application until it is left; the device is given back whatever happens.

    Args:
        score: the score to open at once.
        port: a MIDI port to sound on; kept for the next time, "-" goes back to the sound card.
        silent: no sound.
    """
    # Before the screen: from inside a running Textual application no process can be started.
    history = History(history_path())
    port = "" if port == "-" else port or history.recall("port")
    player = PlayerProcess(Device("" if silent else port, audio=not silent))
    player.start()
    history.remember("port", port)
    try:
        from tui.app import InbreathApp

        settings = read_settings(settings_path(), known_names())
        app = InbreathApp(score, history, settings, player)
        result = app.run()
        history.close()
        return result or 0
    finally:
        player.close()
