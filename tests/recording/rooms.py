"""Recordings as they are made: talk, a count-in, the music in a room, applause, noise; written as any file."""

from pathlib import Path

import numpy as np
import soundfile

from tests.recording.performances import Performance
from tests.recording.synthesis import RATE, Sound, applause, claps, noisy, render, room, speech

FORMATS = {
    "mp3": ("MP3", "MPEG_LAYER_III"),
    "flac": ("FLAC", "PCM_16"),
    "wav": ("WAV", "PCM_16"),
    "ogg": ("OGG", "VORBIS"),
}


def written(path: Path, sound: Sound) -> Path:
    """A sound as a file of the kind its name says; in pieces, since long ones bring OGG's encoder down."""
    kind, subtype = FORMATS[path.suffix.lstrip(".")]
    with soundfile.SoundFile(path, "w", RATE, 1, subtype, format=kind) as file:
        for start in range(0, len(sound), 16_000):
            file.write(sound[start : start + 16_000])
    return path


def in_a_room(path: Path, played: Performance, seed: int, cents: float = 0.0, tempo: float = 90.0) -> float:
    """Write a recording with talk before and applause after; gives back the second at which the music begins."""
    music = render(played.sounds, played.seconds, cents, seed=seed)
    talk = speech(10.0, seed=seed)
    counted = claps(4, tempo, seed=seed) if seed % 2 else np.zeros(0, np.float32)
    whole = np.concatenate([talk, counted, 0.7 * music / np.abs(music).max(), applause(10.0, seed=seed)])
    written(path, noisy(room(whole, seed=seed), seed=seed))
    return (len(talk) + len(counted)) / RATE
