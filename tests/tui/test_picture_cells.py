"""Pictures for the terminal, decoded by a reader written from the protocol's description alone.

The marks are held against the Unicode Character Database of the standard library: the protocol takes those of class 230
that have no decomposition. No terminal that shows pictures was at hand: what is sent is decoded, nobody has seen it.
"""

import base64
import re
import unicodedata

import pytest
from rich.cells import cell_len

from tui.drawing.picture_cells import MARKS, MOST_CELLS, PLACEHOLDER, forget_picture, picture_cells, send_picture

PICTURE = bytes(range(256)) * 40


def escapes(text: str) -> list[tuple[dict[str, str], bytes]]:
    """Keys and payload of every graphics escape; nothing else may stand between them."""
    pieces = re.findall(r"\x1b_G([^;\x1b]*)(?:;([^\x1b]*))?\x1b\\", text)
    assert re.sub(r"\x1b_G[^\x1b]*\x1b\\", "", text) == ""
    return [(dict(key.split("=") for key in keys.split(",")), payload.encode()) for keys, payload in pieces]


def test_marks_are_those_the_protocol_takes() -> None:
    assert MOST_CELLS == len(set(MARKS)) == 297
    assert list(MARKS) == sorted(MARKS)
    assert all(unicodedata.combining(mark) == 230 and not unicodedata.decomposition(mark) for mark in MARKS)
    # The first and the last of the table, and one between, as it stands in the protocol's file.
    assert (MARKS[0], MARKS[100], MARKS[296]) == ("\u0305", "\u07eb", "\U0001d244")


def test_a_cell_is_one_column_wide_and_names_its_place() -> None:
    cells = picture_cells(3, range(200, 297))
    assert all(cell_len(cell) == 1 for cell in cells)
    assert cells[0] == f"{PLACEHOLDER}{MARKS[3]}{MARKS[200]}"
    assert len({*cells, *picture_cells(4, range(200, 297))}) == 2 * 97
    with pytest.raises(IndexError):
        picture_cells(0, range(296, 298))


@pytest.mark.parametrize("size", [0, 1, 3071, 3072, 3073, len(PICTURE)])
def test_a_picture_arrives_byte_for_byte(size: int) -> None:
    sent = escapes(send_picture(161, PICTURE[:size], 160, 17))
    keys, _ = sent[0]
    assert {name: keys[name] for name in "aUfticrq"} == {
        "a": "T",
        "U": "1",
        "f": "100",
        "t": "d",
        "i": "161",
        "c": "160",
        "r": "17",
        "q": "2",
    }
    assert base64.b64decode(b"".join(payload for _, payload in sent), validate=True) == PICTURE[:size]
    assert [keys["m"] for keys, _ in sent] == ["1"] * (len(sent) - 1) + ["0"]
    # Pieces of at most 4,096 letters, all but the last a multiple of four.
    assert all(len(payload) <= 4096 for _, payload in sent)
    assert all(len(payload) % 4 == 0 for _, payload in sent[:-1])


def test_a_picture_is_forgotten_with_its_data() -> None:
    assert escapes(forget_picture(165)) == [({"a": "d", "d": "I", "q": "2", "i": "165"}, b"")]
