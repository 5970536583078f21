"""The days of a plan as the screen shows them, from the group's file at once and from the plan when it is schedule."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import NamedTuple

from score.errors import RequestError
from score.group.group_file import Group
from score.piece import Piece
from score.places import find_player
from score.plan.from_group import group_concert, group_rehearsals
from score.plan.plan_inputs import Rehearsal
from score.plan.plan_of_piece import MadePlan
from tui.drawing.day_row import Day

_LEAST = 14


class PlacedRehearsal(NamedTuple):
    """A rehearsal with its place among the entries of the group's file.

    Attributes:
        rehearsal: it.
        position: among the file's rehearsals.
    """

    rehearsal: Rehearsal
    position: int


def placed(group: Group) -> tuple[PlacedRehearsal, ...]:
    """The rehearsals in order of time, wherever they stand in the file.

    Raises:
        GroupFileError: one of them cannot be used.
    """
    entries = [PlacedRehearsal(rehearsal, at) for at, rehearsal in enumerate(group_rehearsals(group))]
    return tuple(sorted(entries, key=lambda entry: entry.rehearsal.start))


def days_of(group: Group, rehearsals: Sequence[PlacedRehearsal], today: date) -> tuple[date, ...]:
    """Every day from today to the concert or the last rehearsal, two weeks at the least."""
    ends = [today + timedelta(days=_LEAST - 1), *(entry.rehearsal.start.date() for entry in rehearsals)]
    concert = group_concert(group)
    last = max([*ends, *([concert] if concert else [])])
    return tuple(today + timedelta(days=count) for count in range((last - today).days + 1))


def shown_days(
    days: Sequence[date],
    group: Group,
    rehearsals: Sequence[PlacedRehearsal],
    schedule: MadePlan | None,
    player: int,
    by_heart: int = 0,
) -> list[Day]:
    """The days with what is on them; own minutes once the plan is made, with those by heart on every day."""
    own: dict[date, int] = {}
    if schedule is not None:
        for work in schedule.plan.own:
            if work.player == player:
                own = {day.day: sum(slot.minutes for slot in day.slots) for day in work.days}
    by_day = {entry.rehearsal.start.date(): entry.rehearsal for entry in rehearsals}
    concert = group_concert(group)
    return [
        Day(
            day,
            own.get(day, 0) + (by_heart if concert is None or day < concert else 0),
            by_day[day].minutes if day in by_day else 0,
            missing=by_day[day].missing if day in by_day else (),
            is_concert=day == concert,
        )
        for day in days
    ]


def own_words(schedule: MadePlan | None, player: int, day: date, by_heart: int = 0) -> str:
    """What a player practises alone on a day: "C 8 min, B 8 min, by heart 10 min"."""
    asked = f"by heart {by_heart} min" if by_heart else ""
    return ", ".join(part for part in (_chunks_words(schedule, player, day), asked) if part)


def _chunks_words(schedule: MadePlan | None, player: int, day: date) -> str:
    if schedule is None:
        return ""
    mine = next((work for work in schedule.plan.own if work.player == player), None)
    slots = next((entry.slots for entry in mine.days if entry.day == day), ()) if mine else ()
    return ", ".join(f"{schedule.plan.inputs.chunks[slot.chunk].name} {slot.minutes} min" for slot in slots)


def typed_players(piece: Piece, text: str) -> list[int]:
    """Numbers of players as they are typed, with spaces or commas between them.

    Raises:
        RequestError: one of them is no player of the piece.
    """
    words = text.replace(",", " ").split()
    wrong = next((word for word in words if not word.isdecimal()), None)
    if wrong is not None:
        raise RequestError("Not a number", f"{wrong!r} is no player's number", "write numbers: 2 3")
    return [find_player(piece, int(word)).number for word in words]
