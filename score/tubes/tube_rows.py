"""What a set, its cut list and its frame say in rows and lines; the terminal and the sheet show the same."""

from score.tubes.air import Air
from score.tubes.cutting.cut_list import CutPlan
from score.tubes.frame import Frame
from score.tubes.tube_lengths import Tube, TubeSet
from score.tubes.tube_pitch import cents
from score.tubes.units import show_length

LENGTH_HEAD = ("Tube", "cut to", "final", "± length", "± cents", "mm per cent", "tune to", "proportion", "its error")
"""Columns of `length_rows`."""

MEASURE_HEAD = ("Tube", "from left", "from front", "hole", "suspend at", "or at", "air rests at", "above floor")
"""Columns of `measure_rows`."""


def length_rows(tubes: TubeSet, unit: str = "mm") -> list[tuple[str, ...]]:
    """A row for each tube under `LENGTH_HEAD`."""
    return [_length_row(tube, unit) for tube in tubes.tubes]


def measure_rows(tubes: TubeSet, frame: Frame, unit: str = "mm") -> list[tuple[str, ...]]:
    """A row for each tube under `MEASURE_HEAD`; suspensions are measured from the playing end."""
    return [
        (
            hole.name,
            *(show_length(value, unit) for value in (hole.x, hole.y, hole.diameter, *tube.suspension, tube.air_node)),
            show_length(hole.floor, unit) if hole.floor > 0 else "below it",
        )
        for tube, hole in zip(tubes.tubes, frame.holes, strict=True)
    ]


def basis_line(tubes: TubeSet) -> str:
    """What the lengths rest on, in one line."""
    request, fit = tubes.request, tubes.fit
    column = request.column
    how = "stopped by a cap" if column.capped else "open at both ends"
    pipe = column.pipe
    return (
        f"{pipe.name or 'Pipe'}, inside {pipe.inside:.1f} mm, outside {pipe.outside:.1f} mm, {how}; "
        f"{_rests_on(tubes)}: end correction {fit.end:.1f} mm, speed of sound "
        f"{request.workshop.speed * fit.scale:.1f} m/s before the walls slow it. "
        f"Cut at {_air(request.workshop)}, in tune at {_air(request.concert)}, A4 = {request.a4:g} Hz."
    )


SPREAD_LINE = (
    '"±" is one standard deviation: two builds in three come out nearer than that, nineteen in twenty within twice it.'
)
"""What the uncertainty is."""

NODE_LINE = '"Suspend at" is where the wall stands still, "air rests at" where the air does: from the playing end.'
"""What the measures of suspension mean."""


def frame_line(frame: Frame, unit: str = "mm") -> str:
    """The plate, where it stands and how its holes lie."""
    wish, plate = frame.wish, f"{show_length(frame.width, unit)} × {show_length(frame.depth, unit)}"
    return (
        f"Frame: plate {plate}, {show_length(frame.plate_below, unit)} below the playing ends, these "
        f"{show_length(wish.height, unit)} above the floor; holes of {show_length(frame.holes[0].diameter, unit)}, "
        f"centres {show_length(frame.spacing, unit)} apart in a row, {show_length(wish.edge, unit)} of wood round them."
    )


def next_line(tubes: TubeSet, unit: str = "mm") -> str:
    """What to measure next, "" when nothing would be gained."""
    tube = tubes.next_tube
    if tube is None:
        return ""
    return (
        f"Measure next: {tube.name}, cut to {show_length(tube.length, unit)}; "
        f"the worst uncertainty falls from ±{tube.before:.1f} to ±{tube.after:.1f} cents."
    )


def hand_line(tubes: TubeSet) -> str:
    """Which tubes are finished already, "" when none is."""
    names = [tube.wanted.name for tube in tubes.tubes if tube.in_hand]
    if not names:
        return ""
    return f"In hand: {', '.join(names)}, measured in tune as they are; nothing is bought or cut for them."


def concert_line(tubes: TubeSet) -> str:
    """What tuning in one air and playing in another does, "" when both are alike."""
    shift = cents(tubes.tubes[0].wanted.frequency, tubes.tubes[0].concert_pitch)
    if abs(shift) < 0.05:
        return ""
    return (
        f"At the concert ({_air(tubes.request.concert)}) the air shifts every tube by {shift:+.1f} cents: "
        f'"tune to" allows for it.'
    )


def proportion_line(tubes: TubeSet, unit: str = "mm") -> str:
    """Where the plain proportion starts from."""
    length, frequency = tubes.proportion_from
    return (
        f'"Proportion" is {show_length(length, unit)} ({frequency:.2f} Hz) scaled by frequency alone; '
        "its error is what leaving out the end correction costs."
    )


def stick_line(cutting: CutPlan, index: int, unit: str = "mm") -> str:
    """One stick in words."""
    stick = cutting.sticks[index]
    kind = "leftover" if stick.stock.leftover else "stick"
    pieces = ", ".join(f"{cutting.names[p]} {show_length(cutting.lengths[p], unit)}" for p in stick.pieces)
    rest = show_length(stick.rest, unit)
    return f"{index + 1}: {kind} of {show_length(stick.stock.length, unit)}: {pieces}; rest {rest}"


def cut_line(cutting: CutPlan, unit: str = "mm") -> str:
    """How good the cut list is."""
    many = len(cutting.sticks) - cutting.bought
    left = f" and {many} leftover{'s' * (many != 1)}" if many else ""
    sure = "no plan needs fewer, nor as many and less pipe" if cutting.proven else "the best found in the time allowed"
    new = f"{cutting.bought} new stick{'s' * (cutting.bought != 1)}"
    kerf = f"{show_length(cutting.kerf, unit)} a cut" if cutting.kerf else "cuts that take no width (a pipe cutter's)"
    return f"{new}{left}, {kerf}: {sure}."


def stick_picture(cutting: CutPlan, index: int, width: int) -> str:
    """One stick drawn in characters: a cell each for its pieces with their names, dots for the rest."""
    stick = cutting.sticks[index]
    longest = max(stick.stock.length for stick in cutting.sticks)
    drawn, at = "", 0.0
    for piece in stick.pieces:
        at += cutting.lengths[piece] + cutting.kerf
        room = max(1, round(at / longest * width) - len(drawn) - 1)
        drawn += cutting.names[piece][:room].center(room, " ") + "|"
    return "[" + drawn.ljust(round(stick.stock.length / longest * width), "·") + "]"


def _length_row(tube: Tube, unit: str) -> tuple[str, ...]:
    return (
        tube.wanted.name + ("*" if tube.outside else ""),
        "in hand" if tube.in_hand else show_length(tube.cut, unit),
        show_length(tube.final, unit),
        f"{tube.spread_mm:.1f} mm",
        f"{tube.spread_cents:.1f}",
        f"{tube.mm_per_cent:.2f}",
        f"{tube.workshop_pitch:.2f} Hz" + (f" {tube.workshop_cents:+.1f}c" if abs(tube.workshop_cents) >= 0.05 else ""),
        show_length(tube.proportion, unit),
        f"{tube.proportion_error:+.1f}c",
    )


def _rests_on(tubes: TubeSet) -> str:
    count = len([tube for tube in tubes.fit.used if tube.column == tubes.fit.column])
    if not count:
        return "physics and the tubes of the other cap state" if tubes.fit.used else "physics alone, no tube measured"
    return f"{count} measured tube{'s' * (count != 1)}"


def _air(air: Air) -> str:
    return f"{air.celsius:.3g} °C, {air.humidity:.3g} % humidity"
