"""What was done in a rehearsal, as Markdown: worked on, decided, left open."""

from collections.abc import Sequence
from datetime import datetime
from typing import NamedTuple


class Worked(NamedTuple):
    """An item that was worked on.

    Attributes:
        name: what it was.
        planned, spent: minutes.
        how: how it went, in words; "" when nothing was said.
    """

    name: str
    planned: int
    spent: int
    how: str = ""


class Protocol(NamedTuple):
    """An evening.

    Attributes:
        title: of the piece.
        start: of the rehearsal.
        missing: numbers of those who were not there.
        worked: in order.
        decided: what was settled, a line each.
        notes: what was written down, a line each.
        open: what is still to be settled, a line each.
    """

    title: str
    start: datetime
    missing: Sequence[int]
    worked: Sequence[Worked]
    decided: Sequence[str]
    notes: Sequence[str]
    open: Sequence[str]


def protocol_markdown(protocol: Protocol) -> str:
    """The evening as Markdown; what is empty is left out."""
    missing = f" Without {', '.join(map(str, protocol.missing))}." if protocol.missing else ""
    start = protocol.start
    lines = [f"# {protocol.title}: rehearsal of {start.day} {start:%B %Y, %H:%M}", ""]
    lines += [f"{sum(item.spent for item in protocol.worked)} minutes.{missing}"]
    rows = [f"- {item.name}: {item.spent} of {item.planned} minutes{_how(item)}" for item in protocol.worked]
    for heading, entries in (
        ("Worked on", rows),
        ("Decided", [f"- {line}" for line in protocol.decided]),
        ("Notes", [f"- {line}" for line in protocol.notes]),
        ("Left open", [f"- {line}" for line in protocol.open]),
    ):
        lines += ["", f"## {heading}", "", *map(_flat, entries)] if entries else []
    return "\n".join(lines) + "\n"


def _how(item: Worked) -> str:
    return f"; {item.how}" if item.how else ""


def _flat(line: str) -> str:
    """One line of a list stays one line, and a bar or a star in a text stays what it is."""
    plain = " ".join(line.split())
    return plain.replace("*", r"\*").replace("_", r"\_")
