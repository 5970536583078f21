"""Names and short names that tell the players of a score apart."""

import re
from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

from score.instruments.percussion import fold

ROMAN = {"i": 1, "ii": 2, "iii": 3, "iv": 4, "v": 5, "vi": 6, "vii": 7, "viii": 8, "ix": 9, "x": 10}


# Parts for each hand of one player: "Celesta RH", "Harp (left hand)" (common practice, no source).
_HAND = re.compile(
    r"^(?P<name>.*\w)[\s,:(\[\u2013\u2014-]+(?:r\.?\s?h|l\.?\s?h|m\.?\s?[dgs]|right hand|left hand|"
    r"rechte hand|linke hand|main droite|main gauche|mano destra|mano sinistra)\.?\s*[)\]]?\s*$",
    re.IGNORECASE,
)
_KEY = re.compile(r"^[A-H](?:b|\u266d|#|\u266f|[ -](?:flat|sharp))?\s+")
"""The key of a transposing instrument before its name, which says nothing of who plays (common practice, no source)."""
_ORDINAL = re.compile(r"^\d+(?:st|nd|rd|th|\.)$")
"""Which of several alike, before the name: "2nd Violin"."""


class Chair(NamedTuple):
    """One player before reading.

    Attributes:
        number: from 1.
        name, short: what parts and cues call the player.
        parts: indices of the parts, in score order.
    """

    number: int
    name: str
    short: str
    parts: tuple[int, ...]


def without_hand(name: str) -> str:
    """The name of a part for one hand of a player without the hand; any other as it is."""
    hand = _HAND.match(name)
    return hand["name"] if hand else name


def with_clear_names(seated: Sequence[Chair]) -> list[Chair]:
    """The players with names that differ, numbered where the score calls several alike, and clear short names."""
    return _with_short_names(_told_apart(seated))


def _told_apart(seated: Sequence[Chair]) -> list[Chair]:
    """Players called alike are numbered ("Snare Drum 1", "Snare Drum 2"); their short names get the same numbers."""
    times = Counter(fold(chair.name) for chair in seated)
    names = set(times)
    last: Counter[str] = Counter()
    apart: list[Chair] = []
    for chair in seated:
        name = fold(chair.name)
        if times[name] < 2:
            apart.append(chair)
            continue
        last[name] += 1
        while fold(f"{chair.name} {last[name]}") in names:
            last[name] += 1
        short = f"{chair.short} {last[name]}" if chair.short else ""
        apart.append(Chair(chair.number, f"{chair.name} {last[name]}", short, parts=chair.parts))
    return apart


def _with_short_names(seated: Sequence[Chair]) -> list[Chair]:
    """The first that no other player has: the score's own short name, a made one, the name, the number."""
    unlike = _alike_only_when_short([chair.name for chair in seated])
    choices = [
        [*filter(None, (chair.short, chair.name if chair.name in unlike else _shortened(chair.name), chair.name))]
        for chair in seated
    ]
    chosen = [0] * len(seated)
    while True:
        shorts = [names[place] if place < len(names) else "" for names, place in zip(choices, chosen, strict=True)]
        alike = [index for index, short in enumerate(shorts) if short and shorts.count(short) > 1]
        if not alike:
            break
        for index in alike:
            chosen[index] += 1
    return [chair._replace(short=short or str(chair.number)) for chair, short in zip(seated, shorts, strict=True)]


def _alike_only_when_short(names: Sequence[str]) -> set[str]:
    """Names that begin with different words which would be cut to the same letters ("Vibraslap", "Vibraphone")."""
    words = {name: name.split()[0].casefold() for name in names if name.split()}
    return {
        name
        for name, word in words.items()
        if any(other != word and other[:3] == word[:3] for other in words.values()) and len(word) > 4
    }


def _shortened(name: str) -> str:
    """A name made short ("Marimba 1": "Mar. 1", "Bb Clarinet": "Cla."); short names stay."""
    words = name.split()
    if len(name) <= 6 or not words:
        return name
    words = _KEY.sub("", name).split() or words
    if len(words) > 1 and _ORDINAL.match(words[0]):
        return f"{words[0]} {_shortened(' '.join(words[1:]))}"
    numbers = [word for word in words[1:] if word.isdigit() or word.casefold() in ROMAN]
    return " ".join([words[0] if len(words[0]) <= 4 else f"{words[0][:3]}.", *numbers[-1:]])
