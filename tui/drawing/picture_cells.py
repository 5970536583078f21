"""Pictures in a terminal by the Kitty graphics protocol: what is sent once, and the cells that show it.

The picture is sent with a virtual placement; wherever cells with the protocol's placeholder stand, the terminal shows
the part of the picture that their marks name. So the picture moves, is covered and comes back like text, and what is
behind its transparent ground is the cells' own colour.
"""

from base64 import standard_b64encode

PLACEHOLDER = "\U0010eeee"
_CHUNK = 4096
# The protocol's table of combining marks in its order, first to last of each run: the nth stands for row or column n.
_RUNS = (
    "0305 030D-030E 0310 0312 033D-033F 0346 034A-034C 0350-0352 0357 035B 0363-036F 0483-0487 0592-0595 0597-0599 "
    "059C-05A1 05A8-05A9 05AB-05AC 05AF 05C4 0610-0617 0657-065B 065D-065E 06D6-06DC 06DF-06E2 06E4 06E7-06E8 "
    "06EB-06EC 0730 0732-0733 0735-0736 073A 073D 073F-0741 0743 0745 0747 0749-074A 07EB-07F1 07F3 0816-0819 "
    "081B-0823 0825-0827 0829-082D 0951 0953-0954 0F82-0F83 0F86-0F87 135D-135F 17DD 193A 1A17 1A75-1A7C 1B6B "
    "1B6D-1B73 1CD0-1CD2 1CDA-1CDB 1CE0 1DC0-1DC1 1DC3-1DC9 1DCB-1DCC 1DD1-1DE6 1DFE 20D0-20D1 20D4-20D7 20DB-20DC "
    "20E1 20E7 20E9 20F0 2CEF-2CF1 2DE0-2DFF A66F A67C-A67D A6F0-A6F1 A8E0-A8F1 AAB0 AAB2-AAB3 AAB7-AAB8 AABE-AABF "
    "AAC1 FE20-FE26 10A0F 10A38 1D185-1D189 1D1AA-1D1AD 1D242-1D244"
)


def _marks() -> str:
    marks = []
    for run in _RUNS.split():
        first, _, last = run.partition("-")
        marks += [chr(code) for code in range(int(first, 16), int(last or first, 16) + 1)]
    return "".join(marks)


MARKS = _marks()
MOST_CELLS = len(MARKS)
"""Rows or columns that a picture can have."""


def picture_cells(row: int, columns: range) -> list[str]:
    """One cell each of a row of a picture: the placeholder with its row and its column.

    Args:
        row: of the picture, from 0.
        columns: of the picture, from 0.

    Raises:
        IndexError: there is no such row or column.
    """
    return [PLACEHOLDER + MARKS[row] + MARKS[column] for column in columns]


def send_picture(image: int, png: bytes, columns: int, rows: int) -> str:
    """What makes a picture known to the terminal, to be shown where its cells stand.

    Args:
        image: its number, 1 to 255; the cells' letters have the colour of that number.
        png: the picture.
        columns: cells it is wide.
        rows: cells it is high.
    """
    text = standard_b64encode(png).decode("ascii")
    pieces = [text[first : first + _CHUNK] for first in range(0, len(text), _CHUNK)] or [""]
    head = f"a=T,U=1,q=2,f=100,t=d,i={image},c={columns},r={rows},"
    return "".join(
        f"\x1b_G{head if number == 0 else 'q=2,'}m={int(number < len(pieces) - 1)};{piece}\x1b\\"
        for number, piece in enumerate(pieces)
    )


def forget_picture(image: int) -> str:
    """What frees a picture in the terminal."""
    return f"\x1b_Ga=d,d=I,q=2,i={image}\x1b\\"
