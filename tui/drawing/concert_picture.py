"""A concert at a glance: its pieces in order, today over all of them, the next rehearsal."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import NamedTuple

from rich.text import Text

from score.beats import minutes_text
from score.concert.concert_values import Concert
from score.concert.programme_plan import EveningPlan, ProgrammePlan
from score.concert.programme_texts import call_lines, evening_heading, own_call, piece_of
from score.concert.stage_plan import titled
from score.plan.today import in_days
from tui.drawing.canvas import Row, indented
from tui.drawing.palette import Palette, style
from tui.drawing.plan_lines import day_words


class PieceRow(NamedTuple):
    """One piece.

    Attributes:
        name: what the concert's file calls it.
        title: as its score says, "" until it is read.
        people: who plays it, in the order of the parts.
        change: seconds of the change after it, None where there is none or it is not known yet.
    """

    name: str
    title: str
    people: Sequence[str]
    change: float | None = None


def concert_heading(concert: Concert, person: str, today: date, width: int, colours: Palette) -> Text:
    """The concert, who one is, how far it is."""
    text = Text(no_wrap=True).append(f" {concert.title}", style(colours.ink, bold=True))
    text.append(f"   you: {person}" if person else "   w says who you are", colours.ink)
    day = concert.day
    left = in_days((day - today).days) if day else ""
    when = f"concert {day_words(day)}, {left}" if day else "no date yet: d"
    if day and text.cell_len + 3 + len(when) > width:
        when = f"concert {left}"
    text.append(f"   {when}", colours.faint)
    text.truncate(width, pad=True)
    text.stylize_before(f"on {colours.panel}")
    return text


def piece_lines(rows: Sequence[PieceRow], chosen: int, person: str, width: int, colours: Palette) -> list[Text]:
    """A row a piece, the chosen one marked; one's own name stands out."""
    at = {"title": 5, "people": max(26, width * 2 // 5), "change": width - 8}
    head = Row(width)
    for name, column in (("piece", at["title"]), ("people", at["people"]), ("change", at["change"])):
        head.put(column, name, colours.faint)
    return [
        head.text,
        *(_piece_line(row, index, index == chosen, person, at, width, colours) for index, row in enumerate(rows)),
    ]


def _piece_line(
    piece: PieceRow, index: int, chosen: bool, person: str, at: dict[str, int], width: int, colours: Palette
) -> Text:
    row = Row(width)
    row.put(0, "▶" if chosen else " ", style(colours.ink, bold=True))
    row.put(2, f"{index + 1}", colours.faint)
    _put_title(row, piece, at["title"], at["people"] - 1, style(colours.ink, bold=chosen), colours.faint)
    column = at["people"]
    for name in piece.people:
        if column + len(name) >= at["change"]:
            row.put(column, "…"[: at["change"] - column - 1], colours.faint)
            break
        row.put(column, name, style(colours.ink, bold=True) if name == person else colours.faint)
        column += len(name) + 1
    if piece.change is not None:
        row.put(at["change"] + 1, minutes_text(piece.change), colours.faint)
    text = row.text
    if chosen:
        text.stylize_before(f"on {colours.chosen}")
    return text


def _put_title(row: Row, piece: PieceRow, column: int, ends: int, ink: str, faint: str) -> None:
    """The title, and where there is room what the concert's file calls the piece, as calendar and today do."""
    title, room = piece.title or piece.name, ends - column
    row.put(column, title if len(title) <= room else f"{title[: room - 1]}…", ink)
    name = titled(title, piece.name)[len(title) :]
    if len(title) + len(name) <= room:
        row.put(column + len(title), name, faint)


def today_lines(slots: Sequence[tuple[str, int, bool]], width: int, colours: Palette) -> list[Text]:
    """Today: the minutes that are left, then as many rows as it takes.

    Args:
        slots: (piece and what of it, minutes, done).
        width: columns.
        colours: of everything.
    """
    left = sum(minutes for _, minutes, is_done in slots if not is_done)
    if not slots:
        return [Text(" Nothing is planned for today.", colours.faint)]
    if not left:
        return [Text(" Today is done.", colours.good)]
    lines = [Text(f" Today {left} min, g begins", style(colours.ink, bold=True))]
    line = Text(" ")
    for name, minutes, is_done in slots:
        words = f"{name} {'done' if is_done else f'{minutes} min'}"
        if line.cell_len + len(words) + 3 > width and line.cell_len > 1:
            lines.append(line)
            line = Text(" ")
        line.append(f" {words}  ", colours.faint if is_done else colours.ink)
    return [*lines, line]


def next_rehearsal(plan: ProgrammePlan, now: datetime) -> int:
    """Position of the first rehearsal that is not over; the last one where all are."""
    return next(
        (index for index, evening in enumerate(plan.evenings) if evening.evening.end > now), len(plan.evenings) - 1
    )


def evening_lines(
    plan: ProgrammePlan, evening: EveningPlan, width: int, colours: Palette, person: str = ""
) -> list[Text]:
    """A rehearsal: when one is called oneself, who else is called when, then its lines."""
    bold = style(colours.ink, bold=True)
    day = day_words(evening.evening.start.date())
    lines = [Text(row, bold) for row in indented(evening_heading(plan, evening, day), width, 1)]
    mine = own_call(plan, evening, person)
    lines += [Text(f"   you: {mine}", bold)] if mine else []
    called = (row for line in call_lines(plan, evening) for row in indented(line, width, 3))
    lines += [Text(row, colours.ink) for row in called]
    wide = max((len(piece.name) for piece in plan.programme.pieces), default=0)
    for line in evening.lines:
        text = Text(no_wrap=True).append(f" {evening.evening.at(line.begins):%H:%M} ", colours.faint)
        text.append(f"{line.minutes:3} min  ", colours.ink)
        text.append(piece_of(plan, line).ljust(min(wide, 20))[:20], style(colours.ink, bold=True))
        text.append(f"  {line.what}", colours.ink)
        text.append(f"  {line.reason}", colours.faint)
        text.truncate(width, overflow="ellipsis")
        lines.append(text)
    return lines
