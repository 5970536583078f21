"""What stands around one's own lane on a page of practice: the others above, why a cue is there, the page to come."""

from collections.abc import Collection

from rich.text import Text

from score.activity.lanes import Run
from score.cues.sheet import Cue
from score.piece import Piece
from tui.drawing.lane_picture import Grid, preview, small_lane


def cue_on(cues: Collection[Cue], bars: range) -> Cue | None:
    """The first cue that stands in these bars on paper."""
    return next((cue for cue in cues if set(cue.bars) & set(bars)), None)


def others(shown: Run, own_row: int, cue: Cue | None, muted: Collection[int], grid: Grid) -> Text:
    """A lane for each other player: > marks the one whose rhythm stands above one's part, off who is silent."""
    rows = []
    for row, lane in enumerate(shown.lanes):
        if row == own_row:
            continue
        is_cue, is_off = cue is not None and cue.source == lane.player, lane.player in muted
        label = (">" if is_cue else " ") + lane.short + (" off" if is_off else "")
        rows.append(small_lane(shown, lane, grid, label, "dim" if is_off else "bold" if is_cue else ""))
    return Text("\n").join(rows)


def why(cue: Cue | None, bars: range, piece: Piece) -> str:
    """Who is cued on this page, and the reasons that hold there."""
    if cue is None:
        return ""
    here = [reason.text for reason in cue.reasons if reason.bar in bars] or [r.text for r in cue.reasons[:1]]
    return f"> {piece.player(cue.source).short}: {'; '.join(dict.fromkeys(here))}"


def coming(shown: Run, own_row: int, width: int) -> Text:
    """One's own lane of the page to come, in one row."""
    return preview(shown, shown.lanes[own_row], Grid(width, shown.length))
