"""Sound files: read back by the library, as long as the timeline says, even in loudness, whole or not at all."""

from collections.abc import Iterator
from math import inf
from pathlib import Path

import numpy as np
import pyloudnorm
import pytest
import soundfile

from score.errors import RequestError, WritingError
from score.playback.loudness import CEILING, TARGET, Block, Loudness, evened, gated_loudness, k_weighting
from score.playback.mixing import render
from score.playback.sound_events import Strike, Timeline
from score.playback.sound_file import FORMATS, write_sound


def read_sound(path: Path) -> tuple[np.ndarray, int]:
    """As soundfile reads it: frames by channels."""
    return soundfile.read(path, dtype="float32", always_2d=True)  # type: ignore[no-any-return]


RATE = 48_000


def tune(voice: str, seconds: float = 6.0, velocity: int = 90, low: int = 60, each: float = 0.2) -> Timeline:
    count = int(seconds / each)
    pitches = [None if low == 0 else float(low + 5 * i % 17) for i in range(count)]
    return Timeline(
        tuple(Strike(i * each, inf, 1, voice=voice, pitch=p, velocity=velocity) for i, p in enumerate(pitches)), seconds
    )


TRACKS = {
    "marimba": tune("marimba"),
    "soft vibraphone": tune("vibraphone", velocity=30),
    "glockenspiel": tune("glockenspiel", low=84),
    "claves": tune("claves", low=0, each=0.5),
    "snare drum": tune("snare-drum", low=0),
    "bass drum": tune("bass-drum", low=0, each=0.6),
    "tam-tam": tune("tam-tam", low=0, each=2.0),
    "click": tune("click", low=0, each=0.5),
}


def in_blocks(sound: Block, size: int) -> Iterator[Block]:
    for start in range(0, len(sound), size):
        yield sound[start : start + size]


@pytest.mark.parametrize("kind", sorted(FORMATS))
@pytest.mark.parametrize("seconds", [0.5, 3.21])
def test_a_decoded_file_is_as_long_as_the_timeline_and_keeps_its_tags(
    kind: str, seconds: float, tmp_path: Path
) -> None:
    timeline, path = tune("marimba", seconds), tmp_path / f"track.{kind}"
    tags = {
        "title": "Übung: Takte 17–32",
        "artist": "Player 2",
        "album": "A quartet",
        "tracknumber": "3",
        "comment": "",
    }
    frames = write_sound(path, render(timeline), RATE, tags=tags)
    sound, rate = read_sound(path)
    assert (rate, len(sound), frames) == (RATE, round(seconds * RATE), round(seconds * RATE))
    assert sound.shape[1] == 2
    with soundfile.SoundFile(path) as file:
        assert (file.title, file.artist, file.album) == (tags["title"], "Player 2", "A quartet")


@pytest.mark.parametrize("kind", sorted(FORMATS))
def test_decoded_sound_stands_where_it_was_written(kind: str, tmp_path: Path) -> None:
    written = np.concatenate(list(evened(render(tune("marimba", 2.0)), RATE)))
    write_sound(tmp_path / f"t.{kind}", [written], RATE)
    sound = read_sound(tmp_path / f"t.{kind}")[0]
    spectrum = np.fft.rfft(sound[:, 0], 1 << 18) * np.conj(np.fft.rfft(written[:, 0], 1 << 18))
    lag = int(np.argmax(np.fft.irfft(spectrum)))
    assert min(lag, (1 << 18) - lag) <= 1
    error = np.sqrt(np.mean((sound - written) ** 2)) / np.sqrt(np.mean(written**2))
    assert error < (0.001 if kind in ("wav", "flac") else 0.15)


def test_a_minute_of_ogg_in_one_block_is_written_in_pieces(tmp_path: Path) -> None:
    noise = np.random.default_rng(1).uniform(-0.3, 0.3, (60 * 8000, 1)).astype(np.float32)
    assert write_sound(tmp_path / "long.ogg", [noise], 8000) == 60 * 8000
    assert len(read_sound(tmp_path / "long.ogg")[0]) == 60 * 8000


def test_mono_and_empty_files(tmp_path: Path) -> None:
    write_sound(tmp_path / "mono.flac", [np.zeros(1000, np.float32)], RATE)
    assert read_sound(tmp_path / "mono.flac")[0].shape == (1000, 1)
    assert write_sound(tmp_path / "none.wav", [], RATE) == 0


