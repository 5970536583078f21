"""Passes performed for tests: expected strokes bent by chance, with their truth, as blows for a synthesizer.

Seeds below 100 were used while thresholds were chosen; tests and printed figures use those from 100 on.
"""

from typing import NamedTuple

import numpy as np

from score.strokes.heard_stroke import MIDI, HeardStroke
from score.takes.expected_strokes import ExpectedPass, ExpectedStroke
from tests.strokes.struck_sounds import Blow

CHORD_SPREAD = 0.003


class Errors(NamedTuple):
    """Shares of strokes played otherwise than written."""

    missed: float = 0.0
    wrong: float = 0.0
    extra: float = 0.0


class Performed(NamedTuple):
    """What was played.

    Attributes:
        blows: in order of time, seconds from the beginning of the music.
        moments: for each expected stroke when it was played, None where it was missed.
        wrong: indices of expected strokes with another pitch.
        extra: moments of strokes that are not written.
    """

    blows: tuple[Blow, ...]
    moments: tuple[float | None, ...]
    wrong: frozenset[int]
    extra: tuple[float, ...]

    @property
    def notes(self) -> tuple[HeardStroke, ...]:
        """The same as a MIDI port hears it."""
        return tuple(HeardStroke(b.seconds, b.strength, round(b.pitch), source=MIDI) for b in self.blows)


def performed(
    expected: ExpectedPass,
    seed: int,
    sd: float = 0.02,
    errors: Errors | None = None,
    *,
    mean: float = 0.0,
    voice: str = "",
) -> Performed:
    """A pass.

    Args:
        expected: what is written.
        seed: of all chance.
        sd: standard deviation of every stroke, seconds.
        errors: shares of missed, wrong and extra strokes.
        mean: seconds by which the whole is late.
        voice: what everything sounds like; by the written instrument where "".
    """
    rng = np.random.default_rng(seed)
    errors = errors or Errors()
    blows: list[Blow] = []
    moments: list[float | None] = []
    wrong: set[int] = set()
    extra: list[float] = []
    last = -9.0
    for index, stroke in enumerate(expected.strokes):
        away = float(np.clip(rng.standard_normal(), -3, 3))
        if rng.random() < errors.missed:
            moments.append(None)
            continue
        at = max(stroke.seconds + mean + sd * away, last + 0.03)
        moments.append(at)
        pitches = sorted(stroke.pitches)
        if pitches and rng.random() < errors.wrong:
            wrong.add(index)
            pitches[0] += int(rng.choice([-2, -1, 1, 2]))
        blows += _blows(stroke, at, pitches, rng, voice or _voice(stroke))
        last = at
        if rng.random() < errors.extra:
            extra.append(at + float(rng.uniform(0.06, 0.2)))
            pitch = (pitches or [60])[0] + int(rng.choice([-1, 1, 2]))
            blows.append(Blow(extra[-1], pitch, 0.5, voice=voice or _voice(stroke)))
    return Performed(tuple(sorted(blows)), tuple(moments), frozenset(wrong), tuple(extra))


def _blows(stroke: ExpectedStroke, at: float, pitches: list[int], rng: np.random.Generator, voice: str) -> list[Blow]:
    strength = float(rng.uniform(0.45, 0.9))
    blows = [
        Blow(at - 0.07 * (stroke.graces - k), (pitches or [60])[0], 0.4, voice=voice) for k in range(stroke.graces)
    ]
    for k, pitch in enumerate(pitches or [60]):
        late = abs(CHORD_SPREAD * float(rng.standard_normal())) if k else 0.0
        blows.append(Blow(at + late, pitch, strength, voice=voice))
    if stroke.is_rolled:
        rate = float(rng.uniform(9, 15))
        for k in range(1, int((stroke.until - stroke.seconds) * rate)):
            again = at + k / rate + 0.004 * float(rng.standard_normal())
            blows.append(Blow(again, (pitches or [60])[k % max(1, len(pitches))], 0.8 * strength, voice=voice))
    return blows


def _voice(stroke: ExpectedStroke) -> str:
    if stroke.pitches:
        return "vibraphone" if stroke.voice == "vibraphone" else "marimba"
    return "snare" if "snare" in stroke.voice else "tom"
