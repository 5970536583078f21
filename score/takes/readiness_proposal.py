"""How far a player is with a chunk, as the strokes of a whole pass propose it; the player decides.

Shares are common practice, no source: a performance with one stroke in thirty lost is still called clean.
"""

from collections import Counter

from score.takes.history import AT_TEMPO, Readiness
from score.takes.judged_pass import JudgedPass, StrokeState

_CLEAN, _PLAYED = 0.97, 0.85


def proposed_readiness(judged: JudgedPass, tempo: float) -> Readiness | None:
    """What a pass over a whole chunk says; None where nothing can be said. By heart cannot be heard.

    Args:
        judged: the pass.
        tempo: as a share of the written tempo.
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
    return Readiness.AT_TEMPO if is_clean and tempo >= AT_TEMPO else Readiness.UNDER_TEMPO
