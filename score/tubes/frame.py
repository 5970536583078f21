"""The frame: a plate with a round hole for every tube, which hangs in a soft suspension."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from score.errors import RequestError
from score.tubes.tube_lengths import Tube, TubeSet
from score.tubes.tube_pitch import NATURALS
from score.tubes.units import show_length

CAP_CLEARANCE = 20.0
"""Least distance of a capped end from the floor, mm. Our guess."""


@dataclass(frozen=True, slots=True)
class FrameWish:
    """How the frame shall be.

    Attributes:
        keyboard: natural notes in front and the others behind between them; False for one line.
        suspension: what a hole is wider than the tube: cord, foam or felt on both sides together, mm.
        gap: wood between two holes, mm.
        edge: wood between a hole and the edge of the plate, mm.
        height: of the playing ends above the floor, mm.
        sheet: width and depth of the sheet of plywood in hand, mm; None to check nothing.
        unit: of the lengths in its warnings and on its template.
    """

    keyboard: bool = True
    suspension: float = 12.0
    gap: float = 25.0
    edge: float = 40.0
    height: float = 900.0
    sheet: tuple[float, float] | None = None
    unit: str = "mm"


@dataclass(frozen=True, slots=True)
class Hole:
    """One hole.

    Attributes:
        name: of its note.
        x, y: centre from the plate's left and front edges, mm.
        diameter: mm.
        row: 0 in front, 1 behind.
        floor: distance of the tube's lower end from the floor, mm.
        below: distance of its suspension below the playing end, mm: the upper node of the wall.
    """

    name: str
    x: float
    y: float
    diameter: float
    row: int
    floor: float
    below: float


@dataclass(frozen=True, slots=True)
class Frame:
    """The plate.

    Attributes:
        wish: what was wanted.
        width, depth: of the plate, mm.
        holes: low to high.
        spacing: between the centres of neighbouring holes in a row, mm.
        plate_below: distance of the plate below the playing ends, mm: the middle of all suspensions, but at least
            one diameter.
        warnings: one line each.
    """

    wish: FrameWish
    width: float
    depth: float
    holes: tuple[Hole, ...]
    spacing: float
    plate_below: float
    warnings: tuple[str, ...]


def frame_of(tubes: TubeSet, wish: FrameWish) -> Frame:
    """The plate for a set, playing ends level.

    Raises:
        RequestError: a measure that cannot be.
    """
    _check(wish)
    outside = tubes.request.column.pipe.outside
    diameter = outside + wish.suspension
    spacing = diameter + wish.gap
    places = _keyboard(tubes.tubes) if wish.keyboard else [(float(n), 0) for n in range(len(tubes.tubes))]
    first, rows = min(x for x, _ in places), 1 + max(row for _, row in places)
    start = wish.edge + diameter / 2
    holes = tuple(
        Hole(
            name=tube.wanted.name,
            x=start + (x - first) * spacing,
            y=start + row * spacing,
            diameter=diameter,
            row=row,
            floor=wish.height - tube.final,
            below=tube.suspension[0],
        )
        for tube, (x, row) in zip(tubes.tubes, places, strict=True)
    )
    width = max(hole.x for hole in holes) + start
    depth = 2 * start + (rows - 1) * spacing
    belows = [hole.below for hole in holes]
    below = (min(belows) + max(belows)) / 2
    lines = (*_floor(holes, tubes, wish), *_plate(below, outside, wish.unit), *_sheet(width, depth, wish))
    return Frame(wish, width, depth, holes=holes, spacing=spacing, plate_below=max(below, outside), warnings=lines)


def _keyboard(tubes: Sequence[Tube]) -> list[tuple[float, int]]:
    """Place and row of each tube as on a keyboard, in natural steps; places nobody needs are left out."""
    midi = [tube.wanted.midi for tube in tubes]
    if all(m % 12 not in NATURALS for m in midi):
        return [(float(n), 0) for n in range(len(midi))]
    needed = sorted({step for m in midi for step in _steps(m)})
    order = {step: float(n) for n, step in enumerate(needed)}
    places = [(sum(order[step] for step in _steps(m)) / len(_steps(m)), int(m % 12 not in NATURALS)) for m in midi]
    return _apart(places)


def _steps(midi: int) -> tuple[int, ...]:
    """The natural step of a note, or the two a black key lies between."""
    naturals = sorted(NATURALS)
    octave, within = divmod(midi, 12)
    below = sum(natural <= within for natural in naturals) - 1
    step = 7 * octave + below
    return (step,) if within in NATURALS else (step, step + 1)


def _apart(places: list[tuple[float, int]]) -> list[tuple[float, int]]:
    """Tubes of one key (a quarter tone apart) get places of their own; what lies to the right moves on."""
    moved: list[tuple[float, int]] = []
    shift = 0.0
    last = {0: -1.0, 1: -1.0}
    for x, row in places:
        shift += max(0.0, last[row] + 1 - (x + shift))
        moved.append((x + shift, row))
        last[row] = x + shift
    return moved


def _floor(holes: Sequence[Hole], tubes: TubeSet, wish: FrameWish) -> list[str]:
    capped, pipe = tubes.request.column.capped, tubes.request.column.pipe
    least = CAP_CLEARANCE if capped else pipe.inside
    low = [hole for hole in holes if hole.floor < least]
    if not low:
        return []
    worst = min(low, key=lambda hole: hole.floor)
    ends = f"ends {show_length(worst.floor, wish.unit)} above it"
    where = ends if worst.floor > 0 else "is longer than its playing end is high"
    needed = show_length(ceil(wish.height + least - worst.floor), wish.unit)
    why = "a capped end wants some air under it" if capped else "an open end wants its own diameter of air"
    return [
        f"Too near the floor: {', '.join(hole.name for hole in low)}; {worst.name} {where} "
        f"and {why} ({show_length(least, wish.unit)}): raise the playing ends to {needed}."
    ]


def _plate(below: float, outside: float, unit: str) -> list[str]:
    if below >= outside:
        return []
    return [
        f"Plate {show_length(outside, unit)} below the playing ends: the walls would rest quietest at "
        f"{show_length(below, unit)}, but an open end nearer than one diameter to a plate sounds lower."
    ]


def _sheet(width: float, depth: float, wish: FrameWish) -> list[str]:
    if wish.sheet is None:
        return []
    (long, short), (wide, deep) = sorted(wish.sheet, reverse=True), sorted((width, depth), reverse=True)
    if wide <= long and deep <= short:
        return []
    plate, sheet = (" × ".join(show_length(side, wish.unit) for side in both) for both in ((width, depth), wish.sheet))
    help_by = "a smaller gap" if wish.keyboard else "a smaller gap, or two rows"
    return [f"Sheet too small: the plate is {plate}, the sheet {sheet}; make two plates or {help_by}."]


def _check(wish: FrameWish) -> None:
    for name, value, low, high in (
        ("suspension", wish.suspension, 0, 100),
        ("gap", wish.gap, 1, 500),
        ("edge", wish.edge, 1, 500),
        ("height", wish.height, 100, 3000),
    ):
        if not low <= value <= high:
            what = f"{name} {value:g} mm is outside {low} to {high}"
            raise RequestError("Frame", what, "check the number and its unit")
    if wish.sheet is not None and min(wish.sheet) <= 0:
        raise RequestError("Frame", "the sheet has no size", 'write "1220x610 mm"')
