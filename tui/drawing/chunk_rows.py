"""The chunks as rows of a table: what each asks, who leads, how far one is, what there is to do today."""

from collections.abc import Sequence
from typing import NamedTuple

from rich.text import Text

from score.beats import minutes_text
from tui.drawing.canvas import Row
from tui.drawing.palette import Palette, ink_on, style

_PARTS = " ▏▎▍▌▋▊▉█"
_BAR = 5


class ChunkRow(NamedTuple):
    """One chunk in words and figures.

    Attributes:
        name: its name.
        bars: printed bars.
        seconds: at the written tempo.
        own: what it asks of the player alone, 0 to 1.
        together: what it asks of the group, 0 to 1.
        leader: number of the player who leads, None for nobody.
        ready: how far the player is, in words; "" when not begun.
        tempo: best tempo reached, share of the written one; 0 for none.
        days: since it was practised last, None for never.
        today: minutes today, 0 for none.
        is_done: today's minutes are done.
        again: which bars it repeats, "" for none.
    """

    name: str
    bars: str
    seconds: float
    own: float
    together: float
    leader: int | None = None
    ready: str = ""
    tempo: float = 0.0
    days: int | None = None
    today: int = 0
    is_done: bool = False
    again: str = ""


def _columns(width: int) -> dict[str, int]:
    """First column of each field; a narrow screen leaves out what can be missed best."""
    if width < 76:
        return {"chunk": 1, "bars": 9, "time": 18, "yours": 24, "leads": 31, "ready": 37, "today": width - 7}
    room = {"chunk": 1, "bars": 9, "time": 18, "yours": 24, "group": 31, "leads": 38, "ready": 45, "last": 65}
    return room | {"today": 72}


def head_row(width: int, colours: Palette) -> Text:
    """The names of the fields."""
    row = Row(width)
    for name, column in _columns(width).items():
        row.put(column, name, colours.faint)
    return row.text


def chunk_row(chunk: ChunkRow, width: int, own: int, colours: Palette, chosen: bool) -> Text:
    """One chunk on one row; the chosen one on another ground, marked by a sign too."""
    row, at = Row(width), _columns(width)
    row.put(0, "▶" if chosen else " ", style(colours.ink, bold=True))
    row.put(at["chunk"], chunk.name[:7], style(colours.ink, bold=chosen))
    row.put(at["bars"], chunk.bars[:8], colours.ink)
    row.put(at["time"], minutes_text(chunk.seconds), colours.faint)
    _bar(row, at["yours"], chunk.own, colours.player(own), colours)
    if "group" in at:
        _bar(row, at["group"], chunk.together, colours.ink, colours)
    if chunk.leader is not None:
        colour = colours.player(chunk.leader)
        row.put(at["leads"] + 1, f" {chunk.leader} ", style(ink_on(colour), colour, bold=True))
    _ready(row, at, chunk, colours)
    if chunk.today:
        words = "done" if chunk.is_done else f"{chunk.today} min"
        row.put(at["today"], words, colours.faint if chunk.is_done else style(colours.player(own), bold=True))
    elif chunk.again and "last" in at:
        row.put(at["today"], "", colours.faint)
    text = row.text
    if chosen:
        text.stylize_before(f"on {colours.chosen}")
    return text


def _ready(row: Row, at: dict[str, int], chunk: ChunkRow, colours: Palette) -> None:
    words = chunk.ready or chunk.again or "not begun"
    tempo = f" {100 * chunk.tempo:.0f} %" if chunk.tempo and chunk.ready != "learning notes" else ""
    room = at.get("last", at["today"]) - at["ready"] - 1
    row.put(at["ready"], f"{words}{tempo}"[:room], colours.ink if chunk.ready else colours.faint)
    if "last" in at and chunk.days is not None:
        row.put(at["last"], "today" if chunk.days == 0 else f"{chunk.days} d", colours.faint)


def _bar(row: Row, column: int, share: float, colour: str, colours: Palette) -> None:
    """A share from 0 to 1 as a bar five columns wide."""
    eighths = round(8 * _BAR * share)
    row.put(column, "▁" * _BAR, colours.line)
    for place in range(_BAR):
        part = max(0, min(8, eighths - 8 * place))
        if part:
            row.put(column + place, _PARTS[part], colour)


def window(count: int, chosen: int, height: int) -> range:
    """Which of some rows are shown so that the chosen one is among them."""
    if count <= height:
        return range(count)
    first = max(0, min(chosen - height // 2, count - height))
    return range(first, first + height)


class LostToday(NamedTuple):
    """What was lost by heart and comes back.

    Attributes:
        bars: printed bars, the longest due first.
        minutes: what they take.
    """

    bars: str
    minutes: int


def today_line(
    slots: Sequence[tuple[str, int, bool]],
    own: str,
    colours: Palette,
    questions: int = 0,
    lost: LostToday | None = None,
) -> Text:
    """Today in one line: minutes in all, what was lost by heart, chunks with minutes, questions.

    Args:
        slots: (chunk's name, minutes, done).
        own: colour of the player.
        colours: of everything else.
        questions: minutes of questions that are due.
        lost: what comes back, None for nothing.
    """
    coming = [(name, minutes) for name, minutes, is_done in slots if not is_done]
    asks = f"y asks {questions} min" if questions else ""
    text = Text()
    if not coming and lost is None:
        text.append("today is done" if slots else "", colours.good)
        return text.append(f"{'   ' if slots and asks else ''}{asks}", colours.ink)
    minutes = sum(minutes for _, minutes in coming) + (lost.minutes if lost else 0)
    text.append(f"today {minutes} min: ", colours.faint)
    if lost is not None:
        # Keys before chunks: what has no room stands in the table all the same.
        text.append(f"lost {lost.bars} ({lost.minutes} min)", style(own, bold=True))
        text.append(f"  g begins there{', ' if asks else ''}{asks}{'   ' if coming else ''}", colours.ink)
    for place, (name, length) in enumerate(coming):
        text.append("  " if place else "")
        text.append(f"{name} {length}", style(own, bold=True))
    if lost is None:
        text.append(f"  g begins with {coming[0][0]}{', ' if asks else ''}{asks}", colours.ink)
    return text


def row_beside(row: Text, beside: list[Text], width: int) -> Text:
    """A row so wide, and what stands beside it where anything does."""
    line = row.copy()
    line.truncate(width, pad=True)
    return line.append("  ").append_text(beside[0]) if beside else line
