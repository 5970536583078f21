"""How hard the mallets are that a player has in hand, from the words printed in the part.

Common practice, no source: the words say how hard ("soft", "medium", "hard") or what the head or stick is made of; both
together are a hard or soft one of that kind. Without words each instrument has its usual mallets.
"""

import re
from bisect import bisect_right

from score.piece import MarkKind, Piece, Player, Stroke

USUAL = 0.5
"""Of 0 soft to 1 hard: medium mallets."""

_USUAL_OF = {"glockenspiel": 0.75, "crotales": 0.75, "xylophone": 0.75}
_KINDS = (
    (r"brass|metal", 1.0),
    (r"acrylic|plastic|wood(?:en)?|birch|rattan|sticks?|rods?|rutes?", 0.85),
    (r"rubber", 0.65),
    (r"cord", 0.5),
    (r"yarn", 0.45),
    (r"brush(?:es)?", 0.35),
    (r"felt|fleece|wool", 0.25),
)
_DEGREES = ((r"very hard", 0.35), (r"very soft", -0.35), (r"medium|med\.?", 0.0), (r"hard", 0.25), (r"soft", -0.25))


def hardness_of(words: str) -> float | None:
    """Hardness that words ask for, 0 soft to 1 hard; None where they say neither degree nor kind."""
    kind = next((value for pattern, value in _KINDS if _says(pattern, words)), None)
    degree = next((value for pattern, value in _DEGREES if _says(pattern, words)), None)
    if kind is None and degree is None:
        return None
    return min(1.0, max(0.0, (USUAL if kind is None else kind) + (degree or 0.0)))


class Mallets:
    """One player's mallets, in written order.

    Args:
        piece: the piece.
        player: whose.
    """

    def __init__(self, piece: Piece, player: Player) -> None:
        self._piece, self._instruments = piece, player.instruments
        taken = sorted((piece.offset_of(m.bar, m.at), m.text) for m in player.marks if m.kind is MarkKind.STICKS)
        self._taken = [(at, value) for at, text in taken if (value := hardness_of(text)) is not None]
        self._places = [at for at, _ in self._taken]

    def hardness(self, stroke: Stroke) -> float:
        """Of the mallets a stroke is played with, 0 soft to 1 hard."""
        index = bisect_right(self._places, self._piece.offset(stroke.place)) - 1
        if index >= 0:
            return self._taken[index][1]
        return _USUAL_OF.get(self._instruments[stroke.instrument].key or "", USUAL)


def _says(pattern: str, words: str) -> bool:
    return re.search(rf"\b(?:{pattern})\b", words, re.IGNORECASE) is not None
