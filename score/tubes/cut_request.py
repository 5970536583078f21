"""Stock, leftovers and sheets as a builder writes them."""

import re

from score.errors import RequestError
from score.tubes.cutting.cut_list import Stock
from score.tubes.units import LENGTH, read_length

_MOST = 1000
"""Sticks of one length that are taken."""


def read_stock(text: str, leftover: bool = False) -> Stock:
    """A stick of "10 ft", "3 m", "2 x 830 mm"; a leftover is there once unless a number says otherwise.

    Raises:
        RequestError: no length, or no such number.
    """
    match = re.fullmatch(r"\s*(?:(-?\d+)\s*[x×]\s*)?(.+?)\s*", text)
    if match is None:
        raise RequestError("Stock", f"{text!r} has no length", 'write "3 m" or "2 x 830 mm"')
    count = int(match[1]) if match[1] else (1 if leftover else None)
    if count is not None and not 1 <= count <= _MOST:
        raise RequestError("Stock", f"{text!r}: {count} sticks", f"give a number from 1 to {_MOST}")
    return Stock(read_length(match[2]), count, leftover)


def read_sheet(text: str) -> tuple[float, float]:
    """Width and depth of a sheet, mm: "1220 x 610 mm", "4 ft x 2 ft".

    Raises:
        RequestError: not two lengths.
    """
    wide, cross, deep = re.sub(r"\s*[x×]\s*", "x", text.strip()).partition("x")
    if not cross:
        raise RequestError("Sheet", f"{text!r} is not two lengths", 'write "1220 x 610 mm"')
    if not re.fullmatch(LENGTH, wide):
        unit = re.search(r"[^\d.\s/-]+$", deep)
        wide += unit[0] if unit else ""
    return read_length(wide), read_length(deep)
