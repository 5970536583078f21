"""What is said of the item at hand in a rehearsal, gathered from plan, chunks and group's file."""

from collections.abc import Sequence
from typing import NamedTuple

from score.group.agreements import Agreement, agreements, within
from score.plan.plan import Plan, item_name
from score.plan.plan_of_piece import MadePlan
from score.plan.plan_tasks import TaskKind
from score.plan.rehearsal_order import Item
from tui.rehearsal_notes import RehearsalNote, notes_in, notes_of
from tui.session import Session

_SEAM = 4
"""Bars on each side of a join."""


class ItemFacts(NamedTuple):
    """The item at hand.

    Attributes:
        name: what is rehearsed.
        bars: indices; None for a break.
        lines: why, who leads, what to listen for, who is here.
        matters: what is tried and agreed in these bars.
        notes: written down for these bars.
    """

    name: str
    bars: range | None
    lines: tuple[str, ...]
    matters: tuple[Agreement, ...]
    notes: tuple[RehearsalNote, ...]


def item_facts(session: Session, schedule: MadePlan, item: Item, missing: Sequence[int]) -> ItemFacts:
    """Everything about an item of the rehearsal.

    Raises:
        GroupFileError: an entry of the group's file that cannot be used.
    """
    bars = _bars(schedule, item)
    name = item_name(schedule.plan.inputs, item)
    if bars is None:
        return ItemFacts(name, None, (item.reason,), matters=(), notes=())
    here = [str(player.number) for player in session.piece.players if player.number not in missing]
    lines = [item.reason, *_led(session, item), f"here: {' '.join(here)}"]
    matters = within(agreements(session.piece, session.group), bars)
    return ItemFacts(
        name, bars, tuple(lines), matters=matters, notes=notes_in(notes_of(session.piece, session.group), bars)
    )


def boxes_of_items(plan: Plan, items: Sequence[Item], minutes: Sequence[int]) -> list[tuple[str, int]]:
    """(name, minutes) of each item, names as short as the boxes want them."""
    names = [item_name(plan.inputs, item).removeprefix("join ").replace(" | ", "|") for item in items]
    return list(zip(names, minutes, strict=True))


def _bars(schedule: MadePlan, item: Item) -> range | None:
    if item.kind is TaskKind.BREAK:
        return None
    first, last = schedule.chunks[item.first].bars, schedule.chunks[item.last].bars
    if item.kind is TaskKind.JOIN:
        return range(max(first[0], first[-1] + 1 - _SEAM), min(last[-1], last[0] + _SEAM - 1) + 1)
    return range(first[0], last[-1] + 1)


def _led(session: Session, item: Item) -> list[str]:
    if item.kind is not TaskKind.CHUNK or item.first >= len(session.chunks):
        return []
    asked = session.chunks[item.first].asked
    leads = [f"{asked.leader} leads: {asked.lead}"] if asked.leader is not None else []
    return [*leads, *(demand.text for demand in asked.group[:1])]
