"""Against the Unicode Character Database (through `unicodedata`), not against our own list."""

import sys
import unicodedata
from pathlib import Path

import pytest

from score.errors import RequestError
from score.group.group_file import read_group
from score.plain_text import file_name_part, file_stem, harmless, table_cell

TURNS = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}


def test_no_control_and_no_turn_of_direction_is_left() -> None:
    everything = "".join(chr(code) for code in range(sys.maxunicode + 1) if not 0xD800 <= code <= 0xDFFF)
    kept = harmless(everything)
    assert {letter for letter in kept if unicodedata.category(letter) == "Cc"} == {"\t", "\n", "\r"}
    assert not [letter for letter in kept if unicodedata.bidirectional(letter) in TURNS]
    dropped = set(everything) - set(kept)
    assert {unicodedata.category(letter) for letter in dropped} <= {"Cc", "Cf", "Cn", "Zl", "Zp"}


def test_an_error_is_a_line_without_controls() -> None:
    error = RequestError("No\x9bsuch", "bar \x1b[2J\u202e17\n is", "there")
    assert error.line == "Nosuch: bar [2J17 is; there"


def test_files_are_named_after_a_score_without_what_a_terminal_obeys() -> None:
    assert file_stem(Path("music") / "\x1b[31mred\x9b\u202e\nquartet no. 2.musicxml") == "[31mred quartet no. 2"
    assert file_stem(Path("\x1b.musicxml")) == "score"
    assert file_stem(Path("no\udc9btext.musicxml")) == "notext"
    # POSIX and NTFS take 255 of a name: the longest that can be there leaves room for what follows.
    assert file_stem(Path("x" * 246 + ".musicxml")) == "x" * 160
    assert file_stem(Path("\u9418" * 82 + ".musicxml")) == "\u9418" * 53


# Source: OWASP, CSV injection.
@pytest.mark.parametrize("formula", ["=1+1", "+A1", "-2", "@SUM(A1)", "\t=1"])
def test_a_cell_is_no_formula(formula: str) -> None:
    assert table_cell(formula)[0] == "'"
    assert table_cell("\u202e=1")[0] == "'"
    assert table_cell("marimba") == "marimba"


def test_a_file_name_has_letters_only() -> None:
    assert file_name_part("C+4/../\x1b\u202e:x") == "C-plus-4-------x"
    assert len(file_name_part("x" * 5000)) == 60


def test_what_the_group_typed_is_harmless_too(tmp_path: Path) -> None:
    """TOML 1.0: a basic string may hold any character by its number."""
    path = tmp_path / "duo.group.toml"
    path.write_text('[[player]]\nnumber = 1\nname = "Sec\\u009b\\u202eond"\nparts = ["Mar\\u001bimba"]\n')
    (player,) = read_group(path).players
    assert (player.name, player.parts) == ("Second", ("Marimba",))
