"""From the key that plays along to the first sound, by the clock: ``pytest tests/bench/bench_recording_key.py -s``.

The whole program in a pseudo-terminal with a simulated card, which writes down when it was first given sound. The
recording is noise, compressed, whose bars the store knows already; the chunk, 40 s of the sample, is one that was never
heard. Remembered from an earlier session it is made ready beside the screen; named now, all is done after the answer.
The card's own buffers come on top: 60 ms with the usual ones. It says something on a quiet machine only.
"""

import json
import os
import shutil
import time
from contextlib import closing
from pathlib import Path

import numpy as np
import pytest
import soundfile

from score.piece import Piece
from score.reading import read_score
from score.recording.heard_bars import HeardBar, HeardOnset, HeardRecording
from score.recording.recording_store import recording_key
from score.takes.history import History
from tests.playback.card_library import write_card_library
from tests.recording.performances import perform
from tests.tui.test_terminal import Terminal
from tui.kept_recordings import recording_store
from tui.practice_setting import CLICKS

QUARTET = Path(__file__).parents[2] / "samples" / "quartet.musicxml"
RATE = 44_100
MOST_SECONDS = 0.6
_CHUNK = b"E"
"""A rehearsal mark at which a chunk of 40 s begins."""
# A card that goes by the clock and writes down when sound begins after silence.
CARD = """
RATE = 48_000

class PlaybackDevice(Card):
    def run(self):
        begun, done, sounded = time.perf_counter(), 0, False
        while self.open:
            sounds = any(self.sound.send(self.frames))
            if sounds and not sounded:
                with open(os.environ["CARD_NOTES"], "a") as file:
                    file.write(json.dumps(time.perf_counter()) + "\\n")
            sounded = sounds
            done += self.frames
            time.sleep(max(0.0, begun + done / RATE - time.perf_counter()))

class DuplexStream(PlaybackDevice): ...
"""


def _known_recording(piece: Piece, folder: Path, kind: str) -> Path:
    """A recording that was listened to in an earlier session."""
    played, path = perform(piece, 130), folder / f"take.{kind}"
    noise = np.random.default_rng(0).normal(0, 0.1, int(played.seconds * RATE))
    soundfile.write(path, noise, RATE)
    bars = tuple(HeardBar(bar.bar, 1, bar.start, end=bar.end, sure=1.0, doubt="", run=0) for bar in played.bars)
    onsets = tuple(HeardOnset(each.bar, 1, each.at, seconds=each.seconds) for each in played.moments)
    recording_store().keep(recording_key(piece, path), HeardRecording(played.seconds, 0.0, bars, onsets=onsets))
    return path


def _opened(here: Terminal, keys: bytes) -> None:
    """The chunk's practice screen, as a player has left it for a while."""
    here.until(b"Which player")
    here.press(b"2")
    here.until(b"you: 2")
    for key in (b"/", _CHUNK, b"\r", b"\r"):
        here.press(key, 1.0)
    here.until(b"count-in")
    # Neither count-in nor click: what sounds first is the recording.
    for key in (*keys, *b"iik", *[b"\x1b[B"] * CLICKS.index("none"), b"\r"):
        here.press(bytes([key]) if isinstance(key, int) else key)
    here.drain(3.0)


@pytest.mark.parametrize("how", ["own part in it", "own part softer", "60 %, own part in it", "60 %, own part softer"])
@pytest.mark.parametrize("kind", ["flac", "mp3"])
@pytest.mark.parametrize("known", ["remembered", "named now"])
def test_from_the_key_to_the_first_sound(
    known: str, kind: str, how: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_card_library(tmp_path, CARD)
    notes = tmp_path / "notes"
    monkeypatch.setenv("PYTHONPATH", f"{tmp_path}{os.pathsep}{Path(__file__).parents[2]}")
    monkeypatch.setenv("CARD_NOTES", str(notes))
    monkeypatch.setenv("INBREATH_READINGS", str(tmp_path / "kept"))
    score = Path(shutil.copy(QUARTET, tmp_path / "quartet.musicxml"))
    piece = read_score(score).piece
    path = _known_recording(piece, tmp_path, kind)
    if known == "remembered":
        with closing(History(tmp_path / "inbreath" / "history.sqlite")) as history:
            history.remember(f"recordings {piece.digest}", json.dumps([str(path)]))
    here = Terminal(tmp_path, str(score))
    try:
        _opened(here, (b"oo" if "in it" in how else b"") + (b"-" * 8 if "60" in how else b""))
        late = _key_to_sound(here, notes, b"P" if known == "remembered" else b"P%s\r" % str(path).encode())
    finally:
        here.close()
    print(f"\n  {known}, {kind}, {how}: {late:.3f} s")
    assert late <= MOST_SECONDS


def _key_to_sound(here: Terminal, notes: Path, keys: bytes) -> float:
    """Seconds from the key after which nothing is asked any more to when the card was given sound."""
    for key in keys[:-1]:
        here.press(bytes([key]), 0.1)
    pressed = time.perf_counter()
    here.press(keys[-1:], 0.0)
    here.until(b"P: the machine")
    here.press(b" ", 0.0)
    while not notes.exists():
        here.drain(0.1)
        assert time.perf_counter() < pressed + 60
    return float(json.loads(notes.read_text().splitlines()[0])) - pressed
