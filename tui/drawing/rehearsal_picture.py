"""A rehearsal as a picture: the evening as boxes, minutes left in large figures, lanes, what is agreed."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from textwrap import wrap
from typing import NamedTuple

from rich.text import Text

from score.beats import minutes_text
from score.group.agreements import TRIED
from score.piece import Piece
from score.places import bars_name, bars_words
from score.plan.plan_inputs import Rehearsal
from score.plan.today import in_days
from tui.drawing.canvas import stacked
from tui.drawing.day_row import item_boxes
from tui.drawing.lane_sketch import Sketch, systems
from tui.drawing.palette import Palette, style
from tui.drawing.plan_lines import day_words
from tui.drawing.tall_clock import tall_clock
from tui.rehearsal_facts import ItemFacts

_BESIDE, _WIDE = 3, 70


class Evening(NamedTuple):
    """What the picture shows.

    Attributes:
        rehearsal: its date and time.
        facts: of the item at hand, None where there is none.
        own: number of the player at this screen.
        boxes: (name, minutes) of every item.
        item: position of the item at hand.
        how: how items went, by position.
        chosen: position among what is tried here.
        left: seconds left; negative over.
        behind: minutes behind the plan, None until the clock was started.
        is_running: whether the clock runs.
        now: the time of day.
    """

    rehearsal: Rehearsal
    facts: ItemFacts | None
    own: int
    boxes: Sequence[tuple[str, int]]
    item: int
    how: Mapping[int, str]
    chosen: int
    left: int
    behind: int | None
    is_running: bool
    now: datetime


def rehearsal_picture(piece: Piece, evening: Evening, size: tuple[int, int], colours: Palette) -> Text:
    """Everything above the foot, as high as there is room."""
    width, height = size
    lines = [_heading(evening, width, colours)]
    if evening.facts is None:
        lines += [Text(""), Text(" Nothing fits into this rehearsal; p shows why.", colours.ink)]
        return stacked(lines, width)
    lines += item_boxes(evening.boxes, width, colours, now=evening.item, gone=evening.item).split("\n")
    lines += _clock(piece, evening, evening.facts, width, colours)
    written = [_matters(evening, width, colours), _notes(evening, width, colours)]
    taken = sum(min(len(part), 4) + 1 for part in written if part)
    parts = [_lanes(piece, evening, (width, max(height - len(lines) - taken - 1, 1)), colours), *written]
    for part in parts:
        room = height - len(lines) - 1
        if part and room > 1:
            lines += [Text(""), *part[:room]]
    return stacked(lines[:height], width)


def _heading(evening: Evening, width: int, colours: Palette) -> Text:
    start = evening.rehearsal.start
    what = "Rehearsal " if width >= _WIDE else ""
    text = Text(f" {what}{day_words(start.date())}, {start:%H:%M}", style(colours.ink, bold=True), no_wrap=True)
    text.append(f"-{evening.rehearsal.end:%H:%M}   ", style(colours.ink, bold=True))
    days = (start.date() - evening.now.date()).days
    text.append(f"now {evening.now:%H:%M}" if days == 0 else in_days(days), colours.caution)
    missing = ", ".join(map(str, evening.rehearsal.missing))
    text.append(f"   without {missing}" if missing else "", colours.caution)
    if evening.behind is not None:
        behind = evening.behind
        text.append("   on time" if not behind else f"   {abs(behind)} min {'behind' if behind > 0 else 'ahead'}")
    text.truncate(width, pad=True)
    text.stylize_before(f"on {colours.panel}")
    return text


def _clock(piece: Piece, evening: Evening, facts: ItemFacts, width: int, colours: Palette) -> list[Text]:
    """The minutes left, five rows tall, and beside them what the item is."""
    left, over = abs(evening.left), evening.left < 0
    figures = tall_clock(minutes_text(left), colours.bad if over else colours.head).split("\n")
    column = max(len(figures[0]) + _BESIDE, 35 if width >= _WIDE else 0)
    bars = f", {bars_words(piece, facts.bars)}" if facts.bars and facts.name != bars_name(piece, facts.bars) else ""
    how = evening.how.get(evening.item, "")
    title = Text(f"{facts.name}{bars}", style(colours.good, bold=True))
    begin = "  space starts the clock" if width >= _WIDE else "  space starts it"
    stopped = "  (clock stopped)" if width >= _WIDE else "  (stopped)"
    state = "" if evening.is_running else stopped if evening.behind is not None else begin
    status = Text(f"{'over' if over else 'left'}{state}", colours.faint)
    status.append(f"   {how}" if how else "", style(colours.good, bold=True))
    said = [Text(line, colours.ink) for text in facts.lines for line in wrap(text, max(16, width - column - 1))]
    beside = [title, *said[:3], status]
    lines = []
    for row in range(max(len(figures), len(beside))):
        line = Text(" ").append_text(figures[row]) if row < len(figures) else Text("")
        line.append(" " * max(0, column - line.cell_len))
        lines.append(line.append_text(beside[row]) if row < len(beside) else line)
    return lines


def _lanes(piece: Piece, evening: Evening, size: tuple[int, int], colours: Palette) -> list[Text]:
    facts = evening.facts
    if facts is None or facts.bars is None:
        return []
    numbers = tuple(player.number for player in piece.players)
    return systems(piece, facts.bars, Sketch(numbers, evening.own), size, colours)


def _matters(evening: Evening, width: int, colours: Palette) -> list[Text]:
    """What is only tried first, the chosen one marked; then what is agreed."""
    lines = []
    for place, matter in enumerate(evening.facts.matters if evening.facts else ()):
        tried = matter.state == TRIED
        chosen = tried and place == evening.chosen
        text = Text(no_wrap=True).append(" ▶ " if chosen else "   ", style(colours.caution, bold=True))
        text.append(f"{matter.state:7} ", colours.caution if tried else colours.faint)
        text.append(matter.line, style(colours.ink, bold=chosen))
        text.append("   y agreed, x dropped" if chosen else "", colours.faint)
        text.truncate(width, overflow="ellipsis")
        lines.append(text)
    return lines


def _notes(evening: Evening, width: int, colours: Palette) -> list[Text]:
    lines = []
    for note in evening.facts.notes if evening.facts else ():
        text = Text(no_wrap=True).append(f"   {note.label:>4} {note.player or 'all'}  ", colours.faint)
        text.append(note.text, colours.ink)
        text.truncate(width, overflow="ellipsis")
        lines.append(text)
    return lines
