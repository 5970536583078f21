"""Which of a set (high tom, third temple block) a variant names, as steps from the middle one."""

import re

from score.instruments import fold

# Size against pitch: the larger, the lower. Common practice.
_WORDS = {
    "highest": 4,
    "piccolo": 4,
    "high": 2,
    "hi": 2,
    "small": 2,
    "sm": 2,
    "upper": 2,
    "hoch": 2,
    "klein": 2,
    "petit": 2,
    "alto": 2,
    "medium": 0,
    "med": 0,
    "middle": 0,
    "mid": 0,
    "low": -2,
    "large": -2,
    "lg": -2,
    "big": -2,
    "lower": -2,
    "tief": -2,
    "gross": -2,
    "grave": -2,
    "grand": -2,
    "lowest": -4,
}
_PLACE = re.compile(r"([A-G])(-?\d)")
_MIDDLE_LINE = 4 * 7 + 6


def steps(variant: str) -> int:
    """Staff steps above (or below) the middle of the set, from -9 to 9; 0 when the variant says nothing.

    A written place ("E4") counts from the middle line of a five-line percussion staff (B4); a word of size counts
    two steps.
    """
    place = _PLACE.search(variant)
    if place:
        step = int(place[2]) * 7 + "CDEFGAB".index(place[1]) - _MIDDLE_LINE
        return max(-9, min(9, step))
    return next((_WORDS[word] for word in fold(variant).split() if word in _WORDS), 0)