def test_a_failure_in_the_middle_leaves_the_old_file_and_nothing_else(tmp_path: Path) -> None:
    path = tmp_path / "track.flac"
    write_sound(path, render(tune("marimba", 1.0)), RATE)
    old = path.read_bytes()

    def broken() -> Iterator[Block]:
        yield np.zeros((5000, 2), np.float32)
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        write_sound(path, broken(), RATE)
    assert path.read_bytes() == old
    assert [file.name for file in tmp_path.iterdir()] == ["track.flac"]


def test_what_cannot_be_written_is_said(tmp_path: Path) -> None:
    silence = [np.zeros((10, 2), np.float32)]
    (tmp_path / "file").write_text("no folder")
    with pytest.raises(WritingError, match="file"):
        write_sound(tmp_path / "file" / "track.wav", silence, RATE)
    with pytest.raises(RequestError, match=r"use wav, flac, ogg, mp3"):
        write_sound(tmp_path / "track.aiff", silence, RATE)
    with pytest.raises(RequestError, match="MP3 ends at 48,000"):
        write_sound(tmp_path / "track.mp3", silence, 96_000)


def test_the_weighting_is_the_standards() -> None:
    # ITU-R BS.1770-4, tables 1 and 2: coefficients at 48 kHz (memory).
    shelf, high_pass = k_weighting(48_000)
    printed = [1.53512485958697, -2.69169618940638, 1.19839281085285, 1.0, -1.69065929318241, 0.73248077421585]
    assert shelf == pytest.approx(printed, abs=1e-6)
    assert high_pass == pytest.approx([1.0, -2.0, 1.0, 1.0, -1.99004745483398, 0.99007225036621], abs=1e-6)


def test_a_full_scale_sine_measures_as_the_standard_says() -> None:
    # BS.1770-4: 0 dBFS at 997 Hz in one channel measures -3.01 LKFS.
    sine = np.sin(2 * np.pi * 997 * np.arange(5 * RATE) / RATE)
    meter = Loudness(RATE)
    meter.add(np.stack([sine, 0 * sine], axis=1).astype(np.float32))
    assert gated_loudness(meter.powers()) == pytest.approx(-3.01, abs=0.02)


@pytest.mark.parametrize("name", sorted(TRACKS))
def test_loudness_agrees_with_pyloudnorm(name: str) -> None:
    sound = np.concatenate(list(render(TRACKS[name])))
    meter = Loudness(RATE)
    for block in in_blocks(sound, 7001):
        meter.add(block)
    theirs = pyloudnorm.Meter(RATE).integrated_loudness(sound.astype(float))
    assert gated_loudness(meter.powers()) == pytest.approx(theirs, abs=0.1)


def test_tracks_are_even_within_one_unit_and_under_the_ceiling(tmp_path: Path) -> None:
    measured = {}
    for name, timeline in TRACKS.items():
        path = tmp_path / f"{name}.flac"
        write_sound(path, evened(render(timeline), RATE), RATE)
        sound = read_sound(path)[0]
        assert len(sound) == round(timeline.seconds * RATE)
        assert np.abs(sound).max() <= CEILING + 1e-4
        measured[name] = pyloudnorm.Meter(RATE).integrated_loudness(sound.astype(float))
    assert max(measured.values()) - min(measured.values()) < 1.0, measured
    assert measured["marimba"] == pytest.approx(TARGET, abs=0.3)
    # Without evening they are far apart, or the check above would say nothing.
    raw = [pyloudnorm.Meter(RATE).integrated_loudness(np.concatenate(list(render(t)))) for t in TRACKS.values()]
    assert max(raw) - min(raw) > 10


def test_the_limiter_does_not_depend_on_blocks_and_silence_stays_silence() -> None:
    sound = np.concatenate(list(render(TRACKS["claves"])))
    one, many = (np.concatenate(list(evened(in_blocks(sound, size), RATE, -12.0))) for size in (10**7, 999))
    assert np.max(np.abs(one - many)) < 1e-6
    assert np.abs(one).max() > 0.7 * CEILING
    silence = np.zeros((RATE, 2), np.float32)
    assert np.array_equal(np.concatenate(list(evened([silence], RATE))), silence)
    assert list(evened([], RATE)) == []
