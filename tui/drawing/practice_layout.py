"""How the rows of the practice screen are shared out: nothing is empty that could serve."""

from typing import NamedTuple

from tui.drawing.staff_rows import StaffNeeds
from tui.drawing.system_cells import SystemShape

_FOOT_ROWS = 2
_SMALL, _TALL, _TWO_SYSTEMS = 22, 40, 46
_MOST_LANE_ROWS, _MOST_SYSTEMS = 3, 4
_LAST_PASS_ROWS = 3
"""Rows of the head for the last pass, on a tall screen."""


class PracticeLayout(NamedTuple):
    """Rows of the screen.

    Attributes:
        head: rows of what is said above the notation.
        systems: whole systems, from the top; they are played in turn, and the one that was played is replaced.
        small: a small system below a single whole one, for what comes next; None where there is no room.
    """

    head: int
    systems: tuple[SystemShape, ...]
    small: SystemShape | None = None


class _Room(NamedTuple):
    """Rows to share out among systems.

    Attributes:
        rows: how many there are.
        others: how many other players there are.
        needs: what the chunk asks of the staff.
        is_tall: there is room enough for two systems with the notes close together.
    """

    rows: int
    others: int
    needs: StaffNeeds
    is_tall: bool


def practice_layout(
    height: int, others: int, needs: StaffNeeds, *, stickings: bool, words: bool, heard: bool = False
) -> PracticeLayout:
    """Share out the rows.

    Args:
        height: of the screen.
        others: how many other players there are.
        needs: what the chunk asks of the staff.
        stickings: whether the chunk has any.
        words: whether the chunk has any.
        heard: whether there is anything to show of passes: what was early or late, and on a tall screen the last pass.
    """
    is_tall = height >= _TALL
    head = (3 if height < _SMALL else 5 if is_tall else 4) + (_LAST_PASS_ROWS if heard and is_tall else 0)
    room = _Room(max(1, height - _FOOT_ROWS - head), others, needs=needs, is_tall=height >= _TWO_SYSTEMS)
    lanes = 0 if height < _SMALL else 1
    shape = SystemShape(
        lanes,
        needs.full,
        stickings=stickings and height >= _SMALL,
        words=words and height >= _SMALL,
        when=0 if not heard else 2 if is_tall else 1,
    )
    count = min(_MOST_SYSTEMS, room.rows // shape.height(others))
    if count < 2 and room.is_tall and 2 * shape._replace(staff=needs.least).height(others) <= room.rows:
        count = 2
    if count > 1:
        return PracticeLayout(head, (_filled(shape, room._replace(rows=room.rows // count)),) * count)
    return _one_system(head, shape, room)


def _one_system(head: int, shape: SystemShape, room: _Room) -> PracticeLayout:
    """One whole system, and a small one below it where there is room."""
    around = 2 + min(1, room.others)
    least = around + min(room.needs.least, 3)
    system = shape._replace(staff=_staff_rows(shape, room))
    if room.rows - system.height(room.others) < least:
        return PracticeLayout(head, (_filled(shape, room),))
    least = max(least, min(around + room.needs.least, room.rows - system.height(room.others)))
    system = _with_contours(system, room._replace(rows=room.rows - least))
    staff = min(room.rows - system.height(room.others) - around, room.needs.full)
    small = SystemShape(0, staff, stickings=False, words=False)
    return PracticeLayout(head, (_filled(system, room._replace(rows=room.rows - small.height(room.others))),), small)


def _with_contours(shape: SystemShape, room: _Room) -> SystemShape:
    """Rows that are left go to the others' contours."""
    spare = room.rows - shape.height(room.others)
    while room.others and shape.others and spare >= room.others and shape.others < _MOST_LANE_ROWS:
        shape, spare = shape._replace(others=shape.others + 1), spare - room.others
    return shape


def _filled(shape: SystemShape, room: _Room) -> SystemShape:
    """A system in so many rows: the staff first, then the others' contours, then room around the staff."""
    shape = _with_contours(shape._replace(staff=_staff_rows(shape, room)), room)
    spare = room.rows - shape.height(room.others)
    return shape._replace(staff=shape.staff + max(0, spare)) if room.needs.lines else shape


def _staff_rows(shape: SystemShape, room: _Room) -> int:
    """A row a step where that fits, else as many as a row for two steps takes, else what there is."""
    rows = room.rows - shape._replace(staff=0).height(room.others)
    if room.needs.full <= rows:
        return room.needs.full
    return max(1, min(rows, max(room.needs.least, (room.needs.full + 1) // 2)))
