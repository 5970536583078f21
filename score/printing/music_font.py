"""What signs the engraver's music font has, and how large: asking for one that it lacks would end its process."""

import re
from functools import cache
from pathlib import Path

from score.printing.fonts import MUSIC, engraver_data

_GLYPH = re.compile(r'<g c="([0-9A-F]+)" x="([^"]*)" y="([^"]*)" w="([^"]*)" h="([^"]*)"[^>]* n="([^"]*)"')

FIRST_SIGN, LAST_SIGN = "\ue000", "\uf3ff"
"""Letters that SMuFL gives to signs of music, in the private use area of Unicode."""
_FIRST_PRIVATE, _LAST_PRIVATE = "\ue000", "\uf8ff"
SignBox = tuple[float, float, float, float]
"""Left, low, width and height of a sign, y upwards, a thousand to its size."""


def has_sign(code: str) -> bool:
    """Whether the music font has a sign of this SMuFL code, four hexadecimal digits."""
    return code in sign_boxes()


def sign_named(name: str) -> str:
    """The letter of the sign with this SMuFL name, "" where the music font has none."""
    code = _codes().get(name)
    return chr(int(code, 16)) if code else ""


def private_letters(text: str) -> list[str]:
    """The letters of a text that are signs, which no text font has."""
    return [letter for letter in text if _FIRST_PRIVATE <= letter <= _LAST_PRIVATE]


@cache
def sign_boxes() -> dict[str, SignBox]:
    """The box of every sign of the music font by its code."""
    return {code: (float(x), float(y), float(w), float(h)) for code, x, y, w, h, _ in _glyphs()}


@cache
def _codes() -> dict[str, str]:
    return {name: code for code, *_, name in _glyphs()}


@cache
def _glyphs() -> list[tuple[str, str, str, str, str, str]]:
    """Code, box and name of every sign, as the engraver's table of the font says them."""
    return _GLYPH.findall(Path(engraver_data(), f"{MUSIC}.xml").read_text(encoding="utf-8"))
