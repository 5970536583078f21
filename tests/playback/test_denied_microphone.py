"""Every way in which the audio library can refuse a microphone, with a library that does as it is told to.

From the source of miniaudio's Python wheel (1.71): an error where a context or a device is made, one where the device
is started, a device that never asks for frames or asks no more. Zeros in place of sound are what macOS hands to a
program without permission (Apple, "Requesting authorization to capture and save media"; from memory).
"""

import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from score.playback.sounding.sound_messages import Caught, EarLost, Listen, Report, Stopped
from score.playback.sounding.sound_process import Device, SoundProcess
from tests.longer import longer
from tests.playback.card_library import write_card_library
from tests.playback.test_ears import notes, until

# Sound cards that do what a file says; they write down what was opened, started and closed.
CARDS = """
def way():
    return open(os.environ["CARD_WAY"]).read()

class _Card(Card):
    def __init__(self, **settings):
        super().__init__(**settings)
        self.refuses("context", "cannot init context")
        self.refuses("device", "failed to init device")
        self.note("opened")
    def note(self, what):
        with open(os.environ["CARD_NOTES"], "a") as file:
            file.write(f"{type(self).__name__} {what}\\n")
    def refuses(self, when, text):
        if self.hears and way() == when:
            raise MiniaudioError(text, -22)
    def start(self, sound):
        self.refuses("start", "failed to start audio device")
        self.note("started")
        super().start(sound)
    def close(self):
        super().close()
        self.note("closed")
    def run(self):
        asked, begun = 0, time.perf_counter()
        while self.open and not (self.hears and (way() == "hangs" or way() == "goes" and asked > 40)):
            self.sound.send(bytes(4 * self.frames) if self.hears else self.frames)
            asked += 1
            time.sleep(max(0.0, begun + asked * self.frames / 48_000 - time.perf_counter()))

class PlaybackDevice(_Card):
    hears = False
class DuplexStream(_Card):
    hears = True
"""
WAYS = {
    "context": "No microphone: plug one in or let your terminal use it (cannot init context)",
    "device": "No microphone: plug one in or let your terminal use it (failed to init device)",
    "start": "No microphone: plug one in or let your terminal use it (failed to start audio device)",
    "hangs": "The microphone has gone: plug it in and choose it again",
    "goes": "The microphone has gone: plug it in and choose it again",
    "zeros": "",
}


@pytest.fixture
def card(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[SoundProcess]:
    write_card_library(tmp_path, CARDS)
    monkeypatch.syspath_prepend(str(tmp_path))
    monkeypatch.setenv("CARD_WAY", str(tmp_path / "way"))
    monkeypatch.setenv("CARD_NOTES", str(tmp_path / "cards"))
    (tmp_path / "way").write_text("")
    player = SoundProcess(Device(backend="SIMULATED"))
    player.start()
    yield player
    player.close()


@pytest.mark.parametrize("ways", [("context", "device", "start", "zeros"), longer(("hangs", "goes"))])
def test_one_line_says_what_to_do_and_the_pass_goes_on_with_sound(
    card: SoundProcess, tmp_path: Path, ways: tuple[str, ...]
) -> None:
    for way in ways:
        (tmp_path / "way").write_text(way)
        (tmp_path / "cards").write_text("")
        reports = passed(card, 45 if way in ("hangs", "goes") else 3)
        lost = [report.text for report in reports if isinstance(report, EarLost)]
        assert lost == ([WAYS[way]] if WAYS[way] else [])
        caught = [report for report in reports if isinstance(report, Caught)]
        assert not any(np.frombuffer(block.heard, np.float32).any() for block in caught)
        until_one_sounds(tmp_path / "cards")


def passed(card: SoundProcess, count: int) -> list[Report]:
    """What is reported of a pass of so many notes that is to be heard."""
    card.listen(Listen(microphone=True))
    card.load(notes(count))
    card.reports()
    card.play()
    return until(card, lambda report: isinstance(report, Stopped))


def until_one_sounds(cards: Path) -> None:
    """Until one card is open, one that only plays, and every other was closed again."""
    deadline = time.monotonic() + 20
    while time.monotonic() < deadline:
        lines = cards.read_text().split("\n")
        duplex = lines.count("DuplexStream opened") == lines.count("DuplexStream closed")
        if duplex and [line for line in lines if "Playback" in line][-2:] == [
            "PlaybackDevice opened",
            "PlaybackDevice started",
        ]:
            return
        time.sleep(0.02)
    raise AssertionError(lines)
