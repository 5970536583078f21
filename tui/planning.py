"""The plan and today as the screens need them: gathered from session, group's file and history. No music here."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

from score.chunks.chunk import ChunkDemands
from score.plan.from_group import group_concert, group_minutes, group_rehearsals, player_minutes
from score.plan.plan_inputs import Material
from score.plan.plan_material import material
from score.plan.plan_of_piece import MadePlan, plan_of, plan_of_chunks
from score.plan.today import TodaySlot, Work, today_slots
from score.takes.heart_passages import LostPassage
from score.takes.own_troubles import OwnTrouble, own_figure
from score.takes.readiness import Standing
from tui.memory_facts import day_by_heart, minutes_planned
from tui.own_lessons import lesson_of
from tui.session import Session, StandChunk

Standings = Mapping[int, Standing]


@dataclass(frozen=True, slots=True)
class Today:
    """What the overview says of today.

    Attributes:
        slots: today's chunks.
        to_concert, to_rehearsal: days until then; None where the group's file gives none.
        lesson: what the player's takes teach about demands, None for nothing.
        questions: minutes of questions about the piece that are due.
        passages: those that were lost by heart and come back.
    """

    slots: tuple[TodaySlot, ...]
    to_concert: int | None
    to_rehearsal: int | None
    lesson: OwnTrouble | None = None
    questions: int = 0
    passages: tuple[LostPassage, ...] = ()


def standings_of(session: Session) -> Standings:
    """Where the player stands, by the position of the chunk; quick enough for the screen's own thread."""
    standings = ((position, session.standing(chunk)) for position, chunk in enumerate(session.chunks))
    return {position: standing for position, standing in standings if standing is not None}


def plan_for(session: Session, standings: Standings, today: date, lesson: OwnTrouble | None = None) -> MadePlan | None:
    """The plan for the rehearsals to come, None without rehearsals or concert; takes up to some seconds.

    Args:
        session: the opened piece.
        standings: where the player stands.
        today: the day.
        lesson: what the player's takes teach about demands.

    Raises:
        InbreathError: what the group's file says of them cannot be.
    """
    concert = group_concert(session.group)
    coming = [rehearsal for rehearsal in group_rehearsals(session.group) if rehearsal.start.date() >= today]
    if concert is None or not coming:
        return None
    ready = {position: standing.readiness.share for position, standing in standings.items()}
    minutes, by_heart = group_minutes(session.group), [(session.me.number, minutes_planned(session))]
    if lesson is None:
        return plan_of(session.piece, session.group, coming, concert, today, minutes, ready, by_heart)
    chunks, asked = tuple(c.chunk for c in session.chunks), [c.asked for c in session.chunks]
    materials = material(session.piece, chunks, asked, ready)
    mine = [
        _with_lesson(each, demands, session.me.number, lesson) for each, demands in zip(materials, asked, strict=True)
    ]
    return plan_of_chunks(session.piece, chunks, mine, coming, concert, today, minutes, by_heart)


def _with_lesson(chunk: Material, asked: ChunkDemands, player: int, lesson: OwnTrouble) -> Material:
    """A chunk's material with the player's own figure as their takes have it."""
    own = tuple((n, own_figure(asked, n, lesson) if n == player else figure) for n, figure in chunk.own)
    return replace(chunk, own=own)


def today_for(session: Session, standings: Standings, today: date) -> Today:
    """Today's own work and how far concert and rehearsal are; takes as long as the plan.

    Raises:
        InbreathError: what the group's file says of the plan cannot be.
    """
    lesson = lesson_of(session)
    schedule = plan_for(session, standings, today, lesson)
    work = [
        work_with(own_figure(chunk.asked, session.me.number, lesson), chunk, standings.get(position))
        for position, chunk in enumerate(session.chunks)
    ]
    plan = schedule.plan if schedule else None
    minutes = player_minutes(session.group, session.me.number) - minutes_planned(session)
    slots = today_slots(work, today, plan, session.me.number, minutes)
    concert = group_concert(session.group)
    days = [(rehearsal.start.date() - today).days for rehearsal in group_rehearsals(session.group)]
    to_rehearsal = min((count for count in days if count >= 0), default=None)
    to_concert = (concert - today).days if concert is not None and concert >= today else None
    heart = day_by_heart(session, today)
    return Today(
        slots, to_concert, to_rehearsal, lesson=lesson, questions=heart.question_minutes, passages=heart.passages
    )


def work_with(own: float, part: StandChunk, standing: Standing | None) -> Work:
    """Where a player stands with a chunk.

    Args:
        own: what it asks of them alone.
        part: the chunk.
        standing: None where they never practised it.
    """
    repeats = part.again.startswith("as bars")
    if standing is None:
        return Work(own, repeats=repeats)
    return Work(own, standing.readiness.share, standing.at.astimezone().date(), repeats=repeats)
