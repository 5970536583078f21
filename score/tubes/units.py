"""Lengths as a builder writes and reads them: millimetres, centimetres, metres, inches with fractions, feet."""

import re
from fractions import Fraction
from math import ceil

from score.errors import RequestError

INCH = 25.4
UNITS = ("mm", "cm", "in")
"""The units results can be shown in."""

_NUMBER = r"(?:\d+[\s-]+\d+/\d+|\d+/\d+|\d+(?:\.\d+)?|\.\d+)"
_UNIT = r"(?:mm|cm|inches|inch|in|feet|foot|ft|m|\"|″|'|′)"
LENGTH = rf"-?{_NUMBER}\s*{_UNIT}(?![A-Za-z])"
"""One length with its unit; feet and inches are two that follow each other."""

_LENGTH = re.compile(rf"(?P<sign>-?)(?P<number>{_NUMBER})\s*(?P<unit>{_UNIT})(?![A-Za-z])")
_FEET = ("feet", "foot", "ft", "'", "′")
_IN_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0} | dict.fromkeys(_FEET, 304.8)
_LONGEST = 20000.0
_TINY = 1e-6


def read_length(text: str) -> float:
    """Millimetres of "640 mm", "64 cm", "25 3/16 in", "2 ft 1 1/2 in".

    Raises:
        RequestError: no length, no unit, mixed units, nothing or less, or longer than 20 m.
    """
    length, rest = take_length(text)
    if rest.strip():
        raise RequestError(
            "Length", f"{text!r}: {rest.strip()!r} is not part of a length", "write 640 mm or 25 3/16 in"
        )
    return length


def take_length(text: str) -> tuple[float, str]:
    """The one length in a text, millimetres, and the text without it.

    Raises:
        RequestError: as in `read_length`.
    """
    plain = re.sub(r"(?<=\d),(?=\d)", ".", text)
    matches = list(_LENGTH.finditer(plain))
    if not matches:
        raise RequestError("Length", f"{text!r} has no length with its unit", "write 640 mm, 64 cm or 25 3/16 in")
    _check_units(text, [part["unit"] for part in matches])
    if any(part["sign"] for part in matches):
        raise RequestError("Length", f"{text!r} has a negative length", "check the sign; write 640 mm")
    length = sum(float(_number(part["number"], text)) * _IN_MM.get(part["unit"], INCH) for part in matches)
    if not 0 < length <= _LONGEST:
        raise RequestError("Length", f"{text!r} is {length:g} mm", "check the number and its unit")
    return length, _LENGTH.sub(" ", plain)


def show_length(length: float, unit: str = "mm") -> str:
    """A length with its unit: tenths of a millimetre, or inches to the nearest 32nd.

    Args:
        length: millimetres.
        unit: one of `UNITS`.
    """
    if unit == "in":
        return _inches(length)
    return f"{length / 10:.2f} cm" if unit == "cm" else f"{length:.1f} mm"


def show_rounded_up(length: float, unit: str = "mm") -> str:
    """A length to buy: whole millimetres, or sixteenths of an inch, never less than is needed.

    Args:
        length: millimetres.
        unit: one of `UNITS`.
    """
    if unit == "in":
        return _inches(ceil(length / INCH * 16 - _TINY) / 16 * INCH)
    whole = ceil(length - _TINY)
    return f"{whole / 10:.1f} cm" if unit == "cm" else f"{whole} mm"


def _check_units(text: str, units: list[str]) -> None:
    if len(units) == 1 or (len(units) == 2 and units[0] in _FEET and units[1] in ('"', "″", "in", "inch", "inches")):
        return
    raise RequestError("Mixed units", f"{text!r} gives {len(units)} lengths", "give one length in one unit")


def _number(text: str, whole: str) -> Fraction:
    try:
        return sum((Fraction(part) for part in re.split(r"[\s-]+", text)), Fraction(0))
    except ZeroDivisionError:
        raise RequestError("Length", f"{whole!r} divides by zero", "write 25 3/16 in") from None


def _inches(length: float) -> str:
    parts = round(length / INCH * 32)
    whole, rest = divmod(parts, 32)
    if not rest:
        return f"{whole} in"
    fraction = Fraction(rest, 32)
    return f"{whole} {fraction} in" if whole else f"{fraction} in"
