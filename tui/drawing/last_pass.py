"""The last pass above the notation: in words, as a tempo curve, and with whom one is together."""

from collections.abc import Sequence
from typing import NamedTuple

from tui.drawing.cells import Cells
from tui.drawing.palette import Palette

LAST_PASS_ROWS = 3
_LABEL, _CURVE = "last pass", 40
_DOTS = ((0x01, 0x02, 0x04, 0x40), (0x08, 0x10, 0x20, 0x80))
"""Bits of a braille letter: left and right column, from the top (Unicode 15, chapter 21.1)."""
_LEAST_RANGE = 0.06
"""Share of the tempo that the curve's height stands for at the least: what is smaller is steady."""
_PARTNER_COLUMNS = 26
_STEPS = 5
_STEP_MS = 8.0


class Partner(NamedTuple):
    """How closely one is together with another player, over the passes so far.

    Attributes:
        number: of the player.
        spread_ms: standard deviation of one's offsets on strokes shared with them.
        words: more to say ("you rush"), "" for nothing.
    """

    number: int
    spread_ms: float
    words: str = ""


class LastPassFacts(NamedTuple):
    """What is drawn.

    Attributes:
        words: counts and figures, or why there are none.
        curve: (where in the pass from 0 to 1, quarters a minute as played, as asked), in order.
        below: what is said under the curve.
        partners: those of whom enough is known.
    """

    words: str
    curve: Sequence[tuple[float, float, float]] = ()
    below: str = ""
    partners: Sequence[Partner] = ()


def draw_last_pass(cells: Cells, rows: range, facts: LastPassFacts, player: int, colours: Palette) -> None:
    """Draw it into three rows of the head.

    Args:
        cells: of the head.
        rows: where to.
        facts: what is drawn.
        player: number of the player, for the colour.
        colours: of the screen.
    """
    cells.put(rows[0], 1, _LABEL, colours.faint)
    indent = len(_LABEL) + 3
    room = cells.width - indent - 1
    cells.put(rows[0], indent, facts.words[:room], colours.ink)
    if facts.curve:
        width = min(_CURVE, room)
        for row, line in zip(rows[1:], _curve(facts.curve, width), strict=True):
            cells.put(row, indent, line, colours.player(player))
        cells.put(rows[2], 1, _tempo_range(facts.curve), colours.faint)
        cells.put(rows[1], indent + width + 2, _shortened(facts.below, room - width - 2), colours.faint)
    _draw_partners(cells, rows[2], indent + _CURVE + 2, facts.partners, colours)


def _shortened(text: str, room: int) -> str:
    return text if len(text) <= room else f"{text[: max(0, room - 1)]}…"


def _curve(points: Sequence[tuple[float, float, float]], width: int) -> list[str]:
    """Two rows of fine dots; the middle is the tempo that was asked for, up is faster."""
    away = [(at, tempo / asked - 1) for at, tempo, asked in points]
    reach = max(_LEAST_RANGE / 2, *(abs(share) for _, share in away))
    grid = [[0] * width for _ in range(2)]
    for at, share in away:
        dot = min(2 * width - 1, int(at * 2 * width))
        height = min(7, max(0, round(3.5 - 3.5 * share / reach)))
        grid[height // 4][dot // 2] |= _DOTS[dot % 2][height % 4]
    return ["".join(chr(0x2800 + cell) if cell else " " for cell in line) for line in grid]


def _tempo_range(points: Sequence[tuple[float, float, float]]) -> str:
    tempi = [round(tempo) for _, tempo, _ in points]
    return f"q {min(tempi)}-{max(tempi)}" if min(tempi) != max(tempi) else f"q {tempi[0]}"


def _draw_partners(cells: Cells, row: int, column: int, partners: Sequence[Partner], colours: Palette) -> None:
    if not partners or column + _PARTNER_COLUMNS > cells.width:
        return
    cells.put(row, column, "with", colours.faint)
    column += 5
    for partner in partners:
        filled = max(0, min(_STEPS, _STEPS - int(partner.spread_ms // _STEP_MS) + 1))
        figure = f"{partner.number} {partner.spread_ms:.0f} ms "
        text = f"{figure}{'▰' * filled}{'▱' * (_STEPS - filled)} {partner.words}".rstrip()
        if column + len(text) > cells.width:
            return
        cells.put(row, column, text, colours.player(partner.number))
        column += len(text) + 3
