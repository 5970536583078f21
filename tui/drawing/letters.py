"""Plain letters for terminals that draw no others: every sign of the screens and what stands for it.

The screens are drawn with full letters throughout; where a terminal has only plain ones (the console of a computer
without windows, a terminal of another encoding, or because the settings ask for it), each sign is changed to one plain
letter of the same width on its way out, so no picture needs to know of it.
"""

import unicodedata
from functools import lru_cache

from rich.cells import cell_len

_PAIRS = {
    "▁": "_", "▂▃": ".", "▄▅▀": "o", "▆▇█": "#", "▏▎▍▌▐▕": "|", "▋▊▉": "#", "▔": "'",
    "░": ":", "▒": "+", "▓": "#", "▖▗": ".", "▘▝": "'", "▙▛▜▟": "#", "▚▞": "%", "■": "o", "□": ".",
    "─━╌┄╴╶╸╺╼╾": "-", "│┃╎┆╵╷╹╻": "|", "═": "=", "║": "|",
    "┌┐└┘├┤┬┴┼╭╮╰╯╋┏┓┗┛┣┫┳┻╔╗╚╝╠╣╦╩╬": "+",
    "●○◦": "o", "◆★": "*", "◇": "<", "▶▸►": ">", "◀◂◄": "<", "▲▴△": "^", "▼▾▽": "V", "▰": "=", "▱": "-",
    "→➜": ">", "←": "<", "↑": "^", "↓": "v", "↵⏎": "<", "×✕": "x", "✓✔": "v",
    "·": ".", "•": "*", "…": ".", "–—−‐‑": "-", "‘’′": "'", "“”″": '"', "«": "<", "»": ">", "\u00a0": " ",
    "♩♪": "q", "♭": "b", "♯": "#", "♮": "n", "½": "2", "°": "o", "±": "~", "≈": "~", "≤": "<", "≥": ">",
    "ß": "s", "ø": "o", "Ø": "O", "ł": "l", "Ł": "L", "đ": "d", "æ": "e", "œ": "e",
}  # fmt: skip
_TABLE = {ord(sign): letter for signs, letter in _PAIRS.items() for sign in signs}
_BRAILLE = range(0x2800, 0x2900)
# Dots of a braille letter by row, from the top (Unicode 15, chapter 21.1).
_DOT_ROWS = (0b0000_1001, 0b0001_0010, 0b0010_0100, 0b1100_0000)
_BY_ROWS = {(0,): "^", (0, 1): "'", (1,): "'", (1, 2): "=", (2,): ",", (2, 3): ",", (3,): "v", (): " "}
_PLAIN_TERMINALS = ("linux", "dumb")


def wants_plain(setting: str, encoding: str | None, terminal: str) -> bool:
    """Whether only plain letters can be drawn.

    Args:
        setting: "plain" asks for them, "auto" leaves it to the terminal.
        encoding: of what is written to the terminal.
        terminal: the terminal's kind as it names itself, "" when it does not.
    """
    is_unicode = (encoding or "").lower().replace("-", "").replace("_", "").startswith("utf")
    return setting == "plain" or not is_unicode or terminal in _PLAIN_TERMINALS


@lru_cache(4096)
def plain(text: str) -> str:
    """A text in plain letters (below 127), as wide as it was.

    A letter with an accent loses it; a sign that has no plain one becomes a question mark.
    """
    return text if text.isascii() else "".join(map(_plain_sign, text))


def _plain_sign(sign: str) -> str:
    if sign.isascii():
        return sign
    code, width = ord(sign), cell_len(sign)
    if code in _TABLE:
        return _TABLE[code]
    if code in _BRAILLE:
        rows = tuple(row for row, dots in enumerate(_DOT_ROWS) if (code - _BRAILLE.start) & dots)
        return _BY_ROWS.get(rows, ":")
    bare = "".join(letter for letter in unicodedata.normalize("NFKD", sign) if letter.isascii())
    return bare if len(bare) == width else "?" * width
