"""Two sound cards keep two clocks: how far apart they run, from the loudspeakers in the recording, and its undoing."""

from statistics import median

import numpy as np

from score.strokes.sound_delay import sound_delay
from score.strokes.spectral_rise import RATE, Samples

_STRETCH = 2 * RATE
_MOST_STRETCHES = 10
_AROUND = 0.02
_LEAST = 3e-6
_MOST = 5e-4
_OFF_LINE = 0.0005


def clock_drift(heard: Samples, sent: Samples) -> float:
    """How much longer the recording is than what was sent, as a share: 1e-4 is a tenth of a millisecond a second.

    Args:
        heard: the recording.
        sent: what the loudspeakers were given, the delay at its beginning already taken off.

    Returns:
        0 where the loudspeakers are heard too little to tell, or both keep one clock to three millionths.
    """
    most = min(len(heard), len(sent)) - _STRETCH
    if most < 3 * _STRETCH:
        return 0.0
    starts = np.linspace(0, most, min(_MOST_STRETCHES, 2 + most // _STRETCH)).astype(int)
    points = []
    for start in starts:
        part = slice(int(start), int(start) + _STRETCH)
        delay = sound_delay(heard[part], sent[part], -_AROUND, _AROUND)
        if delay.is_trusted:
            points.append((float(start) / RATE, delay.seconds))
    return _slope(points)


def undrifted(samples: Samples, drift: float) -> Samples:
    """The recording on the other clock: read at positions 1 + drift apart, by cubics through four samples."""
    if not drift:
        return samples
    places = np.arange(int((len(samples) - 1) / (1 + drift))) * (1 + drift)
    whole = places.astype(int)
    t = (places - whole).astype(np.float32)
    padded = np.concatenate([samples[:1], samples, np.repeat(samples[-1:], 3)])
    a, b, c, d = (padded[whole + step] for step in range(4))
    # Catmull and Rom's cubic, in Horner's form.
    curve = b + t * (0.5 * (c - a) + t * (a - 2.5 * b + 2 * c - 0.5 * d + t * (0.5 * (d - a) + 1.5 * (b - c))))
    return np.asarray(curve, np.float32)


def _slope(points: list[tuple[float, float]]) -> float:
    """The median slope between points (Theil & Sen), 0 where they stand on no line."""
    slopes = [(d - b) / (c - a) for k, (a, b) in enumerate(points) for c, d in points[k + 1 :] if c > a]
    if len(points) < 3:
        return 0.0
    slope = median(slopes)
    level = median(delay - slope * at for at, delay in points)
    off = median(abs(delay - level - slope * at) for at, delay in points)
    return slope if _LEAST <= abs(slope) <= _MOST and off <= _OFF_LINE else 0.0
