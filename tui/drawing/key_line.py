"""The line of keys at the foot of a screen: as many as fit, the one for help always last."""

from collections.abc import Sequence
from typing import NamedTuple

from rich.cells import cell_len
from rich.text import Text

_BETWEEN = 2


class KeyWords(NamedTuple):
    """A key and what it does.

    Attributes:
        keys: as they are printed on the keyboard ("space", "- +").
        words: what they do, as short as can be.
    """

    keys: str
    words: str

    @property
    def wide(self) -> int:
        """Columns."""
        return cell_len(self.keys) + 1 + cell_len(self.words)


def merged(entries: Sequence[KeyWords]) -> list[KeyWords]:
    """Neighbours that do one thing in two directions as one entry: "- + tempo"."""
    line: list[KeyWords] = []
    for entry in entries:
        if line and line[-1].words == entry.words:
            line[-1] = KeyWords(f"{line[-1].keys} {entry.keys}", entry.words)
        else:
            line.append(entry)
    return line


def key_line(entries: Sequence[KeyWords], last: KeyWords | None, width: int, key_style: str, words_style: str) -> Text:
    """One row of keys; what does not fit is left out from the right, whole entries only.

    Args:
        entries: in the order of weight.
        last: the key for help, which is never left out.
        width: columns.
        key_style: of an entry's keys.
        words_style: of its words.
    """
    left = width - 2 - (last.wide if last else 0)
    kept: list[KeyWords] = []
    for entry in entries:
        left -= entry.wide + _BETWEEN
        if left < 0:
            break
        kept.append(entry)
    text = Text(" ", no_wrap=True, overflow="crop")
    for position, entry in enumerate([*kept, *([last] if last else [])]):
        text.append(" " * _BETWEEN if position else "")
        text.append(entry.keys, key_style)
        text.append(f" {entry.words}", words_style)
    return text
