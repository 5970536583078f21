"""`inbreath sound`: what there is to sound on, and a test."""

import time
from pathlib import Path
from typing import Any

import click

from tui.commands.command_common import json_option, print_json


@click.command("sound")
@click.option("--port", default="", metavar="NAME", help="Test this MIDI port instead of the sound card.")
@click.option("--quiet", is_flag=True, help="Only list; play nothing.")
@click.option(
    "--hear", is_flag=True, help="Check whether the microphone can judge passes: play some strokes when asked."
)
@click.option("--headphones", is_flag=True, help="With --hear: you wear headphones, the clicks need not be heard.")
@click.option(
    "--file", type=click.Path(path_type=Path), metavar="FILE", help="With --hear: hear this sound file instead."
)
@click.option(
    "--pad", default="", metavar="NAME", help='With --hear: measure the delay of this MIDI port, or of "keys".'
)
@json_option
def command(port: str, quiet: bool, as_json: bool, **asked: Any) -> None:
    """List sound cards and MIDI ports, and play a short test: four clicks and four notes.

    A click on a MIDI port stays on time beside a busy screen: where the system grants no real-time priority, the
    program stays awake just before each stroke, for sixteenths at 120 about 1.5 % of one core.

    With --hear: listen to the room, to clicks of its own, and to some strokes of yours. With --json its keys are
    noise_db, clicks_db, strokes_db (decibels of full scale, null where nothing is heard), delay_ms (null where the
    clicks are not heard), quality, judging, help. Nothing that is heard is saved. With --pad the microphone hears the
    thuds of the pad's strokes too, and its delay is saved for the passes you play on it: pad_delay_ms with
    pad_spread_ms (null where it cannot be told), from pad_strokes.
    """
    if asked["hear"] or asked["file"] is not None or asked["pad"]:
        from tui.commands.ear_checking import check_by_ear

        check_by_ear(asked["file"], asked["headphones"], as_json, asked["pad"])
        return
    from score.playback.sounding.sound_devices import find_devices

    devices = find_devices()
    if as_json:
        print_json({"ports": devices.ports, "cards": devices.cards, "notes": devices.notes})
        return
    for kind, names in (("MIDI port", devices.ports), ("sound card", devices.cards)):
        for name in names:
            click.echo(f"{kind}: {name}")
    for note in devices.notes:
        click.echo(note)
    if not quiet:
        _test(port)


def _test(port: str) -> None:
    from score.playback.sound_events import CLICK, CLICK_PLAYER, Strike, Timeline
    from score.playback.sounding.sound_messages import Said, Stopped
    from score.playback.sounding.sound_process import Device, SoundProcess

    clicks = [Strike(i * 0.4, 0.05, CLICK_PLAYER, voice=CLICK, pitch=None, velocity=90) for i in range(4)]
    notes = [
        Strike(1.6 + i * 0.4, 0.4, 1, voice="marimba", pitch=pitch, velocity=90)
        for i, pitch in enumerate((60, 64, 67, 72))
    ]
    player = SoundProcess(Device(port))
    player.start()
    try:
        player.load(Timeline((*clicks, *notes), 4.0))
        player.play()
        deadline = time.monotonic() + 15
        trouble = ""
        while time.monotonic() < deadline:
            reports = player.reports()
            trouble = next((report.text for report in reports if isinstance(report, Said)), trouble)
            if trouble or any(isinstance(report, Stopped) for report in reports):
                break
            time.sleep(0.02)
    finally:
        player.close()
    click.echo(trouble or "Four clicks and four notes of a marimba have been played.")
