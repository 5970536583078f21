"""How far a player is with a chunk, as the strokes of a whole pass propose it; the player decides.

Shares are common practice, no source: a performance with one stroke in thirty lost is still called clean.
"""

from collections import Counter

from score.takes.judged_pass import JudgedPass, StrokeState
from score.takes.lost_runs import lost_runs
from score.takes.readiness import AT_TEMPO, Readiness

_CLEAN, _PLAYED = 0.97, 0.85


def proposed_readiness(judged: JudgedPass, tempo: float, in_sight: bool | None = None) -> Readiness | None:
    """What a pass over a whole chunk says; None where nothing can be said.

    Args:
        judged: the pass.
        tempo: as a share of the written tempo.
        in_sight: whether the own part was seen meanwhile, None where nobody can tell; without it, clean and at tempo
            is by heart where no place was lost.
    """
    counts = Counter(stroke.state for stroke in judged.strokes)
    told = len(judged.strokes) - counts[StrokeState.EXTRA] - counts[StrokeState.UNSURE]
    if not judged.judged or told == 0:
        return None
    hit = sum(stroke.state.is_timed for stroke in judged.strokes) / told
    stray = counts[StrokeState.EXTRA] / told
    if hit < _PLAYED or stray > 1 - _PLAYED:
        return Readiness.LEARNING
    is_clean = hit >= _CLEAN and stray <= 1 - _CLEAN
    if not is_clean or tempo < AT_TEMPO:
        return Readiness.UNDER_TEMPO
    return Readiness.BY_HEART if in_sight is False and not lost_runs(judged) else Readiness.AT_TEMPO
