"""Where in a recording the music begins, when nobody says so: the player's own strokes, and the clicks before them."""

from collections.abc import Callable, Sequence
from statistics import median, pstdev
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from score.playback.click_strikes import CountIn

_BIN = 0.004
_BLUR = 0.025
_NEAR = 0.06
"""Seconds a click may stand from where the player's strokes put it."""
_EVEN = 0.004
"""Standard deviation under which clicks are a machine's."""
_USUAL_LATE, _MOST_LATE = 0.4, 0.5
_USUAL_BONUS = 0.04
_CHOICES = 12
_OPEN = 0.25
"""Share of the best by which another beginning may be worse for its pitches to be asked."""


class Beginning(NamedTuple):
    """Where the music begins.

    Attributes:
        seconds: of the recording; of its clicks when there are any, otherwise of the player's own strokes.
        bars: bars counted in that are heard, 0 for none.
        explained: share of the expected strokes that something was heard for.
    """

    seconds: float
    bars: int
    explained: float


class PitchMoments(NamedTuple):
    """Strokes that can only be taken for one another: those of one pitch, or all where no pitch is known.

    Attributes:
        expected: seconds from the beginning of the music.
        heard: seconds of the recording.
    """

    expected: Sequence[float]
    heard: Sequence[float]


def beginning(
    voices: Sequence[PitchMoments],
    counts: Sequence[CountIn],
    least: float,
    most: float,
    tuned: Callable[[float], float] | None = None,
) -> Beginning:
    """The likeliest beginning of the music in a recording.

    Args:
        voices: strokes that are expected and heard.
        counts: count-ins that may stand before the music, by bars.
        least: second of the recording from which it may begin.
        most: second to which it may.
        tuned: how well the pitches that are heard are those written there, 0 to 1, were the music to begin at a second;
            asked where no count-in is heard and rhythm alone leaves it open: figures come again bar by bar.
    """
    heard = sorted(second for voice in voices for second in voice.heard)
    wanted = sum(len(voice.expected) for voice in voices)
    if not heard or not wanted:
        return Beginning(0.0, 0, 0.0)
    length = most - least + max(voice.expected[-1] for voice in voices if voice.expected) + 1.0
    size = 1 << int(np.ceil(np.log2(length / _BIN + 2)))
    agreement = np.sum([_agreement(voice, least, size) for voice in voices], axis=0)[: int((most - least) / _BIN) + 1]
    choices = [_judged(least + k * _BIN, float(agreement[k]), heard, counts) for k in _peaks(agreement)]
    best = max(choices, key=lambda choice: choice[0])
    close = [choice for choice in choices if choice[0] >= (1 - _OPEN) * best[0]]
    if tuned is not None and not best[1].bars and len(close) > 1:
        best = max(close, key=lambda choice: choice[0] + _OPEN * best[0] * tuned(choice[1].seconds))
    return best[1]._replace(explained=best[1].explained / wanted)


def usual_lead(counts: Sequence[CountIn], start: float) -> float:
    """Seconds of the count-in that most likely stands before music that begins there: one bar, or none at all.

    Args:
        counts: count-ins by their bars, from 0 on.
        start: second of the recording in which the music begins.
    """
    bar = counts[1].seconds
    return bar if -0.05 <= start - bar <= _MOST_LATE else 0.0


def _agreement(voice: PitchMoments, least: float, size: int) -> NDArray[np.float64]:
    """For each possible beginning how many expected strokes something was heard for."""
    blurred = np.zeros(size)
    for second in voice.heard:
        place = (second - least) / _BIN
        first = max(0, int(place - 4 * _BLUR / _BIN))
        last = min(size, int(place + 4 * _BLUR / _BIN) + 1)
        if first < last:
            away = (np.arange(first, last) - place) * _BIN / _BLUR
            blurred[first:last] = np.maximum(blurred[first:last], np.exp(-0.5 * away**2))
    wanted = np.zeros(size)
    np.add.at(wanted, np.round(np.asarray(voice.expected) / _BIN).astype(int), 1.0)
    return np.asarray(np.fft.irfft(np.fft.rfft(blurred) * np.conj(np.fft.rfft(wanted)), size), np.float64)


def _peaks(agreement: NDArray[np.float64]) -> list[int]:
    """The best places, none within a blur of a better one."""
    left = agreement.copy()
    apart = round(2 * _BLUR / _BIN)
    places: list[int] = []
    for _ in range(_CHOICES):
        place = int(np.argmax(left))
        if left[place] < 0.5 * agreement[places[0] if places else place]:
            break
        places.append(place)
        left[max(0, place - apart) : place + apart + 1] = -1.0
    return places


def _judged(start: float, agreed: float, heard: Sequence[float], counts: Sequence[CountIn]) -> tuple[float, Beginning]:
    """How good a beginning is, with the longest count-in that is heard before it."""
    before = [second for second in heard if second < start - 2 * _BLUR]
    clicks = 0
    place = Beginning(start, 0, agreed)
    for bars, counted in enumerate(counts):
        exact = _counted(start, before, counted)
        if exact is not None:
            clicks, place = len(counted.beats), Beginning(exact, bars, agreed)
    # What was heard before the music and is no click speaks against this beginning, as a missed stroke does.
    unexplained = len(before) - clicks
    leads = [start - counted.seconds for counted in counts]
    usual = _USUAL_BONUS * agreed if any(-0.05 <= lead <= _USUAL_LATE for lead in leads) else 0.0
    return agreed + clicks - 0.5 * unexplained + usual, place


def _counted(start: float, before: Sequence[float], counted: CountIn) -> float | None:
    """Where the music begins by the clicks of a count-in; None when they are not all heard, as even as a machine's."""
    if len(counted.beats) < 2:
        return None
    moments = [start - counted.seconds + counted.at(beat) for beat in counted.beats]
    off = [min((second - moment for second in before), key=abs, default=9.0) for moment in moments]
    off = [away for away in off if abs(away) <= _NEAR]
    if len(off) < len(moments) or pstdev(off) > _EVEN:
        return None
    return start + median(off)
