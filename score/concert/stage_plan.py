"""One piece's set-up in the measures of the hall.

Metres from the left of the stage, as the audience sees it, and from its front edge.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, degrees
from typing import NamedTuple

from score.concert.concert_pieces import ConcertPiece
from score.concert.concert_values import Concert, ConcertInstrument, Hall
from score.errors import RequestError
from score.setup.fittings import fitting
from score.setup.floor_picture import extent
from score.setup.floor_plan import Box, Point
from score.setup.from_group import fittings_of
from score.setup.setup_check import SetupReport

NOTHING = "Nothing of percussion stands here."
FRONT, AROUND = 1.0, 0.5
"""Metres left free at the front where there is room, and around a set-up whose hall is not known (common practice)."""


class StageInstrument(NamedTuple):
    """An instrument as it stands on the stage.

    Attributes:
        kind: key of the instrument.
        name: as the score calls it.
        which: the concert's name of this very instrument, "" where any of its kind will do.
        people: who plays it.
        parts: it is carried in.
        middle: of it.
        turned: degrees, 0 for a front that lies along the edge of the stage.
        corners: in order around it.
    """

    kind: str
    name: str
    which: str
    people: tuple[str, ...]
    parts: int
    middle: Point
    turned: float
    corners: tuple[Point, ...]


class StageSpot(NamedTuple):
    """Where somebody stands, and where they look: degrees, 0 at the audience."""

    person: str
    at: Point
    facing: float


@dataclass(frozen=True, slots=True)
class StagePlan:
    """A piece on the stage.

    Attributes:
        name: of the piece.
        title: as its score says.
        instruments: that stand there.
        spots: its players.
        wide, deep: metres it takes.
    """

    name: str
    title: str
    instruments: tuple[StageInstrument, ...]
    spots: tuple[StageSpot, ...]
    wide: float
    deep: float

    @property
    def words(self) -> str:
        """The title, and in brackets what the concert's file calls it where that says something else."""
        return titled(self.title, self.name)


def titled(title: str, name: str) -> str:
    """A piece's title, and in brackets what the concert's file calls it where that says something else."""
    return title if title.casefold() == name.casefold() else f"{title} ({name})"


def hall_of(concert: Concert, reports: Sequence[SetupReport]) -> Hall:
    """The hall, with the least measures that hold every piece where its file gives none."""
    extents = [extent(report.plan) for report in reports if report.plan.standing]
    wide, deep = (max((each[side] for each in extents), default=1.0) + 2 * AROUND for side in (0, 1))
    hall = concert.hall
    return hall._replace(width=hall.width or round(wide, 1), depth=hall.depth or round(deep, 1))


def stage_plan(concert: Concert, hall: Hall, piece: ConcertPiece, report: SetupReport) -> StagePlan:
    """A piece's set-up on the stage, in the middle of its width.

    Raises:
        RequestError: the hall is smaller than the set-up.
    """
    if not report.plan.standing:
        return StagePlan(piece.name, piece.piece.title, (), spots=(), wide=0.0, deep=0.0)
    wide, deep = extent(report.plan)
    if wide > hall.width or deep > hall.depth:
        what = f"{piece.name} takes {wide:.1f} by {deep:.1f} m, the hall has {hall.width:g} by {hall.depth:g}"
        raise RequestError("Hall too small", what, f"correct the hall, or move stations in {piece.name}.group.toml")
    points = report.plan.points()
    left, front = min(p.x for p in points), min(p.y for p in points)
    # Where there is little room it is shared with whoever stands at the back.
    shift = Point((hall.width - wide) / 2 - left, min(FRONT, (hall.depth - deep) / 2) - front)
    which = _which(concert.instruments, piece, report.plan.boxes)
    return StagePlan(
        piece.name,
        piece.piece.title,
        tuple(_stage_instrument(box, name, piece, shift) for box, name in zip(report.plan.boxes, which, strict=True)),
        spots=tuple(
            StageSpot(piece.person(spot.player), _shifted(spot.at, shift), spot.facing) for spot in report.plan.standing
        ),
        wide=wide,
        deep=deep,
    )


def _stage_instrument(box: Box, which: str, piece: ConcertPiece, shift: Point) -> StageInstrument:
    corners = tuple(_shifted(corner, shift) for corner in box.corners)
    middle = Point(sum(c.x for c in corners) / 4, sum(c.y for c in corners) / 4)
    turned = degrees(atan2(corners[1].y - corners[0].y, corners[1].x - corners[0].x))
    row = fitting(fittings_of(piece.group), box.key)
    parts = max(1, round(box.width * 1000 / row.width)) if row.several and row.width else 1
    people = tuple(piece.person(number) for number in box.players)
    return StageInstrument(
        box.key, box.name, which, people=people, parts=parts, middle=middle, turned=turned, corners=corners
    )


def _shifted(point: Point, shift: Point) -> Point:
    return Point(point.x + shift.x, point.y + shift.y)


def _which(entries: Sequence[ConcertInstrument], piece: ConcertPiece, boxes: Sequence[Box]) -> list[str]:
    """The concert's name of each box's instrument; those that are asked for this piece or person come first."""
    free = [entry for entry in entries if not entry.pieces or piece.name in entry.pieces]
    free.sort(key=lambda entry: (not entry.person, not entry.pieces))
    names = []
    for box in boxes:
        people = {piece.person(number) for number in box.players}
        fits = [entry for entry in free if entry.kind == box.key and (not entry.person or entry.person in people)]
        names.append(fits[0].name if fits else "")
        free = [entry for entry in free if entry not in fits[:1]]
    return names
