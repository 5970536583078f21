"""How much worse a run would fit if a bar of it lay elsewhere: the price of the cheapest way that is wrong there.

For every frame the cheapest way of all through each place of a band is the cheapest way to it and from it together
(the forward and backward passes of Rabiner, Proc. IEEE 77, 1989, with least costs for probabilities). Where another way
costs next to nothing, as in a roll or a long rest, nothing tells when a bar begins.
"""

import numpy as np

from score.recording.band import band_costs
from score.recording.feature_weights import Weights
from score.recording.fine import HeardWay, PlacedRun, within
from score.recording.score_features import score_features
from score.recording.score_moments import Floats, WrittenMusic
from score.recording.semitones import Array
from score.recording.sound_features import FRAME_RATE, SoundFeatures

_TOGETHER = 2
"""Frames of fifty a second taken together."""
_RATE = FRAME_RATE / _TOGETHER
_REACH_SECONDS, _WRONG_SECONDS = 1.0, 0.28
"""How far ways are looked at, and how far away one is another."""
STEP = 0.06
"""What moving to the next place of the band costs."""


def prices_elsewhere(
    music: WrittenMusic, sound: SoundFeatures, placed: PlacedRun, weights: Weights, shares: Array
) -> tuple[Floats, Floats]:
    """Seconds, and what the cheapest way costs more that lies elsewhere at each of them.

    Args:
        music: the written music.
        sound: the recording.
        placed: a run in place.
        weights: of the features.
        shares: what each sort of stroke without pitch fills.
    """
    quarters, index = np.unique(music.moment_quarters[placed.moments], return_index=True)
    way = HeardWay(quarters, np.maximum.accumulate(placed.seconds[index])) if len(quarters) > 1 else placed.way
    notes = music.notes.chosen(within(music.notes.onset, placed.first, placed.last))
    frames = placed.way.frames
    heard = weights.sound(sound, frames, _TOGETHER)
    begin = frames.start / FRAME_RATE
    starts, ends = (way.at(edge, placed.way.slope) - begin for edge in (notes.onset, notes.onset + notes.length))
    written = score_features(notes, starts, ends, len(heard), _RATE, shares)
    costs = band_costs(heard, weights.score(written), written.struck, round(_REACH_SECONDS * _RATE))
    return begin + np.arange(len(heard)) / _RATE, prices(costs, round(_WRONG_SECONDS * _RATE))


def prices(costs: Array, least: int) -> Floats:
    """For each frame what the cheapest way costs more that passes it `least` places or more from the band's middle.

    Below zero where that is the cheapest of all.

    Args:
        costs: shape (frames, places), the middle one in the middle; to the next place costs `STEP` more.
        least: how many places away.
    """
    through = _cheapest(costs) + _cheapest(costs[::-1])[::-1] - costs
    middle = costs.shape[1] // 2
    elsewhere = np.minimum(through[:, : middle - least + 1].min(axis=1), through[:, middle + least :].min(axis=1))
    return np.asarray(elsewhere - through[:, middle - least + 1 : middle + least].min(axis=1), np.float64)


def _cheapest(costs: Array) -> Array:
    """What the cheapest way costs from the beginning to each place of the band; shape of the costs."""
    total, price = np.empty_like(costs), np.float32(STEP)
    total[0] = costs[0]
    for before, after, cost in zip(total[:-1], total[1:], costs[1:], strict=True):
        after[:] = before
        np.minimum(after[:-1], before[1:] + price, out=after[:-1])
        np.minimum(after[1:], before[:-1] + price, out=after[1:])
        after += cost
    return total
