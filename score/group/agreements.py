"""What the group has agreed and what it only tries, by bars: shapes, breaths, leads, holds, looks."""

from typing import NamedTuple

from score.errors import InbreathError
from score.group.entry_words import entry_place, entry_words
from score.group.group_file import Group, group_tables
from score.group.group_tables import AGREED_KINDS
from score.piece import Piece
from score.places import find_bar, find_bars

TRIED, AGREED, DROPPED = "tried", "agreed", "dropped"


class Agreement(NamedTuple):
    """One entry.

    Attributes:
        kind: name of its table.
        position: among the entries of that table, for `score.group.group_edit.change_table`.
        state: "tried", "agreed" or "dropped"; an entry without a state is agreed.
        bars: indices.
        where: its bars as players say them.
        words: what is done there.
    """

    kind: str
    position: int
    state: str
    bars: range
    where: str
    words: str

    @property
    def line(self) -> str:
        """Bars and words on one line."""
        return f"{self.where}: {self.words}" if self.where else self.words


def agreements(piece: Piece, group: Group) -> tuple[Agreement, ...]:
    """Every entry whose bars the score has, in the order of the bars; notes only where they are tried.

    Raises:
        GroupFileError: a table that cannot be used.
    """
    entries = []
    for kind in AGREED_KINDS:
        for position, table in enumerate(group_tables(group, kind)):
            state = table.text("state") or AGREED
            text = str(table.entry.get("bars") or table.entry.get("bar") or "")
            if kind == "note" and state != TRIED:
                continue
            try:
                bars = find_bars(piece, text) if "bars" in table.entry else _single(find_bar(piece, text))
            except InbreathError:
                continue
            where = entry_place(piece, table.entry)
            words = entry_words(kind, table.entry)
            entries.append(Agreement(kind, position, state, bars=bars, where=where, words=words))
    return tuple(sorted(entries, key=lambda entry: (entry.bars[0], entry.bars[-1], entry.kind, entry.position)))


def within(entries: tuple[Agreement, ...], bars: range) -> tuple[Agreement, ...]:
    """Those of some bars, what is only tried first, without what was dropped."""
    here = [entry for entry in entries if set(entry.bars) & set(bars) and entry.state != DROPPED]
    return tuple(sorted(here, key=lambda entry: entry.state != TRIED))


def _single(bar: int) -> range:
    return range(bar, bar + 1)
