"""How far an instrument is used, the smallest one that would do, and the notes that force it."""

from collections.abc import Sequence

from score.activity.lanes import spelled_pitch
from score.instruments.percussion import all_percussion
from score.piece import Piece
from score.places import bar_name, few_bars
from score.setup.bar_geometry import MARIMBAS, smallest_marimba
from score.setup.kit_layout import kind_of

_MOST_BARS = 6


def extent_note(piece: Piece, kind: str, users: Sequence[int]) -> list[str]:
    """Range as it sounds and is written, and for a marimba the smallest that would do with what forces it.

    Args:
        piece: the piece.
        kind: key of the instrument.
        users: numbers of the players on it.
    """
    used = [
        (pitch, stroke.bar)
        for number in users
        for stroke in piece.player(number).strokes
        if kind_of(piece.player(number).instruments[stroke.instrument]) == kind
        for pitch in stroke.pitches
    ]
    if not used:
        return []
    low, high = min(used)[0], max(used)[0]
    words = [f"{spelled_pitch(low)} to {spelled_pitch(high)} sounding"]
    percussion = all_percussion().get(kind)
    if percussion is not None and percussion.octaves:
        shift = 12 * percussion.octaves
        words[0] += f", written {spelled_pitch(low - shift)} to {spelled_pitch(high - shift)}"
    return [*words, forced(piece, used)] if kind == "marimba" else words


def least_extent(piece: Piece, kind: str, users: Sequence[int]) -> str:
    """What an instrument must have at the least, in few words: "4.3 octaves or more"; "" for one without pitch."""
    return next((words.partition(",")[0] for words in reversed(extent_note(piece, kind, users))), "")


def forced(piece: Piece, used: Sequence[tuple[int, int]]) -> str:
    """The smallest marimba for (pitch, bar) and the notes that the next smaller one does not have."""
    size = smallest_marimba(min(used)[0])
    if not size:
        return "lower than any marimba"
    smaller = [low for other, low in MARIMBAS.items() if low > MARIMBAS[size]]
    if not smaller:
        return f"{size} octaves or more"
    notes = sorted({pitch for pitch, _ in used if pitch < min(smaller)})
    bars = sorted({bar for pitch, bar in used if pitch in notes})
    where = few_bars([bar_name(piece, bar) for bar in bars], _MOST_BARS)
    return f"{size} octaves or more, because of {', '.join(map(spelled_pitch, notes))} in {where}"
