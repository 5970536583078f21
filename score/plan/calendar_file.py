"""A plan as an iCalendar file (RFC 5545): rehearsals with their lines, and the concert."""

import uuid
from datetime import UTC, datetime
from typing import Any

from score.plan.plan import Plan, item_name
from score.plan.plan_texts import begins_at

_NAMESPACE = uuid.UUID("6f1d5f0e-6a3c-5b0e-9a55-0d6f5f5b1e11")


def plan_calendar(plan: Plan, stamp: datetime) -> bytes:
    """The file's bytes.

    Times are local without a zone ("floating", RFC 5545 3.3.5): a rehearsal is at seven wherever the group is.

    Args:
        plan: the plan.
        stamp: when it is made, with a zone.
    """
    from icalendar import Calendar, Event

    calendar = Calendar()
    calendar.add("prodid", "-//Inbreath//rehearsal plan//EN")
    calendar.add("version", "2.0")
    for rehearsal, items in zip(plan.inputs.rehearsals, plan.items, strict=True):
        event = Event()
        event.add("summary", f"Rehearsal: {plan.inputs.title}")
        event.add("dtstart", rehearsal.start)
        event.add("dtend", rehearsal.end)
        lines = [f"{begins_at(rehearsal, item)} {item_name(plan.inputs, item)} ({item.minutes} min)" for item in items]
        event.add("description", "\n".join(lines))
        identify(event, uid(_NAMESPACE, plan.inputs.title, rehearsal.start.isoformat()), stamp)
        calendar.add_component(event)
    concert = Event()
    concert.add("summary", f"Concert: {plan.inputs.title}")
    concert.add("dtstart", plan.inputs.concert)
    identify(concert, uid(_NAMESPACE, plan.inputs.title, "concert"), stamp)
    calendar.add_component(concert)
    ics: bytes = calendar.to_ical()
    return ics


def uid(namespace: uuid.UUID, title: str, what: str) -> str:
    """The same rehearsal keeps its UID, so that a calendar renews the entry and does not double it.

    Args:
        namespace: of the kind of calendar.
        title: of the piece or concert.
        what: which entry of it.
    """
    return f"{uuid.uuid5(namespace, f'{title}|{what}')}@inbreath"


def identify(event: Any, name: str, stamp: datetime) -> None:
    """Give an entry its UID and when it was made."""
    event.add("uid", name)
    event.add("dtstamp", stamp.astimezone(UTC))
