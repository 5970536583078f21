"""Which of a set (high tom, third temple block) a variant names, as steps from the middle one."""

import re

from score.instruments.percussion import fold

# Size against pitch: the larger, the lower. Common practice.
_WORDS = {
    "highest": 5,
    "piccolo": 5,
    "high": 3,
    "hi": 3,
    "small": 3,
    "sm": 3,
    "upper": 3,
    "hoch": 3,
    "klein": 3,
    "petit": 3,
    "alto": 3,
    "medium": 0,
    "med": 0,
    "middle": 0,
    "mid": 0,
    "low": -3,
    "large": -3,
    "lg": -3,
    "big": -3,
    "lower": -3,
    "tief": -3,
    "gross": -3,
    "grave": -3,
    "grand": -3,
    "lowest": -5,
}
_PLACE = re.compile(r"([A-G])(-?\d)")
_MIDDLE_LINE = 4 * 7 + 6


def steps(variant: str) -> int:
    """Staff steps above (or below) the middle of the set, from -9 to 9; 0 when the variant says nothing.

    A written place ("E4") counts from the middle line of a five-line percussion staff (B4); a word of size counts
    three steps.
    """
    place = _PLACE.search(variant)
    if place:
        step = int(place[2]) * 7 + "CDEFGAB".index(place[1]) - _MIDDLE_LINE
        return max(-9, min(9, step))
    return next((_WORDS[word] for word in fold(variant).split() if word in _WORDS), 0)
