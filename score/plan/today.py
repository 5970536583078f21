"""What one player does today: minutes and chunks with the reason, from the plan or, where there is none, without it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from score.plan.own_work import own_minutes
from score.plan.plan import Plan
from score.plan.plan_inputs import USUAL_MINUTES_A_DAY

_SLOT, _LEAST = 8, 3
_AGES = 5
"""Days after which a chunk is worth a look again whatever is planned (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Work:
    """Where a player stands with one chunk.

    Attributes:
        own: what the chunk asks of the player alone, 0 to 1.
        ready: how far the player is with it, 0 to 1; None when it was never begun.
        last: the day it was practised last, None when never.
        repeats: it repeats another chunk whole, which is practised instead.
    """

    own: float
    ready: float | None = None
    last: date | None = None
    repeats: bool = False


@dataclass(frozen=True, slots=True)
class TodaySlot:
    """A few minutes with one chunk.

    Attributes:
        chunk: its position.
        minutes: how long.
        reason: why today, in words.
        is_done: it was practised today already.
    """

    chunk: int
    minutes: int
    reason: str
    is_done: bool = False


def today_slots(
    work: Sequence[Work], today: date, plan: Plan | None, player: int, minutes_a_day: int = USUAL_MINUTES_A_DAY
) -> tuple[TodaySlot, ...]:
    """Today's chunks in the order to practise them.

    Args:
        work: where the player stands with each chunk, in the chunks' order.
        today: the day.
        plan: the group's plan, None where there are no rehearsals or no concert.
        player: number.
        minutes_a_day: for chunks, where no plan says it.
    """
    minutes = _planned(plan, today, player) if plan is not None else _unplanned(work, today, minutes_a_day)
    until = _days_to_rehearsal(plan, today)
    return tuple(
        TodaySlot(chunk, length, _reason(work[chunk], today, until), is_done=work[chunk].last == today)
        for chunk, length in minutes.items()
    )


def _planned(plan: Plan, today: date, player: int) -> Mapping[int, int]:
    mine = next((entry for entry in plan.own if entry.player == player), None)
    day = next((day for day in mine.days if day.day == today), None) if mine else None
    return {slot.chunk: slot.minutes for slot in day.slots} if day else {}


def _unplanned(work: Sequence[Work], today: date, minutes_a_day: int) -> Mapping[int, int]:
    """The most demanding and least ready first, and what has not been looked at for days, up to the usual minutes."""
    order = sorted(range(len(work)), key=lambda chunk: (-_urgency(work[chunk], today), chunk))
    left, slots = minutes_a_day, {}
    for chunk in order:
        length = min(_SLOT, own_minutes(work[chunk].own), left)
        if length >= _LEAST and not work[chunk].repeats and _urgency(work[chunk], today) > 0:
            slots[chunk] = length
            left -= length
    return slots


def _urgency(work: Work, today: date) -> float:
    days = (today - work.last).days if work.last is not None else 0
    # What was practised today stays in today's list, so that the list does not change under the player's hands.
    return work.own * (1 - 0.9 * (work.ready or 0.0)) * (2.0 if days >= _AGES else 1.0)


def _days_to_rehearsal(plan: Plan | None, today: date) -> int | None:
    if plan is None:
        return None
    return min(((rehearsal.start.date() - today).days for rehearsal in plan.inputs.rehearsals), default=None)


def _reason(work: Work, today: date, until: int | None) -> str:
    days = (today - work.last).days if work.last is not None else None
    if days == 0:
        return "done today"
    if days is None:
        due = "" if until is None else f", rehearsal {in_days(until)}"
        return f"not begun{due}"
    if days >= _AGES:
        return f"last {days} days ago"
    return "not ready yet" if (work.ready or 0.0) < 1 / 2 else "again"


def in_days(days: int) -> str:
    """A day as a player says it: "today", "tomorrow", "in 8 days"."""
    return {0: "today", 1: "tomorrow"}.get(days, f"in {days} days")
