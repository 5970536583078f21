"""The plan and today as the screens need them: gathered from session, group's file and history. No music here."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from score.plan.from_group import group_concert, group_minutes, group_rehearsals
from score.plan.plan_of_piece import MadePlan, plan_of
from score.plan.today import TodaySlot, Work, today_slots
from score.takes.history import Readiness, Standing
from tui.session import Session

Standings = Mapping[int, Standing]


@dataclass(frozen=True, slots=True)
class Today:
    """What the overview says of today.

    Attributes:
        slots: today's chunks.
        to_concert, to_rehearsal: days until then; None where the group's file gives none.
    """

    slots: tuple[TodaySlot, ...]
    to_concert: int | None
    to_rehearsal: int | None


def standings_of(session: Session) -> Standings:
    """Where the player stands, by the position of the chunk; quick enough for the screen's own thread."""
    standings = ((position, session.standing(chunk)) for position, chunk in enumerate(session.chunks))
    return {position: standing for position, standing in standings if standing is not None}


def plan_for(session: Session, standings: Standings, today: date) -> MadePlan | None:
    """The plan for the rehearsals to come, None without rehearsals or concert; takes up to some seconds.

    Raises:
        InbreathError: what the group's file says of them cannot be.
    """
    concert = group_concert(session.group)
    coming = [rehearsal for rehearsal in group_rehearsals(session.group) if rehearsal.start.date() >= today]
    if concert is None or not coming:
        return None
    ready = {position: standing.readiness.step / (len(Readiness) - 1) for position, standing in standings.items()}
    minutes = group_minutes(session.group)
    return plan_of(session.piece, session.group, coming, concert, today, minutes, ready)


def today_for(session: Session, standings: Standings, today: date) -> Today:
    """Today's own work and how far concert and rehearsal are; takes as long as the plan.

    Raises:
        InbreathError: what the group's file says of the plan cannot be.
    """
    schedule = plan_for(session, standings, today)
    work = [
        _work(session.chunks[position].asked.own(session.me.number), standings.get(position), session, position)
        for position in range(len(session.chunks))
    ]
    slots = today_slots(work, today, schedule.plan if schedule else None, session.me.number)
    concert = group_concert(session.group)
    days = [(rehearsal.start.date() - today).days for rehearsal in group_rehearsals(session.group)]
    to_rehearsal = min((count for count in days if count >= 0), default=None)
    return Today(slots, (concert - today).days if concert is not None and concert >= today else None, to_rehearsal)


def _work(own: float, standing: Standing | None, session: Session, position: int) -> Work:
    repeats = session.chunks[position].again.startswith("as bars")
    if standing is None:
        return Work(own, repeats=repeats)
    last = standing.at.astimezone().date()
    return Work(own, standing.readiness.step / (len(Readiness) - 1), last, repeats=repeats)
