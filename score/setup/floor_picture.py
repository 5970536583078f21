"""The floor plan in letters, and what its letters mean."""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import ceil

from score.setup.floor_plan import Box, FloorPlan, Point
from score.setup.sight_lines import Sight

_LETTERS = "abcdefghijklmnopqrstuvwxyz"
_MOST_ROWS = 26


class _LetterGrid:
    """A grid of letters over the floor, the audience at the bottom.

    Args:
        points: what has to fit.
        columns: letters in a row, at the most.
    """

    def __init__(self, points: Sequence[Point], columns: int) -> None:
        xs, ys = [point.x for point in points], [point.y for point in points]
        self.left, self.top = min(xs), max(ys)
        wide, deep = max(xs) - self.left, self.top - min(ys)
        # A letter is about twice as high as it is wide.
        self.metre = max(wide / (columns - 1), deep / (_MOST_ROWS - 1) / 2, 0.02)
        self.rows = [[" "] * (ceil(wide / self.metre) + 1) for _ in range(ceil(deep / self.metre / 2) + 1)]

    def put(self, at: Point, letter: str) -> None:
        """A letter at a point."""
        row, column = round((self.top - at.y) / self.metre / 2), round((at.x - self.left) / self.metre)
        if 0 <= row < len(self.rows) and 0 <= column < len(self.rows[0]):
            self.rows[row][column] = letter

    def centres(self) -> Iterator[Point]:
        """The point under each letter."""
        for row in range(len(self.rows)):
            for column in range(len(self.rows[0])):
                yield Point(self.left + column * self.metre, self.top - 2 * row * self.metre)


def floor_picture(plan: FloorPlan, lines: Sequence[Sight], width: int = 78) -> str:
    """The plan as text: letters for instruments, numbers for players, dots for the lines between who breathe together.

    Args:
        plan: the plan.
        lines: sight lines to draw.
        width: columns.
    """
    sheet = _LetterGrid(plan.points(), width)
    for sight in lines:
        for step in range(1, 40):
            part = step / 40
            x = sight.start.x + (sight.end.x - sight.start.x) * part
            sheet.put(Point(x, sight.start.y + (sight.end.y - sight.start.y) * part), ".")
    for letter, box in lettered(plan):
        _fill(sheet, box, letter)
    for each in plan.standing:
        sheet.put(each.at, str(each.player % 10))
    rows = ["".join(row).rstrip() for row in sheet.rows]
    return "\n".join([*rows, "", "audience".center(len(sheet.rows[0])).rstrip()])


def letter_of(index: int) -> str:
    """The letter of an instrument by its position; after z they begin again."""
    return _LETTERS[index % len(_LETTERS)]


def lettered(plan: FloorPlan) -> list[tuple[str, Box]]:
    """Every box with its letter."""
    return [(letter_of(index), box) for index, box in enumerate(plan.boxes)]


def floor_key(plan: FloorPlan) -> Iterator[str]:
    """What the letters mean, with measures in metres, and how much floor it takes."""
    for letter, box in lettered(plan):
        who = f"player{'s' if len(box.players) > 1 else ''} {', '.join(map(str, box.players))}"
        yield f"{letter}  {box.name}, {box.width:.2f} by {box.depth:.2f} m, {who}"
    wide, deep = extent(plan)
    yield f"The floor it takes: {wide:.1f} m wide, {deep:.1f} m deep."


def extent(plan: FloorPlan) -> tuple[float, float]:
    """Width and depth of everything, m."""
    points = plan.points()
    xs, ys = [point.x for point in points], [point.y for point in points]
    return max(xs) - min(xs), max(ys) - min(ys)


def _fill(sheet: _LetterGrid, box: Box, letter: str) -> None:
    xs, ys = [c.x for c in box.corners], [c.y for c in box.corners]
    for point in sheet.centres():
        inside = min(xs) <= point.x <= max(xs) and min(ys) <= point.y <= max(ys) and _within(point, box.corners)
        if inside:
            sheet.put(point, letter)
    sheet.put(Point(sum(xs) / len(xs), sum(ys) / len(ys)), letter)


def _within(point: Point, corners: Sequence[Point]) -> bool:
    turns = [(b.x - a.x) * (point.y - a.y) - (b.y - a.y) * (point.x - a.x) for a, b in pairwise((*corners, corners[0]))]
    return all(turn >= 0 for turn in turns) or all(turn <= 0 for turn in turns)
