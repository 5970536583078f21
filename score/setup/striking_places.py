"""Where instruments are struck: the usual place, and the places the score asks for by words."""

import re
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from score.instruments.percussion import fold
from score.piece import MarkKind, Piece, Player
from score.setup.fittings import Fittings, fitting
from score.setup.kit_layout import kind_of, name_of

# The trade's own words in English, German, French and Italian, folded (common practice, no source). Only short texts
# count: "at the edge of hearing" says nothing about a cymbal.
_PLACES = (
    ("rim shot", r"rim ?shots?|randschlag"),
    ("cross stick", r"(cross|side) ?sticks?|cross rim"),
    ("rim", r"(on |on the )?rim|auf (den|dem) (reifen|rand)|(sur le )?cercle|(sul )?cerchio|(sul )?bordo di metallo"),
    ("shell", r"(on |on the )?shell|zarge|(sur le )?fut|(sul )?fusto"),
    ("dome", r"(on |on the )?(dome|cup|bell|bell of( the)? cymbal)|(auf (der )?)?kuppe|(sur )?(le |la )?(dome|cloche)|"
             r"(sulla )?(cupola|campana)"),
    ("edge", r"(at |on |near )?(the )?edge|(am |auf dem |nahe am )?rand|(au |sur le |pres du )?bord|"
             r"(al |sul |vicino al )?(bordo|margine)"),
    ("centre", r"(at |in |on )?(the )?(cent(re|er)|middle)|(in der |auf der )?mitte|(au )?(centre|milieu)|"
               r"(al |nel )?centro"),
    ("node", r"(at |on |over )?(the )?nodes?|(am )?knoten(punkt)?|(sur le )?noeud|(sul )?nodo"),
    ("usual place", r"(ord|ordinario|normal|normale|nat|naturale|gewohnlich|pos ord|modo ord)"),
)  # fmt: skip
_SAID = [(name, re.compile(pattern)) for name, pattern in _PLACES]


@dataclass(frozen=True, slots=True)
class Striking:
    """Where one player strikes one instrument.

    Attributes:
        player: number.
        instrument: as printed.
        usual: the usual place, from the table.
        asked: (bar index, quarters in it, place) wherever words ask for a place.
    """

    player: int
    instrument: str
    usual: str
    asked: tuple[tuple[int, Fraction, str], ...]


def strike_place(text: str) -> str:
    """The place on the instrument that words ask for ("Rand", "au centre", "on the bell"), or ""."""
    folded = fold(text)
    return next((name for name, pattern in _SAID if pattern.fullmatch(folded)), "")


def strikings(piece: Piece, fittings: Fittings) -> Iterator[Striking]:
    """Every player's instruments in the order of first use."""
    for player in piece.players:
        asked = _asked(player)
        for kind in dict.fromkeys(kind_of(instrument) for instrument in player.instruments):
            usual = fitting(fittings, kind).struck[0]
            yield Striking(player.number, name_of(player, kind), usual, asked=tuple(asked.get(kind, ())))


def _asked(player: Player) -> dict[str, list[tuple[int, Fraction, str]]]:
    """Places asked for, by the instrument struck next; "bell" is a place on cymbals only."""
    moments = [(stroke.bar, stroke.at) for stroke in player.strokes]
    places: dict[str, list[tuple[int, Fraction, str]]] = {}
    for mark in player.marks:
        place = strike_place(mark.text) if mark.kind in (MarkKind.WORDS, MarkKind.STICKS) else ""
        index = bisect_right(moments, (mark.bar, mark.at - Fraction(1, 10**6)))
        if place and index < len(moments):
            kind = kind_of(player.instruments[player.strokes[index].instrument])
            if place != "dome" or "cymbal" in kind or kind == "hi-hat":
                places.setdefault(kind, []).append((mark.bar, mark.at, place))
    return places
