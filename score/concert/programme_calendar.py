"""A concert's rehearsals as an iCalendar file (RFC 5545): for everybody, or what one person is called for."""

import uuid
from datetime import datetime

from score.concert.programme_plan import EveningPlan, ProgrammePlan
from score.concert.programme_texts import call_lines, piece_of
from score.plan.calendar_file import identify, uid

_NAMESPACE = uuid.UUID("0d5a6f0a-92c5-5f3e-8a0b-3f0c2f6d7c55")


def programme_calendar(plan: ProgrammePlan, stamp: datetime, person: int | None = None) -> bytes:
    """The file's bytes; times are local without a zone, as in `score.plan.calendar_file`.

    Args:
        plan: the calendar.
        stamp: when it is made, with a zone.
        person: whose; None for everybody.
    """
    from icalendar import Calendar, Event

    calendar = Calendar()
    calendar.add("prodid", "-//Inbreath//concert plan//EN")
    calendar.add("version", "2.0")
    for evening in plan.evenings:
        times = _times(evening, person)
        if times is None:
            continue
        event = Event()
        event.add("summary", f"Rehearsal: {plan.programme.title}")
        event.add("dtstart", evening.evening.at(times[0]))
        event.add("dtend", evening.evening.at(times[1]))
        event.add("description", "\n".join(_description(plan, evening)))
        identify(event, uid(_NAMESPACE, plan.programme.title, evening.evening.start.isoformat()), stamp)
        calendar.add_component(event)
    concert = Event()
    concert.add("summary", f"Concert: {plan.programme.title}")
    concert.add("dtstart", plan.programme.concert)
    identify(concert, uid(_NAMESPACE, plan.programme.title, "concert"), stamp)
    calendar.add_component(concert)
    ics: bytes = calendar.to_ical()
    return ics


def _times(evening: EveningPlan, person: int | None) -> tuple[int, int] | None:
    if person is None:
        return 0, evening.evening.minutes
    return next(((call.begins, call.ends) for call in evening.calls if call.person == person), None)


def _description(plan: ProgrammePlan, evening: EveningPlan) -> list[str]:
    lines = list(call_lines(plan, evening))
    for line in evening.lines:
        words = " ".join(filter(None, (piece_of(plan, line), line.what)))
        lines.append(f"{evening.evening.at(line.begins):%H:%M} {words} ({line.minutes} min)")
    return lines
