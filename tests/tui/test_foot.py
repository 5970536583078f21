"""The foot of the screens: keys are left out whole, never cut, and help is always there."""

import pytest
from rich.cells import cell_len

from tui.drawing.key_line import KeyWords, key_line, merged
from tui.key_bindings import key_name
from tui.keys import TABLES

HELP = KeyWords("?", "keys")


def entries(table: str) -> list[KeyWords]:
    shown = [action for action in TABLES[table] if action.in_footer and table != "everywhere"]
    return merged([KeyWords(key_name(action.key.split(",")[0]), action.foot_words) for action in shown])


@pytest.mark.parametrize("table", [name for name in TABLES if name != "everywhere"])
def test_no_entry_is_cut_at_any_width(table: str) -> None:
    whole = {f"{entry.keys} {entry.words}" for entry in [*entries(table), HELP]}
    for width in range(40, 201):
        line = key_line(entries(table), HELP, width, "bold", "").plain
        assert cell_len(line) <= width
        assert line.endswith("? keys")
        assert set(line.strip().split("  ")) <= whole


def test_two_directions_share_one_word() -> None:
    line = key_line(merged([KeyWords("-", "tempo"), KeyWords("+", "tempo"), KeyWords("k", "click")]), HELP, 60, "", "")
    assert line.plain == " - + tempo  k click  ? keys"


def test_keys_are_said_as_they_are_printed() -> None:
    said = [key_name(key) for key in ("escape", "ctrl+s", "slash", "plus", "space", "question_mark", "a")]
    assert said == ["esc", "ctrl+s", "/", "+", "space", "?", "a"]
