"""What the set-up tells a player on their own part: what to bring, what is shared, where it stands, tight changes.

Light itself: what it takes is loaded when it is asked for, in the processes that make parts.
"""

from collections.abc import Sequence
from fractions import Fraction
from math import cos, radians, sin
from typing import TYPE_CHECKING, NamedTuple

from score.group.group_file import Group
from score.piece import Piece

if TYPE_CHECKING:
    from score.setup.floor_plan import FloorPlan, PlayerSpot
    from score.setup.sharing import Share

_STRIKERS = ("mallets", "bow")
Word = tuple[int, Fraction, str]
"""Index of a bar, quarters in it, text."""


class SketchBox(NamedTuple):
    """An instrument as its player sees it.

    Attributes:
        name: as printed.
        corners: metres to the player's right, and ahead of them, in order around it.
    """

    name: str
    corners: tuple[tuple[float, float], ...]


class Sticking(NamedTuple):
    """A suggested sticking: index of the bar, quarters in it, mallets, and which of the player's parts it stands in."""

    bar: int
    at: Fraction
    mallets: str
    part: int


class PlayerNotes(NamedTuple):
    """What a part says beside the music.

    Attributes:
        words: small words where a change is tight.
        mallets: mallets, sticks, beaters and bows by name.
        shared: a line for each instrument that others play, too.
        sketch: where the instruments stand, from the player's side.
        stickings: suggested ones.
    """

    words: tuple[Word, ...] = ()
    mallets: tuple[str, ...] = ()
    shared: tuple[str, ...] = ()
    sketch: tuple[SketchBox, ...] = ()
    stickings: tuple[Sticking, ...] = ()


NO_NOTES = PlayerNotes()


def player_notes(piece: Piece, group: Group, stickings: bool = False) -> dict[int, PlayerNotes]:
    """What each player's part says beside the music, by number; nothing for who plays no percussion.

    Args:
        piece: the piece.
        group: the group's file.
        stickings: suggest stickings, which takes as long as the rest of a part.

    Raises:
        GroupFileError: a table of the group's file that cannot be used.
    """
    from score.setup.check_inputs import change_words, check_inputs
    from score.setup.floor_plan import floor_plan
    from score.setup.gear_list import gear_of
    from score.setup.percussion_players import checked
    from score.setup.stations import set_up

    everybody = check_inputs(piece, group)
    words, inputs = change_words(everybody), checked(everybody)
    if not inputs.piece.players:
        return {number: PlayerNotes(tuple(row)) for number, row in words.items()}
    gear = gear_of(inputs.piece, group, inputs.shares, inputs.fittings)
    plan = floor_plan(
        inputs.piece, group, set_up(inputs.piece, inputs.stations, inputs.shares), inputs.shares, inputs.fittings
    )
    notes = {number: PlayerNotes(tuple(row)) for number, row in words.items()}
    for player in inputs.piece.players:
        number = player.number
        notes[number] = notes.get(number, PlayerNotes())._replace(
            mallets=tuple(item.what for item in gear if item.kind in _STRIKERS and number in item.players),
            shared=tuple(_shared(piece, share, number) for share in inputs.shares if number in share.players),
            sketch=_sketch(plan, number),
            stickings=_stickings(piece, group, number) if stickings else (),
        )
    return notes


def _shared(piece: Piece, share: "Share", number: int) -> str:
    from score.setup.kit_layout import english

    others = [piece.player(other).name for other in share.players if other != number]
    return f"{english(share.instrument)} with {' and '.join(others)}, {share.arrangement}"


def _stickings(piece: Piece, group: Group, number: int) -> tuple[Sticking, ...]:
    from score.setup.setup_check import suggested_stickings

    player = piece.player(number)
    parts = {(stroke.bar, stroke.at): player.parts.index(stroke.part) for stroke in reversed(player.strokes)}
    suggestions = suggested_stickings(piece, group, player)
    return tuple(Sticking(bar, at, each.mallets, part=parts[bar, at]) for (bar, at), each in suggestions.items())


def _sketch(plan: "FloorPlan", number: int) -> tuple[SketchBox, ...]:
    spot = next((each for each in plan.standing if each.player == number), None)
    boxes = [box for box in plan.boxes if number in box.players]
    if spot is None or len(boxes) < 2:
        return ()
    return tuple(SketchBox(box.name, _seen_from(spot, box.corners)) for box in boxes)


def _seen_from(spot: "PlayerSpot", corners: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """Points of the floor as metres to a player's right and ahead of them."""
    angle = radians(spot.facing)
    look_x, look_y = sin(angle), -cos(angle)
    seen = []
    for x, y in corners:
        away_x, away_y = x - spot.at.x, y - spot.at.y
        seen.append((away_x * look_y - away_y * look_x, away_x * look_x + away_y * look_y))
    return tuple(seen)
