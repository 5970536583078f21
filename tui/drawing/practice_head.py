"""What the practice screen says above the notation: where, how fast, whether it plays, which beat, and why."""

from typing import NamedTuple

from tui.drawing.cells import Cells
from tui.drawing.large_digits import COLUMNS, ROWS, put_large
from tui.drawing.last_pass import LAST_PASS_ROWS, LastPassFacts, draw_last_pass
from tui.drawing.palette import Palette, ink_on

_LAMP_BEATS = 7
_HEIGHTS = "▁▂▃▄▅▆▇█"
_GAP = 3


class HeadFacts(NamedTuple):
    """What is said.

    Attributes:
        name: of the chunk or join.
        bars: printed bars of what is played.
        tempo: "q = 73".
        share: "70 % of 104".
        state: "playing", "stopped", "count-in 3" …
        is_playing: whether it sounds or counts in.
        played: what is said of the passes: "pass 3, loop".
        beat: number of the beat that sounds, 0 for none.
        beats: how many beats the bar has.
        bar: printed number of the bar that sounds.
        count_in: digit of a count-in, "" when there is none.
        cells: a value a bar of what is played: 2 the bar that sounds, 1 was played in this pass, 0 is to come.
        lines: what is said below, most important first: who leads and what is cued, breaths and notes, what it asks.
        player: number of the player, for the colour.
        is_strip: the lines are a strip to try something in: they have the whole width.
        ear: who hears the player while it plays, "" for nobody.
        shares: a value a bar of what is played: share of its strokes together the last time, None before that.
        last: the last pass, for a tall head; None for none.
    """

    name: str
    bars: str
    tempo: str
    share: str
    state: str
    is_playing: bool
    played: str
    beat: int
    beats: int
    bar: str
    count_in: str
    cells: tuple[int, ...]
    lines: tuple[str, ...]
    player: int
    is_strip: bool = False
    ear: str = ""
    shares: tuple[float | None, ...] = ()
    last: LastPassFacts | None = None


def draw_head(facts: HeadFacts, width: int, rows: int, colours: Palette) -> Cells:
    """The head in so many rows; from four rows on the beats are three rows tall.

    Args:
        facts: what is said.
        width: columns.
        rows: rows, three or more.
        colours: the screen's colours.
    """
    cells = Cells(width, rows, colours.ink, colours.ground)
    cells.paint(0, range(width), colours.panel)
    is_large = rows >= ROWS + 1 and not facts.is_strip
    lamp = _lamp_width(facts, is_large)
    _draw_state(cells, facts, width if is_large else width - lamp, colours)
    room = width
    if is_large:
        room = width - lamp - 1
        _draw_large_beats(cells, facts, room + 1, colours)
    else:
        _draw_small_beats(cells, facts, width - lamp, colours)
    if not facts.is_strip or rows > ROWS:
        _draw_run(cells, facts, room, colours)
    # On a small screen a strip needs the row of the bars too.
    first = 1 if facts.is_strip and rows < ROWS + 1 else 2
    below = LAST_PASS_ROWS if facts.last is not None and rows > LAST_PASS_ROWS + ROWS and not facts.is_strip else 0
    if facts.last is not None and below:
        draw_last_pass(cells, range(rows - below, rows), facts.last, facts.player, colours)
    for row, line in enumerate(facts.lines[: rows - first - below], start=first):
        cells.put(
            row, 1, line[: room - 1], _line_ink(facts, row - first, colours), bold=facts.is_strip and row == first
        )
    return cells


def _line_ink(facts: HeadFacts, number: int, colours: Palette) -> str:
    """Of the strip its first line says which keys have changed; of other lines the first counts most."""
    if facts.is_strip:
        return colours.caution if number == 0 else colours.ink
    return colours.ink if number == 0 else colours.faint


def _draw_state(cells: Cells, facts: HeadFacts, room: int, colours: Palette) -> None:
    """The uppermost row; what has no room is left out from the right."""
    state = colours.good if facts.is_playing else colours.faint
    sign = "▶" if facts.is_playing else "■"
    words = (
        (facts.name, colours.player(facts.player), 1),
        (f"bars {facts.bars}", colours.ink, 2),
        (facts.tempo, colours.ink, _GAP),
        (f"{sign} {facts.state}", state, _GAP),
        (f"● {facts.ear}" if facts.ear else "", colours.caution, _GAP),
        (facts.share, colours.faint, _GAP),
        (facts.played, colours.faint, _GAP),
    )
    column = 0
    for text, ink, gap in words:
        if text and column + gap + len(text) <= room:
            cells.put(0, column + gap, text, ink, bold=ink != colours.faint)
            column += gap + len(text)


def _draw_run(cells: Cells, facts: HeadFacts, room: int, colours: Palette) -> None:
    """A cell run a bar: how much of it was together the last time; without that, played, sounding, to come."""
    count = max(1, len(facts.cells))
    colour = colours.player(facts.player)
    for number, value in enumerate(facts.cells):
        first, last = 1 + number * (room - 2) // count, 1 + (number + 1) * (room - 2) // count
        share = facts.shares[number] if number < len(facts.shares) else None
        letter = "▁▄█"[value] if share is None else _HEIGHTS[round(share * (len(_HEIGHTS) - 1))]
        ink = (colours.line if share is None else colours.dimmed(colour, 0.4), colours.dimmed(colour, 0.6), colour)[
            value
        ]
        cells.put(1, first, letter * max(1, last - first - (1 if last - first > 1 else 0)), ink)


def _lamp_width(facts: HeadFacts, is_large: bool) -> int:
    if is_large:
        return (COLUMNS + 1) * (len(facts.bar) + 1) + _lamps(facts) * (COLUMNS + 3) + 1
    return 4 * _lamps(facts)


def _lamps(facts: HeadFacts) -> int:
    return min(_LAMP_BEATS, max(1, facts.beats))


def _draw_large_beats(cells: Cells, facts: HeadFacts, column: int, colours: Palette) -> None:
    """The bar's number, and a lamp a beat; in a count-in its digits alone."""
    if facts.count_in:
        put_large(cells, 1, cells.width - 2 - (COLUMNS + 1) * len(facts.count_in), facts.count_in, colours.caution)
        return
    after = put_large(cells, 1, column, facts.bar, colours.ink if facts.is_playing else colours.faint)
    after += COLUMNS + 1
    for beat in range(1, _lamps(facts) + 1):
        ground, ink = _lamp(beat == facts.beat, facts.player, colours)
        for row in range(1, 1 + ROWS):
            cells.put(row, after, " " * (COLUMNS + 2), ink, ground=ground)
        put_large(cells, 1, after + 1, str(beat), ink, ground=ground)
        after += COLUMNS + 3


def _draw_small_beats(cells: Cells, facts: HeadFacts, column: int, colours: Palette) -> None:
    if facts.count_in:
        cells.put(0, cells.width - 4, f"[{facts.count_in}]", colours.caution, bold=True)
        return
    for beat in range(1, _lamps(facts) + 1):
        ground, ink = _lamp(beat == facts.beat, facts.player, colours)
        text = f"[{beat}]" if beat == facts.beat else f" {beat} "
        cells.put(0, column + 4 * (beat - 1), text, ink, ground=ground, bold=beat == facts.beat)


def _lamp(is_lit: bool, player: int, colours: Palette) -> tuple[str, str]:
    """Ground and ink of a lamp."""
    if is_lit:
        return colours.player(player), ink_on(colours.player(player))
    return colours.panel, colours.faint
