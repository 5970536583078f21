"""From chunks, their demands and the group's file to the inputs of a plan.

concert = 2027-03-14

[[rehearsal]]
at = 2027-03-02T19:00:00
minutes = 90
missing = [2]          # players who cannot come

[[practice]]
player = 1
minutes = 40           # own work a day
"""

from collections.abc import Mapping, Sequence
from datetime import date, datetime

from score.activity.who_moves import activity
from score.chunks.chunk import Chunk, ChunkDemands, Sameness
from score.errors import GroupFileError
from score.group.group_file import Group, Table, group_tables
from score.piece import Piece
from score.plan.plan_inputs import Material, PlanInputs, Rehearsal

_SHARE = 1 / 3
"""Who strikes in a third of a chunk's bars or more, or leads it, is needed to rehearse it."""


def material(
    piece: Piece, chunks: Sequence[Chunk], asked: Sequence[ChunkDemands], ready: Mapping[int, float] | None = None
) -> tuple[Material, ...]:
    """The chunks as the plan sees them.

    Args:
        piece: the piece.
        chunks: its chunks.
        asked: what they ask.
        ready: chunk index to how far the group is with it, 0 to 1, where that is known.
    """
    firsts = {chunk.first: chunk.index for chunk in chunks}
    materials = []
    for chunk, demands in zip(chunks, asked, strict=True):
        same = firsts.get(chunk.same_first) if chunk.same_first is not None else None
        # Rehearsed once only where it repeats another chunk whole.
        whole = same is not None and len(chunks[same].bars) == len(chunk.bars) and chunk.sameness is Sameness.EXACT
        own = tuple((player.player, player.own) for player in demands.players)
        readiness = (ready or {}).get(chunk.index)
        needed = _needed(piece, chunk, demands)
        materials.append(
            Material(
                chunk.name,
                chunk.seconds,
                demands.together,
                own=own,
                needed=needed,
                ready=readiness,
                repeats=same if whole else None,
            )
        )
    return tuple(materials)


def group_rehearsals(group: Group) -> tuple[Rehearsal, ...]:
    """The rehearsals in the group's file.

    Raises:
        GroupFileError: a table without a date or minutes.
    """
    return tuple(_rehearsal(table) for table in group_tables(group, "rehearsal"))


def group_concert(group: Group) -> date | None:
    """The concert's day in the group's file, None when it gives none.

    Raises:
        GroupFileError: it is no date.
    """
    value = group.tables.get("concert")
    if value is None:
        return None
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date):
        return value
    name = group.path.name if group.path else ""
    raise GroupFileError("Group's file", f"{name}: concert is not a date", "write concert = 2027-03-14")


def group_minutes(group: Group) -> tuple[tuple[int, int], ...]:
    """Each player's minutes a day in the group's file."""
    tables = group_tables(group, "practice")
    return tuple((table.number("player"), int(table.figure("minutes", 45, 0, 1440))) for table in tables)


def inputs_of(
    piece: Piece,
    chunks: Sequence[Material],
    rehearsals: Sequence[Rehearsal],
    concert: date,
    today: date,
    minutes_a_day: Sequence[tuple[int, int]] = (),
) -> PlanInputs:
    """Everything a plan is made from."""
    players = tuple((player.number, player.name) for player in piece.players)
    return PlanInputs(
        piece.title,
        tuple(chunks),
        tuple(rehearsals),
        concert=concert,
        today=today,
        minutes_a_day=tuple(minutes_a_day),
        players=players,
    )


def _needed(piece: Piece, chunk: Chunk, demands: ChunkDemands) -> tuple[int, ...]:
    facts = activity(piece)
    needed = []
    for row, number in enumerate(facts.players):
        struck = sum(bool(facts.rows[row][bar].sounds) for bar in chunk.bars)
        if struck >= _SHARE * len(chunk.bars) or number == demands.leader:
            needed.append(number)
    return tuple(needed)


def _rehearsal(table: Table) -> Rehearsal:
    at = table.entry.get("at")
    if isinstance(at, str):
        try:
            at = datetime.fromisoformat(at)
        except ValueError:
            at = None
    if not isinstance(at, datetime):
        raise table.wrong("needs at as date and time", "write at = 2027-03-02T19:00:00")
    minutes = table.figure("minutes", 90, -1440, 1440)
    missing = table.entry.get("missing", [])
    if not isinstance(missing, list) or not all(isinstance(player, int) for player in missing):
        raise table.wrong("missing is not a list of players' numbers", "write missing = [2]")
    return Rehearsal(at.replace(tzinfo=None), int(minutes), tuple(missing))
