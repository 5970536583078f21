"""Suggested stickings: what the cheapest assignment says where nothing is printed, to be matched to the page."""

import textwrap
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import groupby
from typing import NamedTuple

from score.piece import Piece, Player
from score.places import bar_name
from score.setup.hand_motions import DealtPassage
from score.setup.mallets import Blow
from score.setup.percussion_players import plays_percussion

Place = tuple[int, Fraction]
"""Index of the bar, and quarters in it."""
_COLUMNS = 80


class Suggestion(NamedTuple):
    """How to strike one stroke.

    Attributes:
        mallets: one letter a note, from low to high.
        notes: their names as they are written, "" where there is only one thing to strike.
    """

    mallets: str
    notes: tuple[str, ...]


def suggested(passages: Sequence[DealtPassage], from_right: bool = False) -> dict[Place, Suggestion]:
    """A sticking for every stroke that has none printed, by bar and place; rolls are left to the player.

    What is struck together on two instruments is joined.

    Args:
        passages: of one player.
        from_right: numbers count from the right, as the player's own part does.
    """
    suggestions: dict[Place, Suggestion] = {}
    printed: set[Place] = set()
    for dealt in passages:
        for blow, mallets in zip(dealt.passage.blows, dealt.mallets, strict=True):
            place = blow.bar, blow.at
            if any(note.asked for note in blow.notes):
                printed.add(place)
            elif not blow.roll:
                before, more = suggestions.get(place, Suggestion("", ())), _of(blow, mallets, from_right)
                suggestions[place] = Suggestion(before.mallets + more.mallets, before.notes + more.notes)
    return {place: suggestions[place] for place in sorted(suggestions) if place not in printed}


def stickings_text(piece: Piece, player: Player, suggestions: Mapping[Place, Suggestion]) -> str:
    """Suggested stickings, a line a bar, bars that are the same together; what is printed is left out.

    Args:
        piece: the piece.
        player: whose.
        suggestions: by bar index and place.
    """
    if not suggestions:
        return _nothing(player)
    bars = [
        (bar, ", ".join(_stroke(each) for _, each in strokes))
        for bar, strokes in groupby(suggestions.items(), key=lambda item: item[0][0])
    ]
    return "\n".join(_lines(piece, bars))


def _of(blow: Blow, mallets: str, from_right: bool) -> Suggestion:
    """From low to high, whichever side the player stands on."""
    pairs = sorted(zip(blow.notes, mallets, strict=True), key=lambda pair: pair[0].pitch)
    turned = (str(5 - int(mallet)) if from_right and mallet.isdecimal() else mallet for _, mallet in pairs)
    return Suggestion("".join(turned), tuple(note.name for note, _ in pairs))


def _lines(piece: Piece, bars: Sequence[tuple[int, str]]) -> Iterator[str]:
    # Bars in a row with the same strokes have the same difference between bar and place in the list.
    rows = enumerate(bars)
    for (_, text), same in groupby(rows, key=lambda row: (row[1][0] - row[0], row[1][1])):
        indices = [bar for _, (bar, _) in same]
        names = [bar_name(piece, bar) for bar in (indices[0], indices[-1])]
        head = f"bars {names[0]}-{names[1]}, each: " if len(indices) > 1 else f"bar {names[0]}: "
        yield textwrap.fill(head + text, _COLUMNS, subsequent_indent="    ", break_on_hyphens=False)


def _stroke(each: Suggestion) -> str:
    notes = "+".join(name for name in each.notes if name)
    return f"{notes} {each.mallets}".strip()


def _nothing(player: Player) -> str:
    if not plays_percussion(player):
        names = ", ".join(dict.fromkeys(each.name.lower() for each in player.instruments))
        return f"{names}: not a percussion instrument, no stickings"
    if all(stroke.stickings for stroke in player.strokes):
        return f"{player.name} has no stroke without a printed sticking."
    return f"{player.name} has no stroke a sticking is suggested for: rolls, and what is not struck, are left to you."
