"""One player's instruments as they lie: sets of several pieces, and where on a station each piece is.

Instruments of one kind (three toms, two wood blocks) are one set, whether the score names them singly or writes them on
lines of one staff; its pieces lie from low to high, left to right, as on a keyboard (common practice, no source).
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from score.instruments.percussion import all_percussion, fold
from score.piece import Instrument, Player
from score.setup.bar_geometry import KEYBOARDS, length_mm
from score.setup.fittings import Fittings, fitting, usual_fittings

BETWEEN = 100.0
"""Millimetres between two instruments of a station (common practice, no source)."""
_FRAME = 100.0
_HANDS_FREE = frozenset({"held", "pedal", "body", "seated"})
_STEPS = "CDEFGAB"
# Words of samplers' lists beside an instrument's name, and ways of striking in the place of one (common practice, no
# source).
_VARIETIES = frozenset(["acoustic", "electric", "mute", "muted", "open", "closed", "pedal", "1", "2"])
_WAY = re.compile(r"(side|cross) ?sticks?|rim ?(shots?|clicks?)?|sticks? ?(clicks?|shots?)|ride bell|cymbal bell")

# Depths from the player's side to the far side, m. Common practice, no source: usual sizes, to be measured.
_DEPTHS = {
    "marimba": 0.95, "bass-marimba": 1.1, "vibraphone": 0.8, "xylophone": 0.75, "chimes": 0.7, "timpani": 0.75,
    "tam-tam": 0.5, "gong": 0.5, "thundersheet": 0.4, "mark-tree": 0.4, "drum-set": 1.5,
}  # fmt: skip
_KEYBOARD_DEPTH, _LEAST_DEPTH = 0.45, 0.3

Member = tuple[int, str]
"""Index of the instrument, and the written place on the staff ("" where it makes no difference)."""


@dataclass(frozen=True, slots=True)
class InstrumentSet:
    """Instruments of one kind.

    Attributes:
        key: of the instrument.
        name: as printed; several names joined.
        members: pieces from low to high.
        width: as it stands, mm.
    """

    key: str
    name: str
    members: tuple[Member, ...]
    width: float


def kind_of(instrument: Instrument) -> str:
    """The key of an instrument; its printed name where the table has none."""
    return instrument.key or instrument.name


def english(kind: str) -> str:
    """The name of an instrument by its key: "suspended cymbal"; a printed name as it is."""
    percussion = all_percussion().get(kind)
    return percussion.name.lower() if percussion is not None else kind


def sets_of(player: Player, fittings: Fittings | None = None) -> dict[str, InstrumentSet]:
    """A player's sets by key, in the order of first use."""
    table = fittings or usual_fittings()
    used: dict[str, set[Member]] = {kind_of(instrument): set() for instrument in player.instruments}
    pitches: dict[str, set[int]] = {key: set() for key in used}
    for stroke in player.strokes:
        key = kind_of(player.instruments[stroke.instrument])
        used[key].update((stroke.instrument, place) for place in stroke.places or ("",))
        pitches[key].update(stroke.pitches)
    return {key: _set(player, key, members, len(pitches[key]), table) for key, members in used.items()}


def name_of(player: Player, key: str) -> str:
    """The printed names of a player's instruments of one kind: "High tom, middle tom, low tom"."""
    names = list(dict.fromkeys(_piece_name(i.name, key) for i in player.instruments if kind_of(i) == key))
    return ", ".join([names[0], *(name[:1].lower() + name[1:] for name in names[1:])]) if names else key


def _piece_name(name: str, key: str) -> str:
    """What is carried: a way of striking, or a sampler's variety of an instrument, is that instrument."""
    percussion = all_percussion().get(key)
    if percussion is None:
        return name
    plain = " ".join(word for word in fold(name).split() if word not in _VARIETIES)
    is_variety = plain != fold(name) and plain in percussion.names
    return percussion.name if is_variety or _WAY.fullmatch(fold(name)) else name


def width_of(key: str, pieces: int, fittings: Fittings) -> float:
    """Width of so many pieces of an instrument as they stand, mm."""
    if key in KEYBOARDS:
        return length_mm(key) + _FRAME
    row = fitting(fittings, key)
    return row.width * (pieces if row.several else 1)


def depth_of(key: str, fittings: Fittings) -> float:
    """Depth of an instrument as it stands, m."""
    if key in KEYBOARDS or key in _DEPTHS:
        return _DEPTHS.get(key, _KEYBOARD_DEPTH)
    return max(_LEAST_DEPTH, fitting(fittings, key).width / 1000)


def kit_places(player: Player, order: Sequence[str] = (), fittings: Fittings | None = None) -> dict[Member, float]:
    """Where the pieces without pitch that are struck from one place lie, mm from the left end of the station.

    Args:
        player: whose.
        order: keys from left to right; those it leaves out follow in the order of first use.
        fittings: widths, and what is held.
    """
    table = fittings or usual_fittings()
    sets = sets_of(player, table)
    places: dict[Member, float] = {}
    reached = 0.0
    for key in dict.fromkeys((*order, *sets)):
        here = sets[key]
        if not _in_kit(player, here, table):
            reached += here.width + BETWEEN
            continue
        step = here.width / max(1, len(here.members))
        several = fitting(table, key).several
        for index, member in enumerate(here.members):
            places[member] = reached + (step * (index + 0.5) if several else here.width / 2)
        reached += here.width + BETWEEN
    return places


def _in_kit(player: Player, here: InstrumentSet, fittings: Fittings) -> bool:
    return not player.instruments[here.members[0][0]].pitched and fitting(fittings, here.key).how not in _HANDS_FREE


def _set(player: Player, key: str, members: set[Member], pitches: int, fittings: Fittings) -> InstrumentSet:
    if not members:
        members = {(next(i for i, instrument in enumerate(player.instruments) if kind_of(instrument) == key), "")}
    ordered = tuple(sorted(members, key=lambda member: (_height(member[1]), member)))
    return InstrumentSet(key, name_of(player, key), ordered, width=width_of(key, max(len(ordered), pitches), fittings))


def _height(place: str) -> int:
    match = re.fullmatch(r"([A-G])(\d+)", place)
    return 7 * int(match.group(2)) + _STEPS.index(match.group(1)) if match else 0
