"""How a piece is begun that another screen opens."""

from typing import NamedTuple


class PracticeStart(NamedTuple):
    """Who plays, and with what.

    Attributes:
        player: number of the player, 0 where that was not said.
        chunks: positions of the chunks to practise at once, in order; empty for none.
    """

    player: int = 0
    chunks: tuple[int, ...] = ()
