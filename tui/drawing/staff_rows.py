"""The rows of one's own staff: a row a step of the scale where there is room, a row for each unpitched instrument."""

import re
from collections.abc import Iterable
from math import ceil
from statistics import median_low
from typing import NamedTuple

from score.activity.lanes import LaneSign

_LETTERS = "CDEFGAB"
_NAME = re.compile(r"([A-G])(?:#|b)?(-?\d+)")
_TREBLE, _BASS = range(30, 39, 2), range(18, 27, 2)
"""Steps of the lines, E4 to F5 and G2 to A3, counted in steps of the scale from C0."""
_MIDDLE_C = 28
_MOST_NAME = 12


class StaffNeeds(NamedTuple):
    """What some bars ask of a staff.

    Attributes:
        low, high: lowest and highest step that is struck; the middle line where nothing has a pitch.
        lines: steps at which lines are drawn.
        kit: names of the unpitched instruments, from the top.
    """

    low: int
    high: int
    lines: tuple[int, ...]
    kit: tuple[str, ...]

    @property
    def full(self) -> int:
        """Rows with one row a step, the lines included."""
        return len(self.kit) + (max(self.high, *self.lines) - min(self.low, *self.lines) + 1 if self.lines else 0)

    @property
    def least(self) -> int:
        """Rows with one row for two steps, only what is struck."""
        return len(self.kit) + (ceil((self.high - self.low + 1) / 2) + 1 if self.lines else 0)

    @property
    def label_width(self) -> int:
        """Columns that names of instruments take."""
        return min(_MOST_NAME, max((len(name) for name in self.kit), default=0))


class Staff(NamedTuple):
    """Rows of a staff, from the top.

    Attributes:
        top: the highest step of the uppermost row.
        steps: steps a row.
        pitched: rows of pitches; the kit's rows follow below.
        lines: steps at which lines are drawn.
        kit: names of the unpitched instruments.
    """

    top: int
    steps: int
    pitched: int
    lines: tuple[int, ...]
    kit: tuple[str, ...]

    @property
    def height(self) -> int:
        """All rows."""
        return self.pitched + len(self.kit)

    def row(self, name: str) -> int:
        """Row of a pitch ("F#4") or of an unpitched instrument."""
        if name in self.kit:
            return self.pitched + self.kit.index(name)
        return min(max(0, (self.top - step_of(name)) // self.steps), max(0, self.pitched - 1))

    def is_line(self, row: int) -> bool:
        """Whether a line runs through a row."""
        if row >= self.pitched:
            return True
        low, high = self._span(row)
        return any(low <= step <= high for step in self.lines)

    def label(self, row: int) -> str:
        """What stands at the left of a row: an instrument, or the pitch of a C or of an outer line."""
        if row >= self.pitched:
            return self.kit[row - self.pitched]
        low, high = self._span(row)
        outer = {self.lines[0], self.lines[-1]} if self.lines else set()
        for step in range(low, high + 1):
            if step % 7 == 0 or step in outer:
                return f"{_LETTERS[step % 7]}{step // 7}"
        return ""

    def _span(self, row: int) -> tuple[int, int]:
        high = self.top - row * self.steps
        return high - self.steps + 1, high


def step_of(name: str) -> int:
    """Step of the scale of a pitch's name, C0 is 0; -1 where it is no pitch."""
    parts = _NAME.fullmatch(name)
    return int(parts[2]) * 7 + _LETTERS.index(parts[1]) if parts else -1


def staff_needs(signs: Iterable[LaneSign]) -> StaffNeeds:
    """What a player's strokes ask of a staff."""
    steps: list[int] = []
    kit: dict[str, int] = {}
    for sign in signs:
        if sign.pitches:
            steps += [step_of(name) for name in sign.names]
        else:
            kit.update(dict.fromkeys(sign.names, len(kit)))
    if not steps:
        middle = _TREBLE[len(_TREBLE) // 2]
        return StaffNeeds(middle, middle, lines=() if kit else tuple(_TREBLE), kit=tuple(kit))
    low, high = min(steps), max(steps)
    if low <= _BASS[-1] - 2 and high >= _TREBLE[0] + 4:
        lines = (*_BASS, *_TREBLE)
    else:
        lines = tuple(_TREBLE if median_low(steps) >= _MIDDLE_C else _BASS)
    return StaffNeeds(low, high, lines=lines, kit=tuple(kit))


def staff_of(needs: StaffNeeds, rows: int) -> Staff:
    """A staff in so many rows; as many steps a row as it takes, what is left shown as room around."""
    kit = needs.kit[: max(1, rows)] if not needs.lines else needs.kit[: max(0, rows - 2)]
    pitched = rows - len(kit) if needs.lines else 0
    if not pitched:
        return Staff(0, 1, pitched=0, lines=(), kit=kit)
    low, high = needs.low, needs.high
    steps = 1
    # A single row never reaches below the lowest line, however many steps it takes.
    while (top := _top(low, high, steps, pitched, needs.lines)) - pitched * steps + 1 > low and steps <= high - low:
        steps += 1
    return Staff(top, steps, pitched=pitched, lines=needs.lines if steps < 3 else (), kit=kit)


def _top(low: int, high: int, steps: int, rows: int, lines: tuple[int, ...]) -> int:
    """The highest step shown: the notes with the lines around them, as far as the rows go."""
    if steps > 1:
        # A row holds a line with the space above it.
        return high + (steps - 1 - (high - lines[0]) % steps)
    spare = rows - (high - low + 1)
    above = min(max(0, spare), max(0, lines[-1] - high))
    below = min(max(0, spare - above), max(0, low - lines[0]))
    return high + above + max(0, spare - above - below) // 2
