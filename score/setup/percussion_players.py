"""Who is checked: players of percussion. What the others have is named and left alone."""

from collections.abc import Iterator
from dataclasses import replace

from score.instruments.other_instruments import is_no_percussion
from score.piece import Instrument, Piece, Player
from score.setup.check_inputs import CheckInputs


def is_percussion(instrument: Instrument) -> bool:
    """Whether it is taken for percussion: all in the tables, and what is not known for another family."""
    if instrument.key or not instrument.pitched:
        return True
    return not is_no_percussion(instrument.name, instrument.sound)


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
    names = (
        i.name.lower().removesuffix("?") for player in piece.players for i in player.instruments if not is_percussion(i)
    )
    yield from (f"{name}: not a percussion instrument, not checked" for name in dict.fromkeys(names))
