"""Digits three rows tall, made of half blocks, to be read from behind an instrument."""

from tui.drawing.cells import Cells

ROWS, COLUMNS = 3, 3
_DOTS = {
    "0": "111101101101111", "1": "010110010010111", "2": "111001111100111", "3": "111001111001111",
    "4": "101101111001001", "5": "111100111001111", "6": "111100111101111", "7": "111001010010010",
    "8": "111101111101111", "9": "111101111001111", ".": "000000000000010", ":": "000010000010000",
    "-": "000000111000000", "/": "001001010100100", " ": "000000000000000",
}  # fmt: skip
_HALVES = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}


def put_large(cells: Cells, row: int, column: int, text: str, ink: str, *, ground: str = "") -> int:
    """Write digits three rows tall; gives back the column after them.

    Args:
        cells: where to write.
        row: of the upper left cell.
        column: of the upper left cell.
        text: digits, and . : - / and spaces; anything else is left empty.
        ink: colour of the digits.
        ground: behind them, "" leaves what is there.
    """
    for letter in text:
        dots = _DOTS.get(letter, _DOTS[" "]) + "000"
        for half in range(ROWS):
            signs = "".join(
                _HALVES[dots[6 * half + place] == "1", dots[6 * half + 3 + place] == "1"] for place in range(COLUMNS)
            )
            cells.put(row + half, column, signs, ink, ground=ground)
        column += COLUMNS + 1
    return column
