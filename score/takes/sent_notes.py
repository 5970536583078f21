"""Notes a pad or a keyboard sends, beside those that are written: in another octave, or others altogether."""

from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

from score.strokes.heard_stroke import HeardStroke
from score.takes.expected_strokes import ExpectedPass

_OCTAVES = (0, 12, -12, 24, -24)
"""Semitones; the first is kept unless another fits clearly better."""
_BETTER, _ALIKE = 0.2, 0.5
"""Shares of the notes: what another octave must have more, and what must be there for pitches to mean anything."""
_TAPS = 8
"""Strokes on one key from which they are taps."""
OTHER_OCTAVE = "the instrument sounds in another octave than written: that does not count as wrong"
OTHER_NOTES = "the pad or keyboard sends notes other than the written ones: timing is judged, pitches are not"


class SentNotes(NamedTuple):
    """Strokes whose pitches can be held against the written ones.

    Attributes:
        strokes: with pitches as written, or with none.
        remark: what a player should know of it, "" for nothing.
    """

    strokes: tuple[HeardStroke, ...]
    remark: str = ""


def sent_notes(expected: ExpectedPass, heard: Sequence[HeardStroke]) -> SentNotes:
    """Strokes of a port in the octave that is written; without pitches where most are written nowhere.

    Args:
        expected: what is written.
        heard: in the order of their moments.
    """
    written = Counter(pitch for stroke in expected.strokes for pitch in stroke.pitches)
    sent = Counter(stroke.pitch for stroke in heard if stroke.pitch is not None)
    if not written or not sent:
        return SentNotes(tuple(heard))
    # Whoever stops early has sent fewer: shares are of whichever is less.
    least = min(written.total(), sent.total())
    shares = {by: _shared(written, sent, by) / least for by in _OCTAVES}
    best = max(_OCTAVES, key=lambda by: shares[by])
    by = best if shares[best] > shares[0] + _BETTER else 0
    # All on one key they are taps, though a part may be written mostly on that note.
    if shares[by] < _ALIKE or (len(sent) == 1 and len(written) > 1 and sent.total() >= _TAPS):
        return SentNotes(tuple(stroke._replace(pitch=None) for stroke in heard), OTHER_NOTES)
    if by == 0:
        return SentNotes(tuple(heard))
    moved = (s if s.pitch is None else s._replace(pitch=s.pitch + by) for s in heard)
    return SentNotes(tuple(moved), OTHER_OCTAVE)


def _shared(written: Counter[int], sent: Counter[int], by: int) -> int:
    """How many notes are in both when the sent ones are moved by so many semitones."""
    return (written & Counter({pitch + by: count for pitch, count in sent.items()})).total()
