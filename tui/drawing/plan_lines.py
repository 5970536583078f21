"""A rehearsal's order: its items as boxes, then a line each with the time, the minutes and the reason."""

from datetime import date, timedelta
from textwrap import wrap

from rich.text import Text

from score.plan.plan import Plan, item_name
from score.plan.plan_inputs import Rehearsal
from score.plan.today import in_days
from tui.drawing.day_row import item_boxes
from tui.drawing.palette import Palette, style

_NAME, _WHY = 16, 34


def day_words(day: date) -> str:
    """A date in words: "Tuesday 8 December"."""
    return f"{day:%A} {day.day} {day:%B}"


def plan_heading(concert: date | None, today: date, width: int, colours: Palette) -> Text:
    """What the screen is, and how far the concert is."""
    text = Text(no_wrap=True).append(" Plan   ", style(colours.ink, bold=True))
    when = f"concert {day_words(concert)}, {in_days((concert - today).days)}" if concert else "no concert date yet"
    text.append(when, colours.faint)
    text.truncate(width, pad=True)
    text.stylize_before(f"on {colours.panel}")
    return text


def day_title(day: date, rehearsal: Rehearsal | None, own: str, player: int, colours: Palette) -> Text:
    """One day in words: its rehearsal, and what the player practises alone."""
    text = Text(no_wrap=True).append(f" {day_words(day)}", style(colours.ink, bold=True))
    if rehearsal is not None:
        missing = "".join(f", without {number}" for number in rehearsal.missing)
        text.append(f" {rehearsal.start:%H:%M}, {rehearsal.minutes} minutes{missing}", colours.ink)
    text.append(f"   you: {own}" if own else "", colours.player(player))
    return text


def short_name(name: str) -> str:
    """An item's name for a narrow box."""
    return name.removeprefix("join ").replace(" | ", "|")


def rehearsal_lines(plan: Plan, position: int, width: int, colours: Palette) -> list[Text]:
    """The boxes and the lines of one rehearsal; long reasons go on under themselves."""
    rehearsal, items = plan.inputs.rehearsals[position], plan.items[position]
    boxes = [(short_name(item_name(plan.inputs, item)), item.minutes) for item in items]
    lines = [*item_boxes(boxes, width, colours).split("\n"), Text("")]
    for item in items:
        begins = rehearsal.start + timedelta(minutes=item.begins)
        text = Text(no_wrap=True).append(f" {begins:%H:%M} ", colours.faint)
        text.append(f"{item.minutes:3} min  ", colours.ink)
        text.append(item_name(plan.inputs, item).ljust(_NAME), style(colours.ink, bold=True))
        reasons = wrap(item.reason, max(20, width - _WHY)) or [""]
        text.append(f" {reasons[0]}", colours.ink)
        lines += [text, *(Text(" " * _WHY + more, colours.ink) for more in reasons[1:])]
    return lines
