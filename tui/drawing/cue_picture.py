"""A player's cues over the piece: one row of coloured cues, one row of the player's own rests, and the list of them."""

from collections.abc import Sequence

from rich.text import Text

from score.activity.who_moves import activity
from score.piece import Piece
from score.places import bars_name
from tui.cue_facts import CueRow, CueState
from tui.drawing.canvas import Row, joined
from tui.drawing.overview_picture import column_of
from tui.drawing.palette import Palette, ink_on, style


def cue_map(piece: Piece, player: int, cues: Sequence[CueRow], chosen: int, width: int, colours: Palette) -> Text:
    """Marks, cues and rests from left to right."""
    marks, shown, rests = Row(width), Row(width), Row(width)
    bars = len(piece.bars)
    for marked in piece.bars:
        at, mark = column_of(marked.index, bars, width), marked.rehearsal_mark
        if mark and marks.room(at, len(mark)):
            marks.put(at, mark, style(colours.ink, bold=True))
    shown.put(0, "cues", colours.faint)
    rests.put(0, "rests", colours.faint)
    for position, cue in enumerate(cues):
        first, last = column_of(cue.bars[0], bars, width), column_of(cue.bars[-1] + 1, bars, width)
        colour = colours.player(cue.source) if cue.source else colours.faint
        printed = cue.state is not CueState.LEFT_OUT
        text = (str(cue.source) if printed else "-").ljust(max(1, last - first))[: max(1, last - first)]
        ground = style(ink_on(colour), colour) if printed else style(colours.faint, colours.panel)
        shown.put(first, text, ground + (" bold underline" if position == chosen else ""))
    row = activity(piece).rows[activity(piece).row(player)]
    for bar in range(bars):
        if not row[bar].sounds:
            first, last = column_of(bar, bars, width), column_of(bar + 1, bars, width)
            rests.fill(first, max(last, first + 1), "─", colours.player(player))
    return joined([marks, shown, rests])


def cue_line(piece: Piece, player: int, cue: CueRow, width: int, colours: Palette, chosen: bool) -> Text:
    """One cue of the list: its state, bars, whom it shows, who moves next, why."""
    row = Row(width)
    left_out = cue.state is CueState.LEFT_OUT
    ink = colours.faint if left_out else colours.ink
    row.put(0, "▶" if chosen else " ", style(colours.ink, bold=True))
    row.put(1, cue.state.value, style(colours.ink, bold=True))
    row.put(3, bars_name(piece, cue.bars), style(ink, bold=chosen))
    colour = colours.player(cue.source) if cue.source else colours.faint
    name = f" {cue.source or 'all'} "
    row.put(12, name, style(colour) if left_out else style(ink_on(colour), colour, bold=True))
    if cue.next_mover is not None:
        row.put(17, f"→ {'you' if cue.next_mover == player else cue.next_mover}", colours.faint)
    why = cue.reasons[0] if cue.reasons else ""
    words = f"left out: {why}" if left_out else why
    row.put(24, words, ink)
    text = row.text
    if chosen:
        text.stylize_before(f"on {colours.chosen}")
    return text
