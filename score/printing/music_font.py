"""What signs the engraver's music font has: asking the engraver for one that it lacks would end its process."""

import re
from functools import cache
from pathlib import Path

from score.printing.fonts import MUSIC, engraver_data

_GLYPH = re.compile(r'<g c="([0-9A-F]+)"[^>]* n="([^"]*)"')

FIRST_SIGN, LAST_SIGN = "\ue000", "\uf3ff"
"""Letters that SMuFL gives to signs of music, in the private use area of Unicode."""


def has_sign(code: str) -> bool:
    """Whether the music font has a sign of this SMuFL code, four hexadecimal digits."""
    return code in _codes().values()


def sign_named(name: str) -> str:
    """The letter of the sign with this SMuFL name, "" where the music font has none."""
    code = _codes().get(name)
    return chr(int(code, 16)) if code else ""


@cache
def _codes() -> dict[str, str]:
    text = Path(engraver_data(), f"{MUSIC}.xml").read_text(encoding="utf-8")
    return {name: code for code, name in _GLYPH.findall(text)}
