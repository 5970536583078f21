"""How sure each bar is: whether what must begin there is heard there, and only there."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from score.recording.score_moments import Floats
from score.recording.snap import Attacks, HeardIn
from score.recording.sound_features import FINE_RATE

SHIFTS = (-0.53, -0.37, -0.23, 0.23, 0.37, 0.53)
"""Seconds by which moments are moved to see what is heard at any place of this music."""
_NOT_HEARD = 0.3
"""Contrast below which a bar that seems to be squeezed in was not played."""
FASTEST = 2.2
"""A bar so many times faster than its neighbours was not played."""
NOT_SURE = 0.5
_WITHIN = 0.03
_AS_WELL, _UNEVEN, _WEAK = 0.3, 0.4, 0.06
# A logistic model of bars that are wrong by .3 s, fitted on performances with seeds below 100 in rooms plain and hard,
# of mallets and of drums, 555 bars; moved so that about one bar in ten is in doubt.
_DOUBT, _ELSEWHERE, _STRENGTH, _FIRST, _MARGIN, _BEAT, _LOOSE = 0.85, 1.3, 1.1, 2.2, 1.9, 3.3, 51.0
_FIRM = 0.09
_USUAL, _SILENT = 0.4, 0.45


class MomentEvidence(NamedTuple):
    """What speaks for a moment.

    Attributes:
        strength: its attacks against the strongest around, 0 to 1.
        contrast: strength less what is heard at other places.
    """

    strength: float
    contrast: float


def evidence(times: Floats, where: Sequence[HeardIn], attacks: Attacks) -> list[MomentEvidence]:
    """MomentEvidence of each moment."""
    near = np.arange(-int(_WITHIN * FINE_RATE), int(_WITHIN * FINE_RATE) + 1) / FINE_RATE
    tried = np.concatenate([near + shift for shift in (0.0, *SHIFTS)])
    rows = []
    for second, columns in zip(times, where, strict=True):
        heard = attacks.evidence(columns, float(second), second + tried).reshape(1 + len(SHIFTS), -1).max(axis=1)
        rows.append(MomentEvidence(float(heard[0]), float(heard[0] - heard[1:].mean())))
    return rows


class BarEvidence(NamedTuple):
    """What speaks for a bar.

    Attributes:
        strength, contrast: means over its moments; nan where nothing begins in it.
        first: contrast of what begins with it; 0 where nothing does.
        margin: contrast over that of other places, mean around its beginning.
        beat: how far its first quarter is from those around it in length, as the logarithm of the ratio, and half as
            much the quarter before.
        elsewhere: what the cheapest way costs more that begins the bar elsewhere.
        firm: how much more its run sounds like itself here than it would elsewhere, strokes without pitch only;
            those with pitches are told by each bar.
    """

    strength: float
    contrast: float
    first: float = 0.0
    margin: float = 0.0
    beat: float = 0.0
    elsewhere: float = 0.0
    firm: float = _FIRM

    @property
    def sure(self) -> float:
        """0 to 1; half is where it is said to be in doubt, and no bar is surer in which nothing begins."""
        silent = bool(np.isnan(self.strength))
        doubt = (
            _DOUBT
            - _ELSEWHERE * float(np.clip(self.elsewhere, -0.3, 1.5))
            - _STRENGTH * (_USUAL if silent else self.strength)
            - _FIRST * float(np.clip(self.first, -0.2, 0.8))
            - _MARGIN * float(np.clip(self.margin, -0.3, 0.3))
            + _BEAT * self.beat
            + _LOOSE * max(0.0, _FIRM - self.firm)
        )
        sure = float(1 / (1 + np.exp(doubt)))
        return min(sure, _SILENT) if silent else sure

    @property
    def doubt(self) -> str:
        """Why it is not sure, in words; "" where it is."""
        if self.sure >= NOT_SURE:
            return ""
        reasons = (
            (np.isnan(self.strength), "nothing begins in this bar: placed by its neighbours"),
            (self.elsewhere < _AS_WELL, "it fits nearly as well a little earlier or later"),
            (self.beat > _UNEVEN, "the beats where it begins are much longer or shorter than those around"),
            (self.firm < _WEAK, "these drums fit other places nearly as well"),
            (self.contrast < 0.2, "its attacks are hardly told from what else is heard"),
        )
        return next((words for holds, words in reasons if holds), "its attacks are faint here")


def too_fast(tempi: Floats, contrasts: Floats) -> NDArray[np.bool_]:
    """Which bars of a run were not played: squeezed in between those that were, and not heard there.

    Args:
        tempi: tempo of each bar against the score's, shape (bars,).
        contrasts: of each bar, nan where nothing begins in it.
    """
    around = np.array([np.median(tempi[max(0, i - 4) : i + 5]) for i in range(len(tempi))])
    heard = np.nan_to_num(contrasts, nan=1.0) >= _NOT_HEARD
    return np.asarray((tempi > FASTEST * around) & ~heard)
