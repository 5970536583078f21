"""How high and how low a drawing of the engraver's reaches, read from its SVG text.

The engraver can box everything it draws, but then it takes a third longer and its drawing is twice as long. What its
glyphs need is in its own table of them; letters reach as high and low as those of its text font.
"""

import re

from score.parts.drawn_staves import figures
from score.printing.music_font import private_letters, sign_boxes

_USE = re.compile(r'href="#([0-9A-F]+)[^"]*" transform="translate\([^,]*, ([^)]*)\) scale\([^,]*, ([^)]*)\)"')
# Two patterns that begin with letters: one that begins with a choice takes three times as long.
_PATH, _CORNERS = re.compile(r' d="([^"]*)"'), re.compile(r' points="([^"]*)"')
_RECTANGLE = re.compile(r'<rect [^>]* y="([^"]*)" height="([^"]*)"')
_DOT = re.compile(r' cy="([^"]*)" rx="[^"]*" ry="([^"]*)"')
_TEXT = re.compile(r"<text [^>]*>.*?</text>", re.DOTALL)
_PIECE = re.compile(r"<(?:text|tspan)([^>]*)>|([^<]+)")
_Y, _SIZE = re.compile(r' y="([^"]*)"'), re.compile(r'font-size="([\d.]+)px"')
# Of a letter's size; measured on what the engraver boxes.
_ABOVE, _BELOW = 0.69, 0.22
_NO_SIGN = 0.0, 0.0, 0.0, 0.0


def extents(svg: str) -> tuple[float, float]:
    """Highest and lowest y of a drawing, in its units, y downwards; (0, 0) of an empty one.

    Args:
        svg: a group as text, what is not printed left out.
    """
    ys = [*_glyphs(svg), *_shapes(svg)]
    for text in _TEXT.findall(svg):
        ys += _letters(text)
    return (min(ys), max(ys)) if ys else (0.0, 0.0)


def _glyphs(svg: str) -> list[float]:
    boxes = sign_boxes()
    ys: list[float] = []
    for code, y, scale in set(_USE.findall(svg)):
        _, low, _, height = boxes.get(code, _NO_SIGN)
        ys += (float(y) - float(scale) * (low + height), float(y) - float(scale) * low)
    return ys


def _shapes(svg: str) -> list[float]:
    # Every shape is a list of points: x, y, x, y.
    lines = " ".join((*_PATH.findall(svg), *_CORNERS.findall(svg)))
    ys = list(map(float, set(figures(lines)[1::2])))
    for y, height in _RECTANGLE.findall(svg):
        ys += (float(y), float(y) + float(height))
    for y, radius in _DOT.findall(svg):
        ys += (float(y) - float(radius), float(y) + float(radius))
    return ys


def _letters(text: str) -> list[float]:
    """A text's letters stand on the line it or its parts name last; signs of the music font are in its table."""
    line, size, ys = 0.0, 0.0, list[float]()
    for attributes, letters in _PIECE.findall(text):
        if y := _Y.search(attributes):
            line = float(y[1])
        if new := _SIZE.search(attributes):
            size = float(new[1])
        if letters.strip():
            above, below = _reach(letters)
            ys += (line - above * size, line + below * size)
    return ys


def _reach(letters: str) -> tuple[float, float]:
    boxes = [sign_boxes().get(f"{ord(sign):X}", _NO_SIGN) for sign in private_letters(letters)]
    return (
        max([_ABOVE, *((low + height) / 1000 for _, low, _, height in boxes)]),
        max([_BELOW, *(-low / 1000 for _, low, *_ in boxes)]),
    )
