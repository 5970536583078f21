"""A plan as an iCalendar file (RFC 5545): rehearsals with their lines, and the concert."""

import uuid
from collections.abc import Iterable, Iterator
from datetime import UTC, date, datetime
from typing import Any, NamedTuple

from score.plan.plan import Plan, item_name
from score.plan.plan_texts import begins_at


class CalendarKind(NamedTuple):
    """Calendars of a kind: what they say of themselves, and where their entries are named."""

    words: str
    namespace: uuid.UUID


_KIND = CalendarKind("rehearsal plan", uuid.UUID("6f1d5f0e-6a3c-5b0e-9a55-0d6f5f5b1e11"))


class CalendarRehearsal(NamedTuple):
    """A rehearsal in somebody's calendar.

    Attributes:
        start: of the rehearsal, which names it.
        begins: when they come.
        ends: when they go.
        lines: what is done.
    """

    start: datetime
    begins: datetime
    ends: datetime
    lines: tuple[str, ...]


def plan_calendar(plan: Plan, stamp: datetime) -> bytes:
    """The file's bytes.

    Args:
        plan: the plan.
        stamp: when it is made, with a zone.
    """
    return calendar_bytes(_KIND, plan.inputs.title, _rehearsals(plan), plan.inputs.concert, stamp)


def _rehearsals(plan: Plan) -> Iterator[CalendarRehearsal]:
    for rehearsal, items in zip(plan.inputs.rehearsals, plan.items, strict=True):
        lines = (f"{begins_at(rehearsal, item)} {item_name(plan.inputs, item)} ({item.minutes} min)" for item in items)
        yield CalendarRehearsal(rehearsal.start, rehearsal.start, rehearsal.end, lines=tuple(lines))


def calendar_bytes(
    kind: CalendarKind, title: str, rehearsals: Iterable[CalendarRehearsal], concert: date, stamp: datetime
) -> bytes:
    """A calendar of rehearsals and their concert.

    Times are local without a zone ("floating", RFC 5545 3.3.5): a rehearsal is at seven wherever the group is.

    Args:
        kind: of calendar.
        title: of the piece or concert.
        rehearsals: in their order.
        concert: its day.
        stamp: when it is made, with a zone.
    """
    from icalendar import Calendar, Event

    calendar = Calendar()
    calendar.add("prodid", f"-//Inbreath//{kind.words}//EN")
    calendar.add("version", "2.0")
    for rehearsal in rehearsals:
        event = Event()
        event.add("summary", f"Rehearsal: {title}")
        event.add("dtstart", rehearsal.begins)
        event.add("dtend", rehearsal.ends)
        event.add("description", "\n".join(rehearsal.lines))
        _identify(event, _uid(kind, title, rehearsal.start.isoformat()), stamp)
        calendar.add_component(event)
    event = Event()
    event.add("summary", f"Concert: {title}")
    event.add("dtstart", concert)
    _identify(event, _uid(kind, title, "concert"), stamp)
    calendar.add_component(event)
    ics: bytes = calendar.to_ical()
    return ics


def _uid(kind: CalendarKind, title: str, what: str) -> str:
    """The same rehearsal keeps its UID, so that a calendar renews the entry and does not double it."""
    return f"{uuid.uuid5(kind.namespace, f'{title}|{what}')}@inbreath"


def _identify(event: Any, name: str, stamp: datetime) -> None:
    event.add("uid", name)
    event.add("dtstamp", stamp.astimezone(UTC))
