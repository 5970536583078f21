"""What the group's file says of the set-up.

[limits]
mallet_set_seconds = 3.0   # any figure of `limits`

[hands]
numbered_from = "right"    # printed numbers of mallets count from there

[[fitting]]
instrument = "triangle"
how = "held"               # how it is held or mounted
carry = ""                 # what that takes
width = 250                # mm

[[share]]
instrument = "marimba"
players = [1, 2]
arrangement = "facing"     # or "side by side"

[[marimba]]
player = 4
octaves = "4.3"

[[station]]
player = 3
order = ["marimba", "triangle"]    # from left to right
x = 1.5                    # metres to the right of the middle, as the audience sees it
y = 2.0                    # metres away from the audience
facing = 0                 # degrees; 0 looks at the audience, 90 to the audience's right

and at the top of the file

owned = ["marimba", "vibraphone", "crotales"]      # keys or names; left out: nothing is marked
"""

from collections.abc import Collection
from dataclasses import fields, replace

from score.errors import GroupFileError
from score.group.group_file import Group, Table, as_written, group_table, group_tables
from score.instruments.percussion import named
from score.piece import Piece, Player
from score.setup.bar_geometry import MARIMBAS
from score.setup.fittings import WAYS, Fitting, Fittings, fitting, usual_fittings
from score.setup.kit_layout import english, kind_of
from score.setup.limits import Limits
from score.setup.sharing import ARRANGEMENTS, Share

_MOST = 1e6
_LEAST_RATE = 0.01
"""Rates divide: nothing, or next to nothing, would leave no figure to hold a hand against."""


def limits_of(group: Group) -> Limits:
    """The limits with the group's own figures.

    Raises:
        GroupFileError: a figure that is none, or a name that is no limit.
    """
    table = group_table(group, "limits")
    if table is None:
        return Limits()
    limits = Limits(**{each.name: _limit(table, each.name) for each in fields(Limits)})
    if "hand_strokes_a_second" in table.entry:
        return limits
    # One hand takes half of what both do, whatever that is.
    return replace(limits, hand_strokes_a_second=limits.strokes_a_second / 2)


def _limit(table: Table, name: str) -> float:
    """One limit, held against what it can be."""
    usual: float = getattr(Limits(), name)
    if name == "notes_at_once":
        return _whole_limit(table, name, usual)
    low = _LEAST_RATE if name.endswith("a_second") else 0.0
    return table.figure(name, usual, low, 1.0 if name == "loud_share" else _MOST)


def _whole_limit(table: Table, name: str, usual: float) -> float:
    value = table.entry.get(name, usual)
    if isinstance(value, bool) or value not in range(1, 13):
        what = f"{name} = {as_written(value)} is not a whole number from 1 to 12"
        raise table.wrong(what, f"write {name} = {as_written(usual)}")
    return float(value)


def fittings_of(group: Group) -> Fittings:
    """The table with the group's own rows.

    Raises:
        GroupFileError: an instrument or a way that is not known.
    """
    rows = dict(usual_fittings())
    for table in group_tables(group, "fitting"):
        key = _fitting_key(table)
        rows[key] = _changed_fitting(table, fitting(rows, key))
    return rows


def _fitting_key(table: Table) -> str:
    text = table.text("instrument")
    percussion = named(text)
    if text not in usual_fittings() and percussion is None:
        raise table.wrong(f'instrument = "{text}" is not known', 'write a name such as "triangle"')
    return text if text in usual_fittings() or percussion is None else percussion.key


def _changed_fitting(table: Table, row: Fitting) -> Fitting:
    how = table.text("how") or row.how
    if how not in WAYS:
        raise table.wrong(f'how = "{how}" is not a known way to hold or mount it', f"write one of {', '.join(WAYS)}")
    carry = table.text("carry") if "carry" in table.entry else row.carry if how == row.how else ""
    return replace(row, how=how, carry=carry, width=table.figure("width", row.width, 0.0, 5000.0))


def shares_of(group: Group, piece: Piece) -> tuple[Share, ...]:
    """The shared instruments in the group's file; nothing is taken for shared that the file does not say.

    Raises:
        GroupFileError: players or arrangement that cannot be.
    """
    shares: list[Share] = []
    for table in group_tables(group, "share"):
        share = _share(table, piece)
        for other in shares:
            both = set(share.players) & set(other.players)
            if other.instrument == share.instrument and both:
                what = f"player {min(both)} is in two shares of the {english(share.instrument)}"
                raise table.wrong(what, "write all its players into one [[share]]")
        shares.append(share)
    return tuple(shares)


def _share(table: Table, piece: Piece) -> Share:
    players = _sharing_players(table, piece)
    arrangement = table.text("arrangement") or ARRANGEMENTS[0]
    if arrangement not in ARRANGEMENTS:
        remedy = f"write {' or '.join(map(as_written, ARRANGEMENTS))}"
        raise table.wrong(f'arrangement = "{arrangement}" is not known', remedy)
    return Share(_shared_instrument(table, piece, players), players, arrangement)


