"""Who can be seen by everybody they enter with."""

from score.setup.floor_plan import Point
from score.setup.sight_lines import Sight, in_everybodys_sight


def line(left: int, right: int, turn: float = 0.0, hidden: str = "") -> Sight:
    here = Point(0.0, 0.0)
    return Sight(left, right, 1, start=here, end=here, metres=2.0, turn=turn, hidden=hidden)


def test_one_hidden_line_is_enough_not_to_be_seen_by_all() -> None:
    lines = [line(1, 2), line(1, 3, turn=90), line(2, 3, hidden="Chimes"), line(3, 4, turn=120)]
    # The head turns to 100 degrees at the most (common practice, no source).
    assert in_everybodys_sight(lines) == {1}
    assert in_everybodys_sight([]) == frozenset()
