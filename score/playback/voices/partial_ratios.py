"""Frequencies of modes relative to the nominal pitch, with where they come from. Data and closed forms only.

"Memory" marks a value whose source exists but was recalled, not looked up again.
"""

from collections.abc import Iterator
from random import Random

# Euler-Bernoulli beam, free at both ends: roots of cos x cosh x = 1, squared, over the first. Computed.
FREE_BAR = (1.0, 2.7565, 5.4039, 8.9330, 13.3443, 18.6379)
# The same, clamped at one end: roots of cos x cosh x = -1. Computed.
CLAMPED_BAR = (1.0, 6.2669, 17.5475, 34.3861)
# Undercut bars as tuned by their makers. Marimba 1:4:10 and xylophone 1:3: physics course pages; vibraphone
# 1:4:10 and the xylophone's third near 6: memory.
MARIMBA = (1.0, 4.0, 10.0)
XYLOPHONE = (1.0, 3.0, 6.0)
VIBRAPHONE = (1.0, 4.0, 10.0)
# Ideal membrane: zeros of Bessel functions over the first zero of J0. Computed.
MEMBRANE = (1.0, 1.5933, 2.1355, 2.2954, 2.6531, 2.9173)
# Kettledrum, modes (1,1) to (5,1), drawn near to harmonics by air and kettle. Memory: Rossing.
KETTLEDRUM = (1.0, 1.50, 1.98, 2.44, 2.90)
# Chime: tube modes as (2n+1)^2; the strike note is an octave below mode 4, so mode 4 is 2. Memory: Rossing.
CHIME = tuple(2.0 * (2 * n + 1) ** 2 / 81.0 for n in range(2, 8))
# Thin ring bending in its plane, n(n^2-1)/sqrt(n^2+1) from n = 2. Memory: Rayleigh, Theory of Sound.
RING = tuple(n * (n * n - 1) / (n * n + 1) ** 0.5 / (6.0 / 5.0**0.5) for n in range(2, 7))
# Free circular plate (2,0), (0,1), (3,0), (1,1), (4,0), Poisson's ratio 1/3. Memory: Fletcher & Rossing.
DISC = (1.0, 1.73, 2.33, 3.91, 4.11)
# Minor-third bell: hum, prime, tierce, quint, nominal, and what follows. Memory: Rossing.
BELL = (0.5, 1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0)
# Handbell: (2,0) and (3,0) tuned to a twelfth. Memory: Rossing.
HANDBELL = (1.0, 3.0, 6.0)
# Button gong: the first two ring modes an octave apart. Memory: Rossing; the weak ones between: no source.
BUTTON_GONG = (1.0, 2.0, 1.52, 2.61, 3.44)
# Air column open at both ends, end correction the same at all: whole multiples. Computed.
OPEN_TUBE = (1.0, 2.0, 3.0, 4.0, 5.0, 6.0)
# Tuned areas of a hammered pan: harmonics. Common practice, no source.
PAN = (1.0, 2.0, 3.0, 4.0)


def plate(count: int, exponent: float, seed: int, scatter: float = 0.03) -> tuple[float, ...]:
    """Ratios of a plate's many modes by Chladni's law, f ~ (m + 2n) ** exponent.

    Args:
        count: number of modes.
        exponent: 2 for a flat plate, less for a bowed one (cymbals). Memory: Rossing.
        seed: of the small irregularity that parts modes the law puts on one frequency.
        scatter: largest irregularity, relative.
    """
    random = Random(seed)
    law = sorted(_chladni(exponent, count))[:count]
    return tuple(ratio * (1.0 + scatter * (2.0 * random.random() - 1.0)) for ratio in law)


def _chladni(exponent: float, most: int) -> Iterator[float]:
    for circles in range(most):
        for diameters in range(0 if circles else 2, most):
            order = diameters + 2 * circles
            if order <= most:
                yield (order / 2.0) ** exponent
