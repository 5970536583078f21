"""How wide a text is in the text font, and where it breaks into lines: what stands on a page is known before it is set.

The engraver ships a table of the widths of letters of a font that the text font was drawn to replace letter for letter;
a test compares it with the font itself. It has few letters beyond English ones: the others are looked up in the font.
"""

import re
import unicodedata
from functools import cache, lru_cache
from pathlib import Path

from score.printing.font_tables import letter_widths, style_name
from score.printing.fonts import engraver_data, font_folder

_GLYPH = re.compile(r'<g c="([0-9A-F]+)"[^>]* h-a-x="([^"]*)"')
_UNITS, _MM_A_POINT = 2048, 25.4 / 72
_UNKNOWN = 1479.0
"""Width of a letter that is not in the table: that of a capital."""


def text_width(text: str, points: float, bold: bool = False) -> float:
    """Width of a line of text, mm.

    Args:
        text: without line breaks.
        points: size of the font.
        bold: in its bold cut.
    """
    return _units(text, bold) / _UNITS * points * _MM_A_POINT


def lines_of(text: str, width: float, points: float, bold: bool = False) -> list[str]:
    """The text broken into lines no wider than this, mm, between words; inside a word only where it alone is wider."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, points, bold) <= width:
            lines[-1] = longer
        else:
            lines += _pieces(word, width, points, bold)
    return lines


def shortened(text: str, width: float, points: float, bold: bool = False) -> str:
    """The text as far as it fits a line of this width, mm, with an ellipsis where something is left out."""
    text = " ".join(text.split())
    if text_width(text, points, bold) <= width:
        return text
    while text and text_width(f"{text}…", points, bold) > width:
        text = text[:-1].rstrip()
    return f"{text}…"


def _pieces(word: str, width: float, points: float, bold: bool) -> list[str]:
    pieces = [""]
    for letter in word:
        if pieces[-1] and text_width(pieces[-1] + letter, points, bold) > width:
            pieces.append("")
        pieces[-1] += letter
    return pieces


# A page says the same few words again and again.
@lru_cache(maxsize=1024)
def _units(text: str, bold: bool) -> float:
    return sum(_letter(letter, bold) for letter in text)


@cache
def _letter(letter: str, bold: bool) -> float:
    table = _table("Times-bold" if bold else "Times")
    # An accent takes no room of its own.
    base = letter if letter in table else unicodedata.normalize("NFD", letter)[0]
    return table[base] if base in table else _in_font("Bold" if bold else "Regular").get(ord(letter), _UNKNOWN)


@cache
def _table(name: str) -> dict[str, float]:
    table = Path(engraver_data(), "text", f"{name}.xml").read_text(encoding="utf-8")
    return {chr(int(code, 16)): float(width) for code, width in _GLYPH.findall(table)}


@cache
def _in_font(cut: str) -> dict[int, int]:
    """Width of every letter of the text font by its code."""
    for path in sorted(Path(font_folder()).glob("Liberation*")):
        font = path.read_bytes()
        if style_name(font) == cut:
            return letter_widths(font)
    return {}
