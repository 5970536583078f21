"""Where a player who knows a piece by heart holds on to it: phrase beginnings, entries, and where look-alikes part.

Players who learn by heart rehearse from such places and recover at them (Chaffin and Imreh, Musicae Scientiae 1, 1997,
and Chaffin and Logan, Advances in Cognitive Psychology 2, 2006: case studies, read as abstracts).
"""

from collections.abc import Collection

from score.beats import Place
from score.memory.bar_contents import Contents
from score.memory.families import branch_points, families
from score.piece import Piece, Player


def landmarks(piece: Piece, player: Player, phrases: Collection[int] = ()) -> frozenset[Place]:
    """The strokes that stay longest when a part fades.

    Args:
        piece: the piece.
        player: whose part.
        phrases: indices of the bars that phrases begin with.
    """
    contents = Contents(piece, player)
    firsts = {index for index in phrases if 0 <= index < len(contents.bars) and contents.bars[index]}
    firsts |= {index for index, bar in enumerate(contents.bars) if bar and (not index or not contents.bars[index - 1])}
    places = {Place(index, contents.bars[index][0][0]) for index in firsts}
    for family in families(piece, player):
        places.update(branch_points(contents, family))
    return frozenset(places)
