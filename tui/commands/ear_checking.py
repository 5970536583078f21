"""`inbreath sound --hear`: whether a microphone, or a file in its place, can judge passes, and what would help."""

import time
from pathlib import Path
from typing import TYPE_CHECKING

import click

from score.errors import RequestError
from tui.commands.command_common import print_json

if TYPE_CHECKING:
    from score.playback.sounding.sound_process import SoundProcess
    from score.takes.ear_check import EarCheck
    from score.takes.live_sound import CaughtSound

_PATIENCE = 8.0
"""Seconds beyond the check's own length after which nothing more is to be expected."""
_OPEN = "The microphone is open for 12 seconds: stay quiet until the clicks are over, then play some strokes."
_FROM_FILE = "The file is heard for 12 seconds as if it were a microphone."
_CAUTION = "Care for your ears: start headphones low, and take a break from loud rooms."


def check_by_ear(file: Path | None, headphones: bool, as_json: bool) -> None:
    """Check and say.

    Raises:
        RequestError: there is nothing to hear with, or it was lost.
    """
    from score.takes.ear_check import check_ear

    if not as_json:
        click.echo(_CAUTION)
        click.echo(_FROM_FILE if file is not None else _OPEN)
    caught, begins = _caught(file)
    check = check_ear(caught.between(begins, begins + _frames()), headphones)
    if as_json:
        print_json(check._asdict())
    else:
        click.echo("\n".join(_lines(check)))


def _caught(file: Path | None) -> "tuple[CaughtSound, int]":
    from score.playback.sounding.sound_messages import Listen
    from score.playback.sounding.sound_process import Device, SoundProcess
    from score.takes.ear_check import check_timeline

    player = SoundProcess(Device(audio=file is None))
    player.start()
    try:
        player.listen(Listen(microphone=file is None, file=str(file) if file is not None else ""))
        player.load(check_timeline())
        player.play()
        return _gathered(player)
    finally:
        player.close()


def _gathered(player: "SoundProcess") -> "tuple[CaughtSound, int]":
    """Everything that was heard, and the frame with which the check begins."""
    from score.playback.sounding.sound_messages import Caught, EarLost, PassTime, Said
    from score.takes.live_sound import CaughtSound

    sound, begins, trouble = CaughtSound(), 0, ""
    deadline = time.monotonic() + _frames() / 48_000 + _PATIENCE
    while time.monotonic() < deadline:
        for report in player.reports():
            if isinstance(report, EarLost):
                raise RequestError("Nothing to hear with", report.text, "tapped keys and MIDI pads work without")
            if isinstance(report, PassTime):
                begins = report.frame
            elif isinstance(report, Caught):
                sound.add(report.frame, report.heard, report.sent)
                if report.frame >= begins + _frames():
                    return sound, begins
            elif isinstance(report, Said) and report.is_trouble:
                trouble = report.text
        time.sleep(0.02)
    raise RequestError("Nothing came in", trouble or "the microphone gives no sound", "plug it in anew and try again")


def _frames() -> int:
    from score.takes.ear_check import check_timeline

    return round(check_timeline().seconds * 48_000)


def _lines(check: "EarCheck") -> list[str]:
    levels = (("room", check.noise_db), ("clicks", check.clicks_db), ("strokes", check.strokes_db))
    lines = [f"{name}: {level:.0f} dB" for name, level in levels if level is not None]
    if check.delay_ms is not None:
        lines.append(f"delay: {check.delay_ms:.1f} ms, found anew in each count-in")
    lines.append("Passes can be judged." if check.judging else "Passes cannot be judged like this.")
    return [*lines, *check.help]
