"""Minutes and seconds five rows tall, to be read from across the room."""

from rich.text import Text

from tui.drawing.canvas import Row, joined

ROWS, _WIDE = 5, 2
_DOTS = {
    "0": "111101101101111", "1": "010110010010111", "2": "111001111100111", "3": "111001111001111",
    "4": "101101111001001", "5": "111100111001111", "6": "111100111101111", "7": "111001010010010",
    "8": "111101111101111", "9": "111101111001111", ":": "000010000010000", "-": "000000111000000",
}  # fmt: skip
"""Three by five dots a sign, row by row."""


def tall_clock(text: str, ink: str) -> Text:
    """Digits, a colon and a minus as five rows, eight columns a sign."""
    rows = [Row(len(text) * 4 * _WIDE) for _ in range(ROWS)]
    for place, sign in enumerate(text):
        dots = _DOTS.get(sign, "0" * 15)
        for dot, lit in enumerate(dots):
            if lit == "1":
                rows[dot // 3].put((4 * place + dot % 3) * _WIDE, "█" * _WIDE, ink)
    return joined(rows)
