"""What is written over the score for all, in the order of time: chunks, and what the group has agreed."""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from score.activity.agreed_marks import AgreedMark, MarkSort
from score.chunks.chunk import Chunk, ChunkEdits
from score.group.entry_words import SHAPE_WORDS
from score.parts.score_jobs import ScoreMark
from score.piece import Piece
from score.printing.hand_signs import HandMark, HandSign
from score.time.pulse import PulseOptions
from score.time.shapes import Shape
from score.time.tempo_map import Hold

_SIGNS = {MarkSort.BREATH: HandSign.BREATH, MarkSort.LOOK: HandSign.LOOK, MarkSort.NOTE: HandSign.NONE}
"""What is taken from the group's marks; the rest is known with its length."""


def score_marks(
    piece: Piece,
    chunks: Sequence[Chunk],
    edits: ChunkEdits,
    pulse: PulseOptions,
    agreed: Sequence[AgreedMark] = (),
) -> list[ScoreMark]:
    """All marks, in order.

    Args:
        piece: the piece.
        chunks: where it divides.
        edits: who leads, as the group has said.
        pulse: the group's shapes and holds.
        agreed: the group's marks, among them breaths, looks and words.
    """
    marks = [ScoreMark(chunk.bars[0], Fraction(0), HandMark(chunk.name), boxed=True) for chunk in chunks]
    marks += _leads(piece, edits)
    marks += [_shape(piece, shape) for shape in pulse.shapes]
    marks += [_hold(piece, hold) for hold in pulse.holds]
    marks += [ScoreMark(mark.bar, mark.at, _hand(piece, mark)) for mark in agreed if mark.sort in _SIGNS]
    return sorted(marks, key=lambda mark: (mark.bar, mark.at, not mark.boxed))


def _hand(piece: Piece, mark: AgreedMark) -> HandMark:
    """A breath with its giver, who looks at whom, a word with whom it is for."""
    if mark.sort is MarkSort.LOOK:
        text = f"{piece.player(mark.does).short if mark.does else 'all'} at {mark.text}"
    elif mark.sort is MarkSort.NOTE and len(mark.players) < len(piece.players):
        text = f"{', '.join(piece.player(number).short for number in sorted(mark.players))}: {mark.text}"
    else:
        text = mark.text
    return HandMark(text, _SIGNS[mark.sort])


def _leads(piece: Piece, edits: ChunkEdits) -> Iterator[ScoreMark]:
    for bars, number in edits.leads:
        yield ScoreMark(bars[0], Fraction(0), HandMark(f"{piece.player(number).short} leads", HandSign.LEAD))


def _hold(piece: Piece, hold: Hold) -> ScoreMark:
    """Over the beat that ends where the music stands still; a wait over what it is made before."""
    if hold.before:
        bar = max(each.index for each in piece.bars if each.start <= hold.offset)
        return ScoreMark(bar, hold.offset - piece.bars[bar].start, HandMark(f"wait {hold.seconds:g} s"))
    bar = max(each.index for each in piece.bars if each.start < hold.offset)
    at = hold.offset - piece.bars[bar].start - piece.bars[bar].meter.beat
    return ScoreMark(bar, max(Fraction(0), at), HandMark(f"hold {hold.seconds:g} s"))


def _shape(piece: Piece, shape: Shape) -> ScoreMark:
    bar = max(index for index, each in enumerate(piece.bars) if each.start <= shape.start)
    by = f"{piece.player(shape.by).short}: " if shape.by is not None else ""
    words = HandMark(f"{by}{SHAPE_WORDS[shape.kind][1]} {shape.percent:g} %")
    return ScoreMark(bar, shape.start - piece.bars[bar].start, words)
