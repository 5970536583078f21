"""`inbreath takes`: a pass played back with the others in step, into a sound file or on the sound card."""

import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import click

from score.errors import RequestError
from tui.settings import audio_path

if TYPE_CHECKING:
    from score.piece import Piece
    from score.playback.sound_events import Timeline
    from score.takes.in_step import PassOver
    from score.takes.judged_pass import JudgedPass
    from score.takes.kept_takes import KeptTake

_PATIENCE = 10.0


class AskedPass(NamedTuple):
    """The pass that is asked for.

    Attributes:
        over: what was played.
        judged: what became of it.
        file: its recording, None for a pass that was kept.
        take: the pass that was kept, None for a recording.
    """

    over: "PassOver"
    judged: "JudgedPass"
    file: Path | None = None
    take: "KeptTake | None" = None


def play_back(piece: "Piece", asked: AskedPass, mixed: Path | None, listen: bool) -> None:
    """A pass with the others in step.

    Args:
        piece: the piece.
        asked: the pass.
        mixed: the sound file to write, None for none.
        listen: play it.

    Raises:
        RequestError: nobody knows where the others belong, or there is nothing to sound on.
        WritingError: the file cannot be written.
    """
    from score.playback.sound_file import sound_format
    from score.takes.played_back import write_played_back

    if mixed is not None:
        sound_format(mixed)
    # What is laid down for whoever sounds it goes again, as the sound it was made of is the player's own.
    with tempfile.TemporaryDirectory() as folder:
        sounds = _sounds(piece, asked, Path(folder))
        if mixed is not None:
            title = f"{piece.title}: {piece.player(asked.over.player).name} with the others"
            click.echo(str(write_played_back(sounds, mixed, title)), err=True)
        if listen:
            _listen(sounds)


def _sounds(piece: "Piece", asked: AskedPass, folder: Path) -> "Timeline":
    from score.takes.played_back import file_with_others, saved_sound, take_with_others

    over, take = asked.over, asked.take
    if asked.file is not None:
        return file_with_others(piece, over, asked.judged, asked.file, folder)
    assert take is not None
    if saved_sound(take, audio_path()) is None:
        click.echo("No sound of this pass was saved: its strokes are played on the machine's instrument.", err=True)
    return take_with_others(piece, over, take, audio_path(), folder)


def _listen(sounds: "Timeline") -> None:
    """Play it to its end.

    Raises:
        RequestError: there is nothing to sound on.
    """
    from score.playback.sounding.sound_messages import Said, Stopped
    from score.playback.sounding.sound_process import Device, SoundProcess

    player = SoundProcess(Device())
    player.start()
    try:
        player.load(sounds)
        player.play()
        deadline = time.monotonic() + sounds.seconds + _PATIENCE
        while time.monotonic() < deadline:
            for report in player.reports():
                if isinstance(report, Said) and report.is_trouble:
                    raise RequestError(
                        "Nothing to sound on", "no sound card can be opened", "write a sound file with --mixed FILE"
                    )
                if isinstance(report, Stopped):
                    return
            time.sleep(0.02)
    finally:
        player.close()
