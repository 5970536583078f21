"""Pipes by the size they are sold under, or by their measured diameters."""

import re

from score.errors import RequestError
from score.tubes.tube_acoustics import Pipe
from score.tubes.units import INCH, LENGTH, read_length

SCHEDULE_40 = {
    "1.5": (1.900, 1.592),
    "2": (2.375, 2.049),
    "2.5": (2.875, 2.445),
    "3": (3.500, 3.042),
    "4": (4.500, 3.998),
}
"""Outside and average inside diameter in inches of PVC pipe, schedule 40 (ASTM D1785, pipe tables)."""

_SIZES = {"1.5": "1.5", "1 1/2": "1.5", "1-1/2": "1.5", "2": "2", "2.5": "2.5", "2 1/2": "2.5", "2-1/2": "2.5"}
_SIZES |= {"3": "3", "4": "4"}
_REMEDY = 'give a size of schedule 40 ("2 in") or measured diameters ("inside 52 mm outside 60 mm")'


def read_pipe(text: str) -> Pipe:
    """The pipe of "2 in" (schedule 40), "inside 52 mm outside 60 mm" or "outside 60 mm wall 4 mm".

    Raises:
        RequestError: no such size, or diameters that cannot be.
    """
    size = re.fullmatch(
        r"\s*([\d. /-]+?)\s*(?:in|inch|inches|\"|″)(?:\s+(?:pvc|schedule|sch|40|pipe)\.?)*\s*", text, re.I
    )
    if size:
        key = _SIZES.get(size[1].strip())
        if key is None:
            raise RequestError("No such pipe", f"{text!r} is not a size in the schedule 40 table", _REMEDY)
        outside, inside = SCHEDULE_40[key]
        return Pipe(inside * INCH, outside * INCH, f"{size[1].strip()} in schedule 40")
    said = {
        word.lower(): read_length(length)
        for word, length in re.findall(rf"(inside|outside|wall)\s+({LENGTH})", text, re.I)
    }
    if len(said) != 2:
        raise RequestError("No such pipe", f"{text!r} does not say two of inside, outside and wall", _REMEDY)
    wall = said.get("wall", 0.0)
    inside = said.get("inside", said.get("outside", 0.0) - 2 * wall)
    outside = said.get("outside", inside + 2 * wall)
    return Pipe(inside, outside, f"{inside:.1f}/{outside:.1f} mm pipe")
