"""A player's part ready for its cues, and what the engraver makes of it: the slow half, done while notes are read."""

from collections.abc import Sequence
from typing import NamedTuple

from score.cues.sheet import CueSheet, Level
from score.parts.cue_staff import CueBar
from score.parts.document import OwnPart, own_parts
from score.parts.drawing_tree import parsed
from score.parts.engraver import to_mei
from score.parts.source_signs import SourceSign, source_signs
from score.reading.reading_result import Outline, Reading


class UncuedPart(NamedTuple):
    """A part without its cues.

    Attributes:
        own: the document around them.
        mei: what the engraver imported, the cue staves empty; "" when it can make nothing of it.
        signs: what must be found again on the pages.
    """

    own: OwnPart
    mei: str
    signs: tuple[SourceSign, ...] = ()


def uncued_parts(outline: Outline, numbers: Sequence[int], level: Level) -> dict[int, UncuedPart]:
    """The parts, ready for their cues, of these players, by number.

    Args:
        outline: of the score.
        numbers: the players; those the score does not have are left out.
        level: how much will be cued.
    """
    present = [number for number, _ in outline.players if number in numbers]
    documents = own_parts(outline, present, level is Level.FULL)
    return {number: _imported(own, outline) for number, own in documents.items()}


def uncued_part(reading: Reading, sheet: CueSheet) -> UncuedPart:
    """The part ready for one player's cues."""
    return uncued_parts(reading.outline, [sheet.player], sheet.level)[sheet.player]


def _imported(own: OwnPart, outline: Outline) -> UncuedPart:
    row = [CueBar()] * len(outline.bars)
    copy = own.for_the_engraver().with_cues(outline.bars, [row] * len(own.ids))
    tree = parsed(copy)
    signs = source_signs(tree, len(own.ids))
    return UncuedPart(own, to_mei(copy, tree), signs)
