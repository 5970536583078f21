"""How a piece is begun that another screen opens."""

from typing import NamedTuple

from score.memory.question import Question
from score.takes.heart_passages import LostPassage


class PracticeStart(NamedTuple):
    """Who plays, and with what.

    Attributes:
        player: number of the player, 0 where that was not said.
        chunks: positions of the chunks to practise at once, in order; empty for none.
        passage: what was lost by heart and is practised before them.
        questions: asked where there is nothing to practise.
    """

    player: int = 0
    chunks: tuple[int, ...] = ()
    passage: LostPassage | None = None
    questions: tuple[Question, ...] = ()
