"""What a player's takes teach about demands, as the overview uses it: learned, shown, left out again by a key."""

from score.takes.kept_takes import KeptTakes
from score.takes.own_troubles import OwnTrouble, own_trouble, trouble_in
from tui.session import Session

_OFF = "off"


def lesson_of(session: Session) -> OwnTrouble | None:
    """What the takes of this piece teach; None for nothing, or where the player leaves it out. Reads all takes."""
    if not uses_lessons(session):
        return None
    takes = KeptTakes(session.history).of(session.piece.digest, session.me.number)
    troubles = {}
    for position, chunk in enumerate(session.chunks):
        here = [take.judged for take in takes if take.what.bars[0] in chunk.chunk.bars]
        if (trouble := trouble_in(here)) is not None:
            troubles[position] = trouble
    return own_trouble([chunk.asked for chunk in session.chunks], session.me.number, troubles)


def uses_lessons(session: Session) -> bool:
    """Whether the player lets takes teach about demands."""
    return session.history.recall(_name(session)) != _OFF


def turn_lessons(session: Session) -> str:
    """Let takes teach about demands, or no more; gives back one line that says so."""
    on = not uses_lessons(session)
    session.history.remember(_name(session), "" if on else _OFF)
    return "Your takes teach what weighs for you." if on else "What your takes teach is left out; x brings it back."


def lesson_words(lesson: OwnTrouble) -> str:
    """What was learned in one line."""
    return (
        f"your takes: {lesson.kind} goes with trouble ({lesson.chunks} chunks), so it weighs double; x leaves that out"
    )


def _name(session: Session) -> str:
    return f"lessons {session.piece.digest} {session.me.number}"
