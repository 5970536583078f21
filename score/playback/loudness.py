"""Loudness after ITU-R BS.1770-4, and tracks brought to one loudness under one ceiling, in bounded memory."""

import tempfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from math import inf, log10
from typing import IO

import numpy as np
from numpy.typing import NDArray

Block = NDArray[np.float32]

TARGET = -20.0
"""LUFS of a track: blows peak some 18 dB over their mean, so this leaves the ceiling alone mostly."""
CEILING = 0.89
"""Largest sample, -1 dBFS: what lossy formats add stays under full scale."""

_FRAMES = 16_384
_ABSOLUTE_GATE, _RELATIVE_GATE = -70.0, -10.0


@dataclass
class Loudness:
    """Integrated loudness of blocks that come one after another.

    Attributes:
        rate: frames a second.
    """

    rate: int
    _steps: list[float] = field(default_factory=list, init=False)
    _rest: NDArray[np.float64] = field(default_factory=lambda: np.zeros(0), init=False)
    _state: NDArray[np.float64] | None = field(default=None, init=False)

    def add(self, block: Block) -> None:
        """Take in the next frames, shape (frames, channels)."""
        from scipy.signal import sosfilt

        sections = k_weighting(self.rate)
        if self._state is None:
            self._state = np.zeros((len(sections), 2, block.shape[1]))
        weighted, self._state = sosfilt(sections, block.astype(np.float64), axis=0, zi=self._state)
        power = np.concatenate([self._rest, np.sum(weighted**2, axis=1)])
        step = self.rate // 10
        whole = power.size // step * step
        self._steps.extend(power[:whole].reshape(-1, step).mean(axis=1))
        self._rest = power[whole:]

    def lufs(self) -> float:
        """Gated loudness of all frames so far; minus infinite for silence or less than 0.4 s."""
        steps = np.array(self._steps)
        if steps.size < 4:
            return -inf
        # Blocks of 0.4 s that overlap by three quarters.
        blocks = np.convolve(steps, np.full(4, 0.25), "valid")
        heard = blocks[blocks > _power(_ABSOLUTE_GATE)]
        if not heard.size:
            return -inf
        kept = heard[heard > _power(_level(float(heard.mean())) + _RELATIVE_GATE)]
        return _level(float(kept.mean())) if kept.size else -inf


def k_weighting(rate: int) -> NDArray[np.float64]:
    """The two sections of the K weighting for any rate; at 48 kHz those that BS.1770-4 prints.

    The analogue prototypes (shelf 1681.97 Hz, 3.99984 dB, Q 0.70718; high-pass 38.1355 Hz, Q 0.50033) by bilinear
    transform.
    """
    return np.array([_shelf(rate), _high_pass(rate)])


def evened(blocks: Iterable[Block], rate: int, target: float = TARGET, ceiling: float = CEILING) -> Iterator[Block]:
    """The same sound at a given loudness, no sample over the ceiling, delay or length unchanged.

    The sound goes through a temporary file once, so that its length does not matter. A passage without sound stays
    as it is. When the limiter has taken loudness away it is given back, by up to three rounds.

    Args:
        blocks: shape (frames, 2), any sizes.
        rate: frames a second.
        target: LUFS.
        ceiling: largest absolute sample.
    """
    with tempfile.TemporaryFile() as file:
        loudness, peak = _store(blocks, file, rate)
        gain = 1.0 if loudness == -inf else 10.0 ** ((target - loudness) / 20.0)
        if gain * peak > ceiling and loudness > -inf:
            gain = _corrected(file, rate, gain, target, ceiling)
        yield from _through(file, rate, gain, ceiling, limit=gain * peak > ceiling)


def _store(blocks: Iterable[Block], file: IO[bytes], rate: int) -> tuple[float, float]:
    meter, peak = Loudness(rate), 0.0
    for block in blocks:
        meter.add(block)
        peak = max(peak, float(np.abs(block).max(initial=0.0)))
        file.write(np.ascontiguousarray(block, np.float32).tobytes())
    return meter.lufs(), peak


def _corrected(file: IO[bytes], rate: int, gain: float, target: float, ceiling: float) -> float:
    # More than 12 dB of limiting would no longer sound like percussion.
    most = 4.0 * gain
    for _ in range(3):
        meter = Loudness(rate)
        for block in _through(file, rate, gain, ceiling, limit=True):
            meter.add(block)
        missing = target - meter.lufs()
        if abs(missing) < 0.1:
            break
        gain = min(gain * 10.0 ** (missing / 20.0), most)
    return gain


def _through(file: IO[bytes], rate: int, gain: float, ceiling: float, limit: bool) -> Iterator[Block]:
    reach = round(0.005 * rate) if limit else 0
    frames = file.seek(0, 2) // 8
    for first in range(0, frames, _FRAMES):
        last = min(frames, first + _FRAMES)
        start, end = max(0, first - 2 * reach), min(frames, last + 2 * reach)
        file.seek(start * 8)
        piece = np.frombuffer(file.read((end - start) * 8), np.float32).reshape(-1, 2) * np.float32(gain)
        if limit:
            piece *= _reduction(piece, ceiling, reach)[:, None]
        yield piece[first - start : last - start]


def _reduction(piece: Block, ceiling: float, reach: int) -> Block:
    """Gain under the ceiling: the least needed within `reach` frames, smoothed over as many; looks ahead."""
    from scipy.ndimage import minimum_filter1d, uniform_filter1d

    peak = np.abs(piece).max(axis=1)
    needed = np.minimum(1.0, ceiling / np.maximum(peak, 1e-9))
    if float(needed.min()) >= 1.0:
        return np.ones(len(piece), np.float32)
    least = minimum_filter1d(needed, 2 * reach + 1, mode="nearest")
    # The mean of minima that all reach over this frame is never above what this frame needs.
    smooth = uniform_filter1d(least.astype(np.float64), 2 * reach + 1, mode="nearest")
    return np.asarray(np.minimum(smooth, needed), np.float32)


def _level(power: float) -> float:
    return -0.691 + 10.0 * log10(power)


def _power(level: float) -> float:
    return float(10.0 ** ((level + 0.691) / 10.0))


def _shelf(rate: int) -> list[float]:
    k = float(np.tan(np.pi * 1681.974450955533 / rate))
    high = 10.0 ** (3.999843853973347 / 20.0)
    band, q = high**0.4996667741545416, 0.7071752369554196
    a0 = 1.0 + k / q + k * k
    b = (high + band * k / q + k * k) / a0, 2.0 * (k * k - high) / a0, (high - band * k / q + k * k) / a0
    return [*b, 1.0, 2.0 * (k * k - 1.0) / a0, (1.0 - k / q + k * k) / a0]


def _high_pass(rate: int) -> list[float]:
    k, q = float(np.tan(np.pi * 38.13547087602444 / rate)), 0.5003270373238773
    a0 = 1.0 + k / q + k * k
    return [1.0, -2.0, 1.0, 1.0, 2.0 * (k * k - 1.0) / a0, (1.0 - k / q + k * k) / a0]
