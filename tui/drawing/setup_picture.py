"""The set-up's findings over the piece and as a list, one's own first."""

from collections.abc import Sequence
from textwrap import wrap

from rich.text import Text

from score.piece import Piece
from score.places import bar_name
from score.setup.finding import Finding, Weight
from tui.drawing.canvas import Row, joined
from tui.drawing.overview_picture import column_of
from tui.drawing.palette import Palette, ink_on, style

_SIGNS = {Weight.CANNOT: "×", Weight.TIGHT: "!", Weight.MENTION: "·"}
_INDENT = 8


def own_first(findings: Sequence[Finding], player: int) -> tuple[Finding, ...]:
    """The player's own findings, then those of the group, then the others', the weightiest first in each."""
    weights = list(Weight)
    return tuple(
        sorted(findings, key=lambda f: (0 if f.player == player else 1 if not f.player else 2, weights.index(f.weight)))
    )


def findings_map(piece: Piece, findings: Sequence[Finding], player: int, width: int, colours: Palette) -> Text:
    """Rehearsal marks, then where one's own findings are, then everybody else's."""
    marks, mine, others = Row(width), Row(width), Row(width)
    mine.put(0, f" {player} ", style(ink_on(colours.player(player)), colours.player(player), bold=True))
    others.put(0, "all", colours.faint)
    bars = len(piece.bars)
    for bar in piece.bars:
        at = column_of(bar.index, bars, width)
        if bar.rehearsal_mark and marks.room(at, len(bar.rehearsal_mark)):
            marks.put(at, bar.rehearsal_mark, style(colours.ink, bold=True))
    for finding in sorted(findings, key=lambda f: list(Weight).index(f.weight), reverse=True):
        row = mine if finding.player == player else others
        for index in finding.bars or (finding.bar,):
            row.put(column_of(index, bars, width), _SIGNS[finding.weight], _ink(finding, colours))
    return joined([marks, mine, others])


def finding_lines(piece: Piece, finding: Finding, width: int, colours: Palette, chosen: bool) -> list[Text]:
    """One finding: how much it matters, whose it is, its bar, what it is, and what would help."""
    colour = colours.player(finding.player) if finding.player else colours.faint
    who = str(finding.player or "all").center(3)
    first = Text(no_wrap=True).append("▶" if chosen else " ", style(colours.ink, bold=True))
    first.append(f"{_SIGNS[finding.weight]} ", _ink(finding, colours))
    first.append(who, style(ink_on(colour), colour, bold=True) if finding.player else colour)
    more = len(finding.bars) - 1 if finding.bars else 0
    where = f"bar {bar_name(piece, finding.bar)}" + (f" and {more} more" if more > 0 else "")
    words = f"{where}: {finding.kind.value}, {finding.text}" if finding.text else f"{where}: {finding.kind.value}"
    room = max(24, width - _INDENT)
    said = wrap(words, room)
    lines = [first.append(f"  {said[0]}", style(colours.ink, bold=chosen))]
    lines += [Text(" " * _INDENT + line, colours.ink) for line in said[1:]]
    if chosen and finding.helps:
        lines += [Text(" " * _INDENT + line, colours.good) for line in wrap(f"would help: {finding.helps}", room)]
    if chosen:
        for line in lines:
            line.truncate(width, pad=True)
            line.stylize_before(f"on {colours.chosen}")
    return lines


def _ink(finding: Finding, colours: Palette) -> str:
    ink = {Weight.CANNOT: colours.bad, Weight.TIGHT: colours.caution, Weight.MENTION: colours.faint}[finding.weight]
    return style(ink, bold=True)
