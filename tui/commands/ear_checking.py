"""`inbreath sound --hear`: whether a microphone, or a file in its place, can judge passes, and what would help."""

import time
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import click

from score.errors import RequestError
from tui.commands.command_common import print_json
from tui.ear_choice import EarChoice, EarKind, count_in_name, delay_name
from tui.keyboard import Keyboard

if TYPE_CHECKING:
    from score.playback.sounding.sound_process import SoundProcess
    from score.takes.ear_check import EarCheck
    from score.takes.live_sound import CaughtBlock, CaughtSound
    from score.takes.pad_delay_text import PadDelay

KEYS = "keys"
_PATIENCE = 8.0
"""Seconds beyond the check's own length after which nothing more is to be expected."""
_OPEN = "The microphone is open for 12 seconds: stay quiet until the clicks are over, then play some strokes."
_FROM_FILE = "The file is heard for 12 seconds as if it were a microphone."
_CAUTION = "Care for your ears: start headphones low, and take a break from loud rooms."


class HeardCheck(NamedTuple):
    """What was heard while the check played.

    Attributes:
        sound: of the microphone.
        begins: frame with which the check begins.
        moment: of `time.perf_counter` at which that frame should be heard.
        stamps: of the pad, on that clock.
    """

    sound: "CaughtSound"
    begins: int
    moment: float = 0.0
    stamps: tuple[float, ...] = ()


def check_by_ear(file: Path | None, headphones: bool, as_json: bool, pad: str = "") -> None:
    """Check and say.

    Args:
        file: heard instead of a microphone, None for none.
        headphones: whether the player wears some.
        as_json: print the check as JSON.
        pad: MIDI port or "keys" whose delay is measured by its thuds and kept, "" for none.

    Raises:
        RequestError: there is nothing to hear with, or it was lost.
    """
    from score.playback.recording_file import check_recording
    from score.takes.ear_check import check_ear

    if file is not None:
        check_recording(file)
    if not as_json:
        click.echo(_CAUTION)
        click.echo(_FROM_FILE if file is not None else _OPEN)
        if pad:
            click.echo("Strike the pad a few times, hard enough for the microphone to hear.")
    heard = _heard(file, pad)
    caught = heard.sound.between(heard.begins, heard.begins + _frames())
    check = check_ear(caught, headphones)
    delay = _pad_delay(caught, heard, check, pad) if pad else None
    if as_json:
        print_json(check._asdict() | (_pad_json(delay) if delay is not None else {}))
    else:
        click.echo("\n".join([*_lines(check), *([_pad_line(delay, check)] if delay is not None else [])]))


def _pad_delay(caught: "CaughtBlock", heard: HeardCheck, check: "EarCheck", pad: str) -> "PadDelay":
    """Measured, and kept for passes where it can be trusted."""
    from score.takes.ear_check import CLICKS_SECONDS, QUIET_SECONDS
    from score.takes.history import History
    from score.takes.pad_delay import pad_delay, silent_but
    from score.takes.pad_delay_text import PadDelay
    from tui import clock
    from tui.settings import history_path

    if check.delay_ms is None:
        return PadDelay(0.0, 0.0, 0)
    first = QUIET_SECONDS + CLICKS_SECONDS
    stamps = [stamp - heard.moment for stamp in heard.stamps]
    delay = pad_delay(silent_but(caught.heard, first), stamps, check.delay_ms / 1000)
    if delay.is_trusted:
        history = History(history_path())
        history.remember(delay_name(_choice(pad)), delay._replace(day=str(clock.today())).text())
        # How count-ins were struck belonged to the delay before.
        history.remember(count_in_name(_choice(pad)), "")
        history.close()
    return delay


def _choice(pad: str) -> EarChoice:
    return EarChoice(EarKind.KEYS) if pad == KEYS else EarChoice(EarKind.MIDI, pad)


def _pad_json(delay: "PadDelay") -> dict[str, object]:
    ms = (round(1000 * delay.seconds, 2), round(1000 * delay.spread, 2)) if delay.is_trusted else (None, None)
    return {"pad_delay_ms": ms[0], "pad_spread_ms": ms[1], "pad_strokes": delay.strokes}


def _pad_line(delay: "PadDelay", check: "EarCheck") -> str:
    if delay.is_trusted:
        ms = f"{1000 * delay.seconds:.0f} ms, spread {1000 * delay.spread:.1f} ms"
        return f"pad: {ms}, from {delay.strokes} strokes; saved, and allowed for in passes played on it"
    if check.delay_ms is None:
        return "The delay of the pad cannot be measured: the microphone has to hear the clicks too."
    heard = f"pad and microphone both heard {delay.strokes} strokes"
    return f"The delay of the pad cannot be measured: {heard}. Strike harder."


def _heard(file: Path | None, pad: str) -> HeardCheck:
    from score.playback.sounding.sound_messages import Listen
    from score.playback.sounding.sound_process import Device, SoundProcess
    from score.takes.ear_check import check_timeline

    player = SoundProcess(Device(audio=file is None))
    player.start()
    try:
        port = "" if pad == KEYS else pad
        player.listen(Listen(port, microphone=file is None, file=str(file) if file is not None else ""))
        player.load(check_timeline())
        player.play()
        return _gathered(player, pad == KEYS)
    finally:
        player.close()


def _gathered(player: "SoundProcess", keys: bool) -> HeardCheck:
    """Everything that was heard."""
    from score.playback.sounding.sound_messages import Caught, EarLost, PassTime, Said, Struck
    from score.takes.live_sound import CaughtSound

    sound, begins, moment, trouble = CaughtSound(), 0, 0.0, ""
    stamps: list[float] = []
    deadline = time.monotonic() + _frames() / 48_000 + _PATIENCE
    with Keyboard() as keyboard:
        while time.monotonic() < deadline:
            if keys and keyboard.key():
                stamps.append(time.perf_counter())
            for report in player.reports():
                if isinstance(report, EarLost):
                    raise RequestError("Nothing to hear with", report.text, "tapped keys and MIDI pads work without")
                if isinstance(report, PassTime):
                    begins, moment = report.frame, report.moment
                elif isinstance(report, Struck):
                    stamps.append(report.stroke.seconds)
                elif isinstance(report, Caught):
                    sound.add(report.frame, report.heard, report.sent)
                    if report.frame >= begins + _frames():
                        return HeardCheck(sound, begins, moment, stamps=tuple(stamps))
                elif isinstance(report, Said) and report.is_trouble:
                    trouble = report.text
            time.sleep(0.001 if keys else 0.02)
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
