"""What the group's file says of rehearsals, the concert and own work.

concert = 2027-03-14

[[rehearsal]]
at = 2027-03-02T19:00:00
minutes = 90
missing = [2]          # players who cannot come

[[practice]]
player = 1
minutes = 40           # own work a day
"""

from datetime import date, datetime

from score.group.group_file import Group, Table, group_tables
from score.plan.plan_inputs import DAY, USUAL_MINUTES_A_DAY, Rehearsal


def group_rehearsals(group: Group) -> tuple[Rehearsal, ...]:
    """The rehearsals in the group's file.

    Raises:
        GroupFileError: a table without a date or minutes.
    """
    return tuple(_rehearsal(table) for table in group_tables(group, "rehearsal"))


def group_concert(group: Group) -> date | None:
    """The concert's day in the group's file, None when it gives none."""
    value = group.tables.get("concert")
    if isinstance(value, datetime):
        return value.date()
    return value if isinstance(value, date) else None


def group_minutes(group: Group) -> tuple[tuple[int, int], ...]:
    """Each player's minutes a day in the group's file."""
    tables = group_tables(group, "practice")
    return tuple(
        (table.number("player"), int(table.figure("minutes", USUAL_MINUTES_A_DAY, 0, DAY))) for table in tables
    )


def player_minutes(group: Group, player: int) -> int:
    """One player's minutes a day, the usual ones where the group's file gives none."""
    return dict(group_minutes(group)).get(player, USUAL_MINUTES_A_DAY)


def check_rehearsing(group: Group) -> None:
    """Refuse rehearsals and minutes that cannot be.

    Raises:
        GroupFileError: the first of them.
    """
    group_rehearsals(group)
    group_minutes(group)


def _rehearsal(table: Table) -> Rehearsal:
    moment = table.entry.get("at")
    start = datetime.fromisoformat(moment) if isinstance(moment, str) else moment
    if not isinstance(start, datetime):
        raise table.wrong("needs at as date and time", "write at = 2027-03-02T19:00:00")
    minutes = table.figure("minutes", 90, 1, DAY)
    return Rehearsal(start.replace(tzinfo=None), int(minutes), table.numbers("missing"))
