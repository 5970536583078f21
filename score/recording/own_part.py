"""One's own part lower in a recording of everybody.

Score-informed factorisation (Ewert & Müller, Proc. IEEE ICASSP, 2012): for each player and note a template that rings
and one of the attack, sounding only where the score says; what one's own templates explain is taken out by a soft mask.
It makes a part lower; it never takes it away, least of all from another instrument of the same kind in the same octave.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from score.piece import Player, Stroke, StrokeKind
from score.recording.unpitched_bands import EDGES, FAMILIES, family

Samples = NDArray[np.float32]
Matrix = NDArray[np.float32]

_WINDOW, _HOP = 8192, 2048
_HIGHEST = 8000.0
_ROUNDS = 30
_PARTIALS = 12
_SPREAD = 0.045
_RINGS, _LONGEST = 0.8, 4.0
_LEAST = 0.05
"""Share of the sound that stays where one's own part explains all of it."""


class SoundedNote(NamedTuple):
    """A stroke as it was played.

    Attributes:
        seconds, length: when and how long it is held.
        stroke: the stroke.
        player: whose.
    """

    seconds: float
    length: float
    stroke: Stroke
    player: Player


class _NoteTemplate(NamedTuple):
    """What one template stands for: a player, and a pitch or, at -1, a family and the written places of a stroke."""

    player: int
    pitch: int
    family: str = ""
    places: str = ""


def lowered(sound: Samples, rate: int, notes: Sequence[SoundedNote], my_part: int) -> Samples:
    """The sound with one player's part lower.

    Args:
        sound: shape (frames,).
        rate: frames a second.
        notes: everything that is played in it.
        my_part: number of the player.
    """
    if not any(note.player.number == my_part for note in notes):
        return sound
    spectra = _spectra(sound)
    bins = min(spectra.shape[1], int(_HIGHEST * _WINDOW / rate))
    mine = _share(np.abs(spectra[:, :bins]).T, rate, notes, my_part)
    spectra[:, :bins] *= np.maximum(_LEAST, 1 - mine.T)
    return _joined(spectra, len(sound))


def _share(size: Matrix, rate: int, notes: Sequence[SoundedNote], my_part: int) -> Matrix:
    """How much of each bin and frame is one's own part, 0 to 1."""
    voices = sorted({voice for note in notes for voice in _voices(note)})
    templates, active = _begun(voices, notes, size.shape, rate)
    own = np.repeat([voice.player == my_part for voice in voices], 2)
    size = size + np.float32(1e-7)
    for _ in range(_ROUNDS):
        ratio = size / (templates @ active + np.float32(1e-9))
        active *= (templates.T @ ratio) / (templates.sum(axis=0)[:, None] + np.float32(1e-9))
        ratio = size / (templates @ active + np.float32(1e-9))
        templates *= (ratio @ active.T) / (active.sum(axis=1)[None] + np.float32(1e-9))
        scale = templates.sum(axis=0) + np.float32(1e-12)
        templates /= scale
        active *= scale[:, None]
    return np.asarray(templates[:, own] @ active[own] / (templates @ active + 1e-9), np.float32)


def _voices(note: SoundedNote) -> list[_NoteTemplate]:
    stroke, player = note.stroke, note.player
    if stroke.pitches:
        return [_NoteTemplate(player.number, pitch) for pitch in stroke.pitches]
    sort = family(player.instruments[stroke.instrument])
    return [_NoteTemplate(player.number, -1, sort, places="".join(stroke.places))]


def _begun(
    voices: Sequence[_NoteTemplate], notes: Sequence[SoundedNote], shape: tuple[int, ...], rate: int
) -> tuple[Matrix, Matrix]:
    """Templates and where they sound, as the score has them: two of each for a voice, ringing and attack."""
    bins, frames = shape
    templates, active = np.zeros((bins, 2 * len(voices)), np.float32), np.zeros((2 * len(voices), frames), np.float32)
    hertz = np.arange(bins) * rate / _WINDOW
    for index, voice in enumerate(voices):
        templates[:, 2 * index] = _ringing(voice, hertz, rate)
        templates[:, 2 * index + 1] = 0.05
    place = {voice: 2 * index for index, voice in enumerate(voices)}
    for note in notes:
        start = round(note.seconds * rate / _HOP)
        rings = min(_LONGEST, max(note.length, _RINGS) + _RINGS)
        stop = round((note.seconds + (note.length if note.stroke.kind is StrokeKind.ROLL else rings)) * rate / _HOP) + 1
        for voice in _voices(note):
            row = place[voice]
            active[row, max(0, start - 2) : max(0, stop)] = np.maximum(
                active[row, max(0, start - 2) : max(0, stop)], 0.3
            )
            active[row, max(0, start - 1) : max(0, start + 3)] = 1
            hit = stop if note.stroke.kind is StrokeKind.ROLL else start + 3
            active[row + 1, max(0, start - 2) : max(0, hit)] = 1
    return templates, active


def _ringing(voice: _NoteTemplate, hertz: NDArray[np.float64], rate: int) -> Matrix:
    template = np.zeros(len(hertz), np.float32)
    if voice.pitch < 0:
        for low, high, share in zip(EDGES[:-1], EDGES[1:], FAMILIES[voice.family], strict=True):
            template[(hertz >= low) & (hertz < high)] = share + 0.02
        return template
    first = 440 * 2 ** ((voice.pitch - 69) / 12)
    for partial in range(1, _PARTIALS + 1):
        width = max(3.2 * rate / _WINDOW, first * partial * _SPREAD)
        template[np.abs(hertz - first * partial) < width] = 1 / partial**1.2
    return template


def _spectra(sound: Samples) -> NDArray[np.complex64]:
    from scipy.fft import rfft

    shape = np.hanning(_WINDOW + 1)[:-1].astype(np.float32)
    padded = np.pad(sound, (_WINDOW // 2, _WINDOW))
    views = np.lib.stride_tricks.sliding_window_view(padded, _WINDOW)[::_HOP]
    return np.asarray(rfft(views * shape, axis=1), np.complex64)


def _joined(spectra: NDArray[np.complex64], frames: int) -> Samples:
    from scipy.fft import irfft

    shape = np.hanning(_WINDOW + 1)[:-1].astype(np.float32)
    sound = np.zeros(len(spectra) * _HOP + _WINDOW, np.float32)
    weight = np.zeros_like(sound)
    for index, spectrum in enumerate(spectra):
        place = slice(index * _HOP, index * _HOP + _WINDOW)
        sound[place] += np.asarray(irfft(spectrum, _WINDOW), np.float32) * shape
        weight[place] += shape * shape
    return np.asarray((sound / np.maximum(weight, 1e-3))[_WINDOW // 2 : _WINDOW // 2 + frames], np.float32)
