"""Who is checked: players of percussion. What the others have is named and left alone."""

import re
from collections.abc import Iterator
from dataclasses import replace

from score.piece import Instrument, Piece, Player
from score.setup.check_inputs import CheckInputs

# Common practice, no source: instruments scores print beside percussion, in the usual languages.
_NAMES = re.compile(
    r"viol[ie]?n|viola\b|cell[oi]|contrabass|kontrabass|double ?bass|guitar|gitarre|harp\b|harfe|arpa\b|fl[öoûu]te|"
    r"piccolo|oboe|hautbois|clarinet|klarinette|bassoon|fagott|sax|horn\b|trumpet|trompete|trombone|posaune|tuba\b|"
    r"piano|klavier|harpsichord|cembalo|organ\b|orgel|accordion|akkordeon|recorder|voice|soprano|sopran\b|tenor\b|"
    r"baritone|choir|chor\b|geige|bratsche",
    re.I,
)
_FAMILIES = frozenset({"brass", "keyboard", "pluck", "strings", "synth", "voice", "wind"})
"""Families of MusicXML sounds that are no percussion; the few that are played by percussionists have a key."""


def is_percussion(instrument: Instrument) -> bool:
    """Whether it is taken for percussion: all in the tables, and what is not known for another family."""
    if instrument.key or not instrument.pitched:
        return True
    return instrument.sound.split(".")[0] not in _FAMILIES and _NAMES.search(instrument.name) is None


def plays_percussion(player: Player) -> bool:
    """Whether anything the player has is percussion."""
    return not player.instruments or any(map(is_percussion, player.instruments))


def checked(inputs: CheckInputs) -> CheckInputs:
    """What is given, without the players who have no percussion."""
    players = tuple(player for player in inputs.piece.players if plays_percussion(player))
    numbers = {player.number for player in players}
    return replace(
        inputs,
        piece=replace(inputs.piece, players=players),
        shares=tuple(share for share in inputs.shares if set(share.players) <= numbers),
        stations=tuple(station for station in inputs.stations if station.player in numbers),
    )


def unchecked_lines(piece: Piece) -> Iterator[str]:
    """A line for every instrument that is no percussion."""
    names = (i.name.lower() for player in piece.players for i in player.instruments if not is_percussion(i))
    yield from (f"{name}: not a percussion instrument, not checked" for name in dict.fromkeys(names))