def _sharing_players(table: Table, piece: Piece) -> tuple[int, ...]:
    """Two or more players of the piece, each once."""
    value = table.entry.get("players")
    players: list[object] = value if isinstance(value, list) else []
    numbers = [player.number for player in piece.players]
    whole = [n for n in players if isinstance(n, int) and not isinstance(n, bool)]
    if len(whole) < max(2, len(players)) or not set(whole) <= set(numbers):
        what = f"players = {as_written(value)} cannot share"
        raise table.wrong(what, f"write two or more of {as_written(numbers)}")
    twice = next((n for n in whole if whole.count(n) > 1), None)
    if twice is not None:
        raise table.wrong(f"has player {twice} twice", "write each player once")
    return tuple(whole)


def _shared_instrument(table: Table, piece: Piece, players: tuple[int, ...]) -> str:
    """Key of an instrument that each of the players has."""
    text = table.text("instrument") or "marimba"
    percussion = named(text)
    key = percussion.key if percussion is not None else text
    kinds = {player.number: {kind_of(each) for each in player.instruments} for player in piece.players}
    if percussion is None and not any(key in kind for kind in kinds.values()):
        raise table.wrong(f'instrument = "{text}" is not known', 'write a name such as "marimba"')
    for number in players:
        if key not in kinds[number]:
            has = ", ".join(map(english, sorted(kinds[number])))
            raise table.wrong(f"player {number} has no {english(key)}", f"that player has {has}")
    return key


def owned_marimbas(group: Group, piece: Piece) -> dict[int, str]:
    """Player's number to the size of the marimba they play, in octaves.

    Raises:
        GroupFileError: a size that is not built, or a player the piece does not have.
    """
    owned = {}
    for table in group_tables(group, "marimba"):
        size = table.text("octaves").replace(",", ".")
        if size not in MARIMBAS:
            raise table.wrong(f'octaves = "{size}" is not a known size', f"there are {', '.join(MARIMBAS)}")
        owned[player_in(table, piece)] = size
    return owned


def numbered_from_right(group: Group) -> bool:
    """Whether printed numbers count from the right.

    Raises:
        GroupFileError: a word other than "left" or "right".
    """
    table = group_table(group, "hands")
    if table is None:
        return False
    side = table.text("numbered_from")
    if side not in ("", "left", "right"):
        raise table.wrong(f'numbered_from = "{side}" is not a known side', 'write "left" or "right"')
    return side == "right"


def owned_instruments(group: Group) -> set[str] | None:
    """Keys and names of what somebody in the group owns; None when the file does not say.

    Raises:
        GroupFileError: it is not a list of names.
    """
    value = group.tables.get("owned")
    if value is None:
        return None
    if not isinstance(value, list) or not all(isinstance(entry, str) for entry in value):
        file = group.path.name if group.path is not None else "owned"
        raise GroupFileError("Group's file", f"{file}: owned is not a list of names", 'write owned = ["marimba"]')
    names = {str(entry).casefold() for entry in value}
    return names | {percussion.key for entry in value if (percussion := named(str(entry)))}


def player_in(table: Table, piece: Piece) -> int:
    """A table's player, who has to be one of the piece.

    Raises:
        GroupFileError: a player the piece does not have.
    """
    number, numbers = table.number("player"), [player.number for player in piece.players]
    if number not in numbers:
        raise table.wrong(f"player = {number} is not in the piece", f"there are players {as_written(numbers)}")
    return number


def station_order(player: Player, group: Group, keys: tuple[str, ...]) -> tuple[str, ...]:
    """The order of a player's instruments from left to right that the file gives; empty when it gives none.

    Raises:
        GroupFileError: an order that is not of all the player's instruments.
    """
    for table in group_tables(group, "station"):
        if table.number("player") == player.number and "order" in table.entry:
            order = table.texts("order")
            if sorted(order) != sorted(keys):
                what = f"order = {as_written(order)} is not what player {player.number} has"
                raise table.wrong(what, f"write each of {as_written(sorted(keys))}")
            return order
    return ()


def check_stations(group: Group, piece: Piece) -> None:
    """Every station is of a player of the piece.

    Raises:
        GroupFileError: a player the piece does not have.
    """
    for table in group_tables(group, "station"):
        player_in(table, piece)


def station_place(
    group: Group, players: Collection[int], x: float, y: float, facing: float
) -> tuple[float, float, float]:
    """Where the file puts the first of some players it places, and where they look: m, m, degrees; else as proposed.

    Raises:
        GroupFileError: a place that is no figure.
    """
    for table in group_tables(group, "station"):
        if table.number("player") in players and {"x", "y", "facing"} & set(table.entry):
            right, away = table.figure("x", round(x, 2), -50.0, 50.0), table.figure("y", round(y, 2), -50.0, 50.0)
            return right, away, table.figure("facing", facing, -360.0, 360.0)
    return x, y, facing
