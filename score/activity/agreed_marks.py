"""What the group has agreed, or tries, at a place of the piece: who breathes, leads, looks, what is said.

A mark knows whose parts it concerns; how it is drawn is the business of who prints it.
"""

from enum import StrEnum
from fractions import Fraction
from typing import NamedTuple


class MarkSort(StrEnum):
    """What a mark is: one of the group's tables."""

    BREATH = "breath"
    LEAD = "lead"
    LOOK = "look"
    SHAPE = "shape"
    HOLD = "hold"
    NOTE = "note"


class AgreedMark(NamedTuple):
    """One agreed mark.

    Attributes:
        sort: what it is.
        bar: index of its bar.
        at: quarters in the bar.
        text: its words, short; "" when its sign says it all.
        players: numbers of the players whose parts it concerns.
        name: unlike that of any other mark of the group's file, made of letters, digits, hyphens and underscores.
        own_text: words in the part of the player who does it, where they differ.
        does: number of the player who does it, 0 for everybody.
        tried: it is only tried.
    """

    sort: MarkSort
    bar: int
    at: Fraction
    text: str
    players: frozenset[int]
    name: str
    own_text: str = ""
    does: int = 0
    tried: bool = False

    def text_for(self, player: int) -> str:
        """Its words in a player's part."""
        return self.own_text if player == self.does and self.own_text else self.text
