"""Widths of letters from a font file's own tables (OpenType 1.9, ISO/IEC 14496-22: cmap format 4, hhea, hmtx, name).

A library for fonts takes longer to load than this takes to read; a test compares the two.
"""

from collections.abc import Iterator
from struct import unpack_from

_STYLE_NAME = 2
"""The name record that says which cut of its family a font is: Regular, Bold."""
_WINDOWS, _UNICODE_BMP = 3, 1


def letter_widths(font: bytes) -> dict[int, int]:
    """Width of every letter by its code, in the font's units.

    Args:
        font: an OpenType file with a character map of format 4.
    """
    tables = _tables(font)
    (count,) = unpack_from(">H", font, tables["hhea"] + 34)
    widths = unpack_from(f">{2 * count}H", font, tables["hmtx"])[::2]
    # Glyphs beyond the last width are as wide as that one.
    return {code: widths[min(glyph, count - 1)] for code, glyph in _glyphs(font, tables["cmap"])}


def style_name(font: bytes) -> str:
    """The cut of its family: "Regular", "Bold"."""
    start = _tables(font)["name"]
    count, texts = unpack_from(">HH", font, start + 2)
    for number in range(count):
        platform, _, _, name, length, place = unpack_from(">6H", font, start + 6 + 12 * number)
        if platform == _WINDOWS and name == _STYLE_NAME:
            first = start + texts + place
            return font[first : first + length].decode("utf-16-be")
    return ""


def _tables(font: bytes) -> dict[str, int]:
    """Where each table begins."""
    (count,) = unpack_from(">H", font, 4)
    records = (unpack_from(">4s3I", font, 12 + 16 * number) for number in range(count))
    return {tag.decode("latin-1"): place for tag, _, place, _ in records}


def _glyphs(font: bytes, cmap: int) -> Iterator[tuple[int, int]]:
    """(code of a letter, number of its glyph) of every letter the font has."""
    start = _character_map(font, cmap)
    segments = unpack_from(">H", font, start + 6)[0] // 2
    last, first, shift = (
        unpack_from(f">{segments}{kind}", font, start + 14 + gap + 2 * segments * row)
        for row, (kind, gap) in enumerate((("H", 0), ("H", 2), ("h", 2)))
    )
    ranges = start + 16 + 6 * segments
    for number in range(segments):
        (offset,) = unpack_from(">H", font, ranges + 2 * number)
        for code in range(first[number], min(last[number], 0xFFFE) + 1):
            glyph = code
            if offset:
                # Counted from the place of the offset itself.
                place = ranges + 2 * number + offset + 2 * (code - first[number])
                (glyph,) = unpack_from(">H", font, place)
                if not glyph:
                    continue
            if glyph := (glyph + shift[number]) & 0xFFFF:
                yield code, glyph


def _character_map(font: bytes, cmap: int) -> int:
    (count,) = unpack_from(">H", font, cmap + 2)
    maps = (unpack_from(">HHI", font, cmap + 4 + 8 * number) for number in range(count))
    place: int = next(place for platform, coding, place in maps if (platform, coding) == (_WINDOWS, _UNICODE_BMP))
    return cmap + place
