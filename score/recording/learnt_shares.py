"""How the strokes without pitch sound in this very recording: learnt from where a first look has put them.

Source of the method: non-negative matrix factorisation with the divergence of Kullback and Leibler (Lee & Seung, Nature
401, 1999), begun with the table's shares and held to the strokes that the score says.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from score.recording.heard_run import HeardRun
from score.recording.score_moments import NO_PITCH, WrittenMusic
from score.recording.semitones import Array
from score.recording.snap import Attacks
from score.recording.unpitched_bands import BANDS, pitch_shares

_ROUNDS = 40
_TABLE = 0.25
"""How much of the table is kept, against what was learnt."""
_FEWEST = 3
_PITCHES = (48, 60, 72, 84)
"""MIDI numbers that stand for pitched strokes, which sound along."""


def learnt_shares(music: WrittenMusic, attacks: Attacks, runs: Sequence[HeardRun], shares: Array) -> Array:
    """Shares of each sort as they are heard; those of a sort with few strokes stay.

    Args:
        music: the written music.
        attacks: of the recording.
        runs: where its moments were put; only those that fit there are listened to.
        shares: as they were taken so far, shape (sorts, BANDS).
    """
    sorts, trusted = len(shares), [run.trusted for run in runs]
    heard = np.concatenate(
        [attacks.spectra(run.placed.seconds[fits]) for run, fits in zip(runs, trusted, strict=True)]
        or [np.zeros((0, BANDS))]
    )
    if len(heard) < _FEWEST * max(1, sorts):
        return shares
    moments = np.concatenate([run.placed.moments[fits] for run, fits in zip(runs, trusted, strict=True)])
    strokes = np.array([_strokes(music, float(quarter), sorts) for quarter in music.moment_quarters[moments]])
    pitched = np.array([pitch_shares(pitch) for pitch in _PITCHES], np.float32)
    templates = np.concatenate([shares, pitched]) + 1e-3
    learnt = _factored(heard, strokes, templates, sorts)
    often = (strokes[:, :sorts] > 0).sum(axis=0) >= _FEWEST
    mixed = _TABLE * _unit(shares) + (1 - _TABLE) * _unit(learnt[:sorts])
    return np.asarray(np.where(often[:, None], mixed, _unit(shares)), np.float32)


def _strokes(music: WrittenMusic, quarter: float, sorts: int) -> NDArray[np.float64]:
    notes = music.notes
    here = slice(*np.searchsorted(notes.onset, (quarter - 1e-6, quarter + 1e-6)))
    row = np.zeros(sorts + len(_PITCHES))
    for pitch, sort in zip(notes.pitch[here], notes.sort[here], strict=True):
        row[sort if pitch == NO_PITCH else sorts + int(np.argmin(np.abs(np.array(_PITCHES) - pitch)))] = 1.0
    return row


def _factored(
    heard: NDArray[np.float64], strokes: NDArray[np.float64], templates: NDArray[np.floating], sorts: int
) -> NDArray[np.float64]:
    loud, shapes = strokes.copy(), templates.astype(float)
    for _ in range(_ROUNDS):
        loud *= (heard / (loud @ shapes + 1e-6)) @ shapes.T / (shapes.sum(axis=1)[None] + 1e-9)
        update = loud.T @ (heard / (loud @ shapes + 1e-6)) / (loud.sum(axis=0)[:, None] + 1e-9)
        shapes[:sorts] *= update[:sorts]
        shapes /= np.linalg.norm(shapes, axis=1, keepdims=True) + 1e-9
    return shapes


def _unit(rows: NDArray[np.floating]) -> NDArray[np.float64]:
    return np.asarray(rows / (np.linalg.norm(rows, axis=1, keepdims=True) + 1e-9), np.float64)
