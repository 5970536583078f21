"""What the group has tried and agreed on, for the item at hand, for the evening's protocol and for the next evening.

Nothing of this is kept anywhere but in the group's file: what is only tried, and what copies of the file disagree
about, is open, and comes back until it is agreed or dropped.
"""

from collections.abc import Iterator, Sequence
from datetime import date
from typing import NamedTuple

from score.group.entry_words import entry_place, entry_words
from score.group.group_file import Group, group_tables
from score.group.group_tables import AGREED_KINDS
from score.group.overlaps import entry_span
from score.piece import Piece

WORD_KIND = "note"
"""A word is said, not decided: it is open until somebody drops it."""


class Decision(NamedTuple):
    """One entry as it stands.

    Attributes:
        entry_id: its id, "" for one that never had one.
        kind: its table.
        state: "tried", "agreed" or "dropped".
        where: its bars, "bars 57-64".
        words: what is done there.
        first, last: indices of its bars; (-1, -1) where the score has none.
    """

    entry_id: str
    kind: str
    state: str
    where: str
    words: str
    first: int = -1
    last: int = -1

    @property
    def line(self) -> str:
        """On one line: "bars 57-64: 2 holds back 8 %"."""
        return f"{self.where}: {self.words}" if self.where else self.words


class WorkedOn(NamedTuple):
    """An item of the evening: its name, and how many minutes it took."""

    name: str
    minutes: int


def decisions(group: Group, piece: Piece) -> tuple[Decision, ...]:
    """Everything tried, agreed or dropped, in the order of the piece.

    Raises:
        GroupFileError: a table is not a list.
    """
    standing = [decision for kind in AGREED_KINDS for decision in _of_kind(group, piece, kind)]
    return tuple(sorted(standing, key=lambda each: (each.first, each.last)))


def decisions_in(group: Group, piece: Piece, bars: range) -> tuple[Decision, ...]:
    """What is tried and agreed in some bars: for the item at hand.

    Raises:
        GroupFileError: a table is not a list.
    """
    here = (each for each in decisions(group, piece) if each.first <= bars[-1] and each.last >= bars[0])
    return tuple(each for each in here if each.state != "dropped")


def open_matters(group: Group, piece: Piece) -> tuple[Decision, ...]:
    """What is only tried: for the next rehearsal's list.

    Raises:
        GroupFileError: a table is not a list.
    """
    return tuple(each for each in decisions(group, piece) if each.state == "tried")


def protocol(
    piece: Piece,
    day: date,
    worked_on: Sequence[WorkedOn],
    before: Group,
    after: Group,
    conflicts: Sequence[str] = (),
) -> str:
    """The evening as Markdown: worked on, decided, left open.

    Args:
        piece: the piece.
        day: of the rehearsal.
        worked_on: the items, in their order.
        before: the group's file at the beginning.
        after: the group's file now.
        conflicts: what copies of the file still disagree about, one line each.

    Raises:
        GroupFileError: a table is not a list.
    """
    earlier = {(each.entry_id, each.kind, each.where, each.words, each.state) for each in decisions(before, piece)}
    now = decisions(after, piece)
    new = [each for each in now if (each.entry_id, each.kind, each.where, each.words, each.state) not in earlier]
    decided = [_decided(each) for each in new if each.state != "tried"]
    still = [each.line for each in now if each.state == "tried"]
    blocks = [
        ("Worked on", [f"{item.name} ({item.minutes} min)" for item in worked_on]),
        ("Decided", decided),
        ("Left open", [*still, *conflicts]),
    ]
    text = [f"# {piece.title}: rehearsal on {day.isoformat()}"]
    for title, lines in blocks:
        text += ["", f"## {title}", "", *(f"- {_plain(line)}" for line in lines or ["nothing"])]
    return "\n".join(text) + "\n"


def _decided(decision: Decision) -> str:
    return f"dropped: {decision.line}" if decision.state == "dropped" else decision.line


def _of_kind(group: Group, piece: Piece, kind: str) -> Iterator[Decision]:
    for table in group_tables(group, kind):
        values = table.entry
        span = entry_span(piece, values)
        first, last = (span[0][0], max(span[0][0], span[1][0] - (span[1][1] <= 1.0))) if span else (-1, -1)
        yield Decision(
            str(values.get("id", "")),
            kind,
            str(values.get("state", "agreed")),
            where=entry_place(piece, values),
            words=_said(kind, values),
            first=first,
            last=last,
        )


def _said(kind: str, values: dict[str, object]) -> str:
    words = entry_words(kind, values)
    text = str(values.get("text", "")) if kind != WORD_KIND else ""
    return f'{words} "{text}"' if text else words


def _plain(text: str) -> str:
    """Without what Markdown would take for a sign of its own."""
    return "".join(f"\\{letter}" if letter in "\\`*_[]<>#|" else letter for letter in text)
