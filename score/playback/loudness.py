"""Loudness after ITU-R BS.1770-4, and tracks brought to one loudness under one ceiling, in bounded memory."""

import tempfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from math import inf, log10
from typing import IO, NamedTuple

import numpy as np
from numpy.typing import NDArray

Block = NDArray[np.float32]

TARGET = -20.0
"""LUFS of a track: blows peak some 18 dB over their mean, so this leaves the ceiling alone mostly."""
CEILING = 0.89
"""Largest sample, -1 dBFS: what lossy formats add stays under full scale."""

_FRAMES = 16_384
_REACH = 0.005
"""Seconds that the limiter looks ahead, and takes to let go."""
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

    def powers(self) -> NDArray[np.float64]:
        """Mean square of every tenth of a second so far, both channels added, as the ear weighs it."""
        return np.array(self._steps)


def gated_loudness(steps: NDArray[np.float64]) -> float:
    """Loudness of mean squares of tenths of a second; minus infinite for silence or less than 0.4 s."""
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
        stored = _store(blocks, file, rate)
        loudness, peak = gated_loudness(stored.powers), float(stored.peaks.max(initial=0.0))
        gain = 1.0 if loudness == -inf else 10.0 ** ((target - loudness) / 20.0)
        if gain * peak > ceiling and loudness > -inf:
            gain = _corrected(stored, gain, target, ceiling)
        reach = round(_REACH * rate) if gain * peak > ceiling else 0
        for first in range(0, stored.frames, _FRAMES):
            yield _limited(stored, first, min(stored.frames, first + _FRAMES), gain, ceiling, reach)


class _Stored(NamedTuple):
    """Sound in a file, and what is asked of it again and again.

    Attributes:
        file: float32, (frames, 2).
        rate, frames: of the file.
        powers: of its tenths of a second, as `Loudness.powers`.
        peaks: largest absolute sample of each tenth, a last short one included.
    """

    file: IO[bytes]
    rate: int
    frames: int
    powers: NDArray[np.float64]
    peaks: NDArray[np.float64]


def _store(blocks: Iterable[Block], file: IO[bytes], rate: int) -> _Stored:
    meter, step, frames = Loudness(rate), rate // 10, 0
    peaks: list[float] = []
    for block in blocks:
        meter.add(block)
        largest = np.abs(block).max(axis=1, initial=0.0)
        for index, piece in _tenths(largest, frames, step):
            peaks += [0.0] * (index + 1 - len(peaks))
            peaks[index] = max(peaks[index], float(piece.max()))
        frames += len(block)
        file.write(np.ascontiguousarray(block, np.float32).tobytes())
    return _Stored(file, rate, frames, powers=meter.powers(), peaks=np.array(peaks))


def _tenths(values: Block, before: int, step: int) -> Iterator[tuple[int, Block]]:
    """What falls into each tenth of a second, with its index, after so many frames."""
    first = 0
    while first < len(values):
        index = (before + first) // step
        last = min(len(values), (index + 1) * step - before)
        yield index, values[first:last]
        first = last


def _corrected(stored: _Stored, gain: float, target: float, ceiling: float) -> float:
    # More than 12 dB of limiting would no longer sound like percussion.
    most = 4.0 * gain
    for _ in range(3):
        missing = target - gated_loudness(_limited_powers(stored, gain, ceiling))
        if abs(missing) < 0.1:
            break
        gain = min(gain * 10.0 ** (missing / 20.0), most)
    return gain


def _limited_powers(stored: _Stored, gain: float, ceiling: float) -> NDArray[np.float64]:
    """The powers under the limiter: measured again where it works and in the tenth after, where the weighting rings."""
    from scipy.signal import sosfilt

    powers, step, reach = stored.powers * gain**2, stored.rate // 10, round(_REACH * stored.rate)
    works = np.convolve(stored.peaks * gain > ceiling, np.ones(3), "same")[: powers.size] > 0
    edges = np.flatnonzero(np.diff(np.concatenate([[False], works, [False]]).astype(np.int8)))
    for first, last in edges.reshape(-1, 2):
        # A tenth before it lets the weighting settle.
        start = max(0, first - 1)
        sound = _limited(stored, start * step, last * step, gain, ceiling, reach)
        weighted = sosfilt(k_weighting(stored.rate), sound.astype(np.float64), axis=0)
        again = np.sum(weighted**2, axis=1).reshape(-1, step).mean(axis=1)
        powers[first:last] = again[first - start :]
    return powers


def _limited(stored: _Stored, first: int, last: int, gain: float, ceiling: float, reach: int) -> Block:
    """Frames of the sound at a gain, under the ceiling where `reach` is not 0."""
    start, end = max(0, first - 2 * reach), min(stored.frames, last + 2 * reach)
    stored.file.seek(start * 8)
    piece: Block = np.frombuffer(stored.file.read((end - start) * 8), np.float32).reshape(-1, 2) * np.float32(gain)
    if reach:
        piece *= _reduction(piece, ceiling, reach)[:, None]
    return piece[first - start : last - start]


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
