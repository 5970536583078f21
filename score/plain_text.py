"""Texts from files made harmless, wherever they go: a terminal, a file name, a spreadsheet, a page.

A terminal obeys control characters (C0 and C1: ECMA-48, ISO/IEC 6429), and marks that turn the direction of writing
show a text other than it is (Unicode Standard Annex 9, explicit directional formatting characters).

It also holds how a number of things is said. This module imports nothing of ours.
"""

import re
from pathlib import Path

_C0 = "\x00-\x08\x0b\x0c\x0e-\x1f\x7f"
_C1 = "\x80-\x9f"
# Marks and overrides of direction, line and paragraph separators, byte order mark, interlinear annotation, tags.
_SIGNS = "\u061c\u200e\u200f\u2028-\u202e\u2066-\u206f\ufeff\ufff9-\ufffb\U000e0000-\U000e007f"
_HARMFUL = re.compile(f"[{_C0}{_C1}{_SIGNS}]+")
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_LONGEST_NAME = 60
_LONGEST_STEM = 160


def harmless(text: str) -> str:
    """The text without control characters and marks of direction; tabs and line ends stay."""
    return _HARMFUL.sub("", text)


def is_harmless(text: str) -> bool:
    """Whether `harmless` leaves the text as it is."""
    return _HARMFUL.search(text) is None


def table_cell(text: str) -> str:
    """The text as a cell of a table file that no spreadsheet takes for a formula: an apostrophe goes before it.

    Source: OWASP, CSV injection (cells that begin with = + - @, tab or carriage return).
    """
    plain = harmless(text)
    return f"'{plain}" if plain.startswith(_FORMULA) else plain


def markdown_cell(text: str) -> str:
    """The text as a cell of a Markdown table."""
    return text.replace("|", "\\|")


def several(count: int, noun: str) -> str:
    """So many of something whose plural takes an s: "1 bar", "3 bars"."""
    return f"{count} {noun}{'' if count == 1 else 's'}"


def file_stem(path: Path) -> str:
    """What files made of one begin with: its name without ending, on one line, without what a terminal obeys."""
    # Bytes of a name that are no text in the system's encoding cannot be written into any file.
    text = path.stem.encode("utf-8", "ignore").decode()
    plain = " ".join(harmless(text).split()) or "score"
    # What follows needs room too: systems take 255 bytes of a name.
    return plain.encode()[:_LONGEST_STEM].decode("utf-8", "ignore").rstrip()


def file_name_part(text: str) -> str:
    """The text as part of a file's name on every system: letters, digits, "-" and "_", 60 of them at the most."""
    plain = "".join(letter if letter.isalnum() or letter in "-_" else "-" for letter in text.replace("+", "-plus-"))
    return plain[:_LONGEST_NAME]
