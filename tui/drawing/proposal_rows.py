"""Entries nobody leads yet, a row each: where, what is there, who might lead, and why."""

from collections.abc import Sequence
from textwrap import wrap
from typing import NamedTuple

from rich.text import Text

from tui.drawing.canvas import Row
from tui.drawing.palette import Palette, ink_on, style

_OCCASION, _GIVER, _REASON = 19, 40, 52
"""First columns of what is there, of who might lead, and of why."""
_WITH_REASON = 76


class ProposalRow(NamedTuple):
    """One place in words.

    Attributes:
        where: "bar 41", "bar 55 beat 5".
        occasion: what is there: "after a silence".
        giver: number of the player who might lead.
        name: the giver's name.
        short: what the giver would do, in a word: "breath", "leads".
        does: the same in a sentence: "gives the breath", "leads".
        reason: why this one, the weightiest reason first: "moves first, has the tune".
    """

    where: str
    occasion: str
    giver: int
    name: str
    short: str
    does: str
    reason: str


def proposal_rows(rows: Sequence[ProposalRow], chosen: int, width: int, colours: Palette) -> list[Text]:
    """A line for each place, the chosen one marked; a narrow screen leaves the reasons to the chosen one's sentence."""
    return [_line(row, position == chosen, width, colours) for position, row in enumerate(rows)]


def proposal_sentence(row: ProposalRow, width: int, colours: Palette) -> list[Text]:
    """Who would do what, and why: a line, two on a narrow screen."""
    colour = colours.player(row.giver)
    words = wrap(f"{row.name} {row.does}: {row.reason}", width - 8)
    lines = [Text("  ", no_wrap=True).append(f" {row.giver} ", style(ink_on(colour), colour, bold=True))]
    lines += [Text(" " * 5, no_wrap=True) for _ in words[1:]]
    return [line.append(f" {text}", colours.ink) for line, text in zip(lines, words, strict=True)]


def _line(row: ProposalRow, is_chosen: bool, width: int, colours: Palette) -> Text:
    line = Row(width)
    line.put(0, "▶" if is_chosen else " ", style(colours.ink, bold=True))
    line.put(2, row.where, style(colours.ink, bold=is_chosen))
    line.put(_OCCASION, row.occasion, colours.ink)
    line.put(_GIVER, f" {row.giver} ", style(colours.player(row.giver), bold=True))
    line.put(_GIVER + 4, row.short, colours.ink)
    if width >= _WITH_REASON:
        room = width - _REASON - 1
        reason = row.reason if len(row.reason) <= room else row.reason.split(", ")[0]
        line.put(_REASON, reason if len(reason) <= room else f"{reason[: room - 1]}…", colours.faint)
    text = line.text
    if is_chosen:
        text.stylize_before(f"on {colours.chosen}")
    return text
