"""What the group asks for and forbids, as constraints on the choice."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from score.errors import GroupFileError, RequestError
from score.group.group_file import CueWish
from score.piece import Piece
from score.places import find_bars, find_player


@dataclass(frozen=True, slots=True)
class Orders:
    """The wishes that concern one player's part, by bar index.

    Attributes:
        shown: number of the player to show.
        hidden: numbers of the players not to show.
    """

    shown: dict[int, int] = field(default_factory=dict)
    hidden: dict[int, set[int]] = field(default_factory=dict)


def orders(piece: Piece, player: int, wishes: Sequence[CueWish]) -> Orders:
    """The wishes for a player's part; every wish is checked, whoever it is for.

    Raises:
        GroupFileError: a player or bar the score does not have, a player shown to themself, or two wishes
            that cannot both hold.
    """
    by_player: dict[int, Orders] = {}
    for wish in wishes:
        _take(piece, by_player.setdefault(wish.player, Orders()), wish)
    return by_player.get(player, Orders())


def _take(piece: Piece, into: Orders, wish: CueWish) -> None:
    for bar in _bars(piece, wish):
        if wish.show is not None:
            if into.shown.setdefault(bar, wish.show) != wish.show:
                raise _contradiction(piece, wish, bar, f"player {into.shown[bar]} is to be shown there as well")
        else:
            into.hidden.setdefault(bar, set()).update(_hidden(piece, wish))
        if into.shown.get(bar) in into.hidden.get(bar, ()):
            raise _contradiction(piece, wish, bar, f"player {into.shown[bar]} is both to be shown and hidden there")


def _bars(piece: Piece, wish: CueWish) -> range:
    try:
        for number in _named(wish):
            find_player(piece, number)
        bars = find_bars(piece, wish.bars)
    except RequestError as error:
        raise GroupFileError("Cue in the group's file", f"{_called(wish)}: {error.what}", error.remedy) from error
    if wish.player in (wish.show, wish.hide):
        what = f"{_called(wish)}: a player's own rhythm is never a cue"
        raise GroupFileError("Cue in the group's file", what, "name another player")
    return bars


def _named(wish: CueWish) -> Iterator[int]:
    yield wish.player
    if wish.show is not None:
        yield wish.show
    if wish.hide:
        yield wish.hide


def _hidden(piece: Piece, wish: CueWish) -> set[int]:
    return {wish.hide} if wish.hide else {player.number for player in piece.players}


def _called(wish: CueWish) -> str:
    return f"player {wish.player}, bars {wish.bars}"


def _contradiction(piece: Piece, wish: CueWish, bar: int, what: str) -> GroupFileError:
    label = piece.bars[bar].label
    where = f"{_called(wish)}: in bar {label}" if label else _called(wish)
    return GroupFileError("Cues contradict each other", f"{where}, {what}", "keep one of the two")
