"""A concert's rehearsals as an iCalendar file (RFC 5545): for everybody, or what one person is called for."""

import uuid
from collections.abc import Iterator
from datetime import datetime

from score.concert.programme_plan import EveningPlan, ProgrammePlan
from score.concert.programme_texts import call_lines, piece_of
from score.plan.calendar_file import CalendarKind, CalendarRehearsal, calendar_bytes

_KIND = CalendarKind("concert plan", uuid.UUID("0d5a6f0a-92c5-5f3e-8a0b-3f0c2f6d7c55"))


def programme_calendar(plan: ProgrammePlan, stamp: datetime, person: int | None = None) -> bytes:
    """The file's bytes.

    Args:
        plan: the calendar.
        stamp: when it is made, with a zone.
        person: whose; None for everybody.
    """
    return calendar_bytes(_KIND, plan.programme.title, _rehearsals(plan, person), plan.programme.concert, stamp)


def _rehearsals(plan: ProgrammePlan, person: int | None) -> Iterator[CalendarRehearsal]:
    for evening in plan.evenings:
        times = _times(evening, person)
        if times is not None:
            begins, ends = map(evening.evening.at, times)
            yield CalendarRehearsal(evening.evening.start, begins, ends, lines=_description(plan, evening))


def _times(evening: EveningPlan, person: int | None) -> tuple[int, int] | None:
    if person is None:
        return 0, evening.evening.minutes
    return next(((call.begins, call.ends) for call in evening.calls if call.person == person), None)


def _description(plan: ProgrammePlan, evening: EveningPlan) -> tuple[str, ...]:
    lines = list(call_lines(plan, evening))
    for line in evening.lines:
        words = " ".join(filter(None, (piece_of(plan, line), line.what)))
        lines.append(f"{evening.evening.at(line.begins):%H:%M} {words} ({line.minutes} min)")
    return tuple(lines)
