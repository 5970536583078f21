"""A part that fades: its systems with elements taken out, its name with the step beside it."""

from collections.abc import Sequence

from score.memory.fade import Fade
from score.memory.landmarks import landmarks
from score.parts.engraver import EngravedSystem
from score.parts.faded_drawing import FadedDrawing
from score.parts.mei import Document
from score.parts.paper import Paper
from score.parts.title_block import FirstPage, title_lines
from score.piece import Piece


def faded_systems(
    document: Document, piece: Piece, player: int, fade: Fade, systems: Sequence[Sequence[EngravedSystem]]
) -> list[list[EngravedSystem]]:
    """Engraved pages without what a step hides; every system stays as high and every bar as wide as it was.

    Args:
        document: what was engraved.
        piece: the piece.
        player: the player's number.
        fade: the step, and whether cues stay.
        systems: page by page.
    """
    drawing = FadedDrawing(document, landmarks(piece, piece.player(player), fade.phrases), fade)
    return [[drawing.system(system) for system in page] for page in systems]


def with_step(front: FirstPage, fade: Fade, paper: Paper) -> FirstPage:
    """The first page's words with the step beside the player's name, where that takes no further line."""
    stepped = front._replace(player=f"{front.player}, by heart {fade.step}")
    return stepped if title_lines(stepped, paper)[1] == title_lines(front, paper)[1] else front
