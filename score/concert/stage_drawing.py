"""A stage in the hall's measures as a drawing of the page maker: outline, instruments with letters, players by name."""

from collections.abc import Collection, Iterator, Sequence
from math import cos, radians, sin

from score.concert.concert_values import Hall
from score.concert.stage_moves import OFF, Move
from score.concert.stage_plan import StagePlan
from score.printing.typesetting import quoted
from score.setup.floor_picture import letter_of
from score.setup.floor_plan import Point

_SCALES = (10, 20, 25, 30, 40, 50, 60, 75, 100, 120, 150, 200, 300, 500, 1000, 2000)
_SPOT = 2.0
_LETTER = 0.75
"""Half the width of a letter of a name, mm."""


def stage_drawing(
    hall: Hall,
    stage: StagePlan,
    wide: float,
    deep: float,
    mine: Collection[str] = (),
    moves: Sequence[Move] = (),
) -> str:
    """A block with the stage to scale, and a line that says which.

    Args:
        hall: its measures.
        stage: what stands on it.
        wide: mm there are for it at the most.
        deep: mm as well.
        mine: people whose instruments are shaded.
        moves: of the change before; a dashed line leads to what comes or moves.
    """
    scale = next((s for s in _SCALES if hall.width * 1000 / s <= wide and hall.depth * 1000 / s <= deep), _SCALES[-1])
    factor = 1000 / scale
    body = "".join((*_ways(hall, moves, factor), *_drawn(hall, stage, factor, frozenset(mine))))
    size = f"width: {hall.width * factor:.2f}mm, height: {hall.depth * factor + 5:.2f}mm"
    measures = f"Stage {hall.width:g} by {hall.depth:g} m, 1:{scale}; the audience is below."
    return f"#block({size}, breakable: false)[{body}]\n#text(size: 7pt, {quoted(measures)})\n"


def stage_letters(stage: StagePlan) -> list[tuple[str, str]]:
    """Each instrument's letter and what it is."""
    rows = []
    for index, instrument in enumerate(stage.instruments):
        name = f"{instrument.name}, {instrument.which}" if instrument.which else instrument.name
        place = f"{instrument.middle.x:.1f} from the left, {instrument.middle.y:.1f} from the front"
        rows.append((letter_of(index), f"{name}: {', '.join(instrument.people)}; {place}"))
    return rows


def _drawn(hall: Hall, stage: StagePlan, factor: float, mine: frozenset[str]) -> Iterator[str]:
    size = f"width: {hall.width * factor:.2f}mm, height: {hall.depth * factor:.2f}mm"
    yield f"#place(rect({size}, stroke: 0.8pt))"

    def at(point: Point) -> tuple[float, float]:
        return point.x * factor, (hall.depth - point.y) * factor

    yield from _rulers(hall, factor)
    for index, instrument in enumerate(stage.instruments):
        corners = ", ".join(f"({x:.2f}mm, {y:.2f}mm)" for x, y in map(at, instrument.corners))
        fill = "luma(80%)" if mine & set(instrument.people) else "white"
        yield f"#place(polygon(fill: {fill}, stroke: 0.6pt, {corners}))"
        yield _words(at(instrument.middle), letter_of(index), 8)
    for spot in stage.spots:
        x, y = at(spot.at)
        yield f"#place(dx: {x - _SPOT:.2f}mm, dy: {y - _SPOT:.2f}mm, circle(radius: {_SPOT}mm, fill: black))"
        look = x + 2 * _SPOT * sin(radians(spot.facing)), y + 2 * _SPOT * cos(radians(spot.facing))
        yield _line((x, y), look, "1pt")
        # Behind the player's back, where nothing of theirs stands, clear of the spot however long the name is.
        side, back = sin(radians(spot.facing)), cos(radians(spot.facing))
        away = x - side * (1.3 * _SPOT + _LETTER * len(spot.person)), y - 2.2 * _SPOT * back
        half = min(_LETTER * len(spot.person), hall.width * factor / 2)
        yield _words((min(max(away[0], half), hall.width * factor - half), away[1]), spot.person, 8)


def _rulers(hall: Hall, factor: float) -> Iterator[str]:
    """Metres along the front and, from the front, along the left side."""
    front = hall.depth * factor
    for metre in range(1, int(hall.width) + 1):
        yield _line((metre * factor, front), (metre * factor, front + 1.5), "0.4pt")
        if metre % 2 == 0:
            yield _words((metre * factor, front + 3.4), str(metre), 6)
    for metre in range(1, int(hall.depth) + 1):
        yield _line((-1.5, front - metre * factor), (0, front - metre * factor), "0.4pt")
        if metre % 2 == 0:
            yield _words((-3.4, front - metre * factor), str(metre), 6)


def _ways(hall: Hall, moves: Sequence[Move], factor: float) -> Iterator[str]:
    """From where everything comes that moves; under the instruments."""
    for move in moves:
        if move.how != OFF:
            ends = [(at.x * factor, (hall.depth - at.y) * factor) for at in (move.start, move.end)]
            yield _line(ends[0], ends[1], '(paint: gray, thickness: 0.6pt, dash: "dashed")')


def _line(start: tuple[float, float], end: tuple[float, float], stroke: str) -> str:
    ends = ", ".join(f"{name}: ({x:.2f}mm, {y:.2f}mm)" for name, (x, y) in (("start", start), ("end", end)))
    return f"#place(line({ends}, stroke: {stroke}))"


def _words(at: tuple[float, float], text: str, size: int) -> str:
    box = f"box(width: 30mm, height: 5mm, align(center + horizon, text(size: {size}pt, {quoted(text)})))"
    return f"#place(dx: {at[0] - 15:.2f}mm, dy: {at[1] - 2.5:.2f}mm, {box})"
