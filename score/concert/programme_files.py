"""A concert's calendar as files."""

from datetime import datetime
from pathlib import Path

from score.concert.programme_calendar import programme_calendar
from score.concert.programme_plan import ProgrammePlan
from score.concert.programme_texts import programme_csv, programme_markdown
from score.writing import write_atomically


def write_programme(plan: ProgrammePlan, folder: Path, stem: str, stamp: datetime) -> tuple[Path, ...]:
    """Write the calendar as Markdown, CSV and iCalendar.

    Args:
        plan: the calendar.
        folder: where to.
        stem: how the files' names begin.
        stamp: when, with a zone.

    Raises:
        WritingError: the folder cannot be written.
    """
    return (
        write_atomically(folder / f"{stem}-calendar.md", programme_markdown(plan).encode()),
        write_atomically(folder / f"{stem}-calendar.csv", programme_csv(plan).encode()),
        write_atomically(folder / f"{stem}-calendar.ics", programme_calendar(plan, stamp)),
    )
