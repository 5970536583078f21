"""The one place that calls the page maker: its documents to PDF, texts of a score for it as text only."""

import re
import threading
from typing import TYPE_CHECKING

from score.printing.fonts import font_folder
from score.printing.memory import LARGE, give_back

if TYPE_CHECKING:
    import typst

_UNPRINTED = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
"""Control characters but white space, and marks that turn the direction of what follows."""
_ESCAPES = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t", "\r": "\\r"}


def to_pdf(source: str) -> bytes:
    """The PDF of a page maker's document; the same every time for the same source."""
    pdf = _page_maker().compile(source.encode(), format="pdf")
    assert isinstance(pdf, bytes)
    if len(source) > LARGE:
        give_back()
    return pdf


def to_png(source: str, pixels_a_point: float = 1.0) -> bytes:
    """A page maker's document of one page as a picture; where the page has no fill its ground is transparent."""
    picture = _page_maker().compile(source.encode(), format="png", ppi=72 * pixels_a_point)
    assert isinstance(picture, bytes)
    return picture


def fills_one_page(source: str) -> bool:
    """Whether the document takes no more than a page."""
    # One page comes as itself, several as a list.
    return isinstance(_page_maker().compile(source.encode(), format="svg"), bytes)


def quoted(text: str) -> str:
    """The text as a string of the page maker's language: whatever stands in it is printed and never acted upon."""
    if not text.isprintable():
        # A few signs of the music font are not either; asked so, a long drawing is through in no time.
        text = _UNPRINTED.sub("", text)
    for letter, escape in _ESCAPES.items():
        text = text.replace(letter, escape)
    return f'"{text}"'


class _PageMaker(threading.local):
    """A thread's page maker: to make one takes a quarter of the time of a part."""

    compiler: "typst.Compiler | None" = None


_thread = _PageMaker()


def _page_maker() -> "typst.Compiler":
    import typst

    if _thread.compiler is None:
        fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=[font_folder()])
        _thread.compiler = typst.Compiler(font_paths=fonts)
    return _thread.compiler
