"""A concert's calendar, from its file: for the commands and for the screens."""

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from score.progress import ReportProgress
from tui.concert_opening import open_pieces

if TYPE_CHECKING:
    from score.concert.concert_pieces import ConcertPiece
    from score.concert.concert_setup import ConcertSetup
    from score.concert.concert_values import Concert
    from score.concert.programme_of_concert import OwnState
    from score.concert.programme_plan import ProgrammePlan


def plan_concert(
    concert: "Concert", today: date, seconds: float, progress: ReportProgress | None = None
) -> "ProgrammePlan":
    """The best calendar in some seconds, with the stage changes of its order.

    Args:
        concert: its file.
        today: rehearsals before it are over.
        seconds: to look for it.
        progress: told how far it is.

    Raises:
        InbreathError: a score, a date, the hall or a name does not fit.
    """
    pieces = open_pieces(concert, progress)
    from score.concert.concert_setup import change_seconds, concert_setup
    from score.concert.programme_of_concert import programme_of
    from score.concert.programme_plan import plan_programme
    from tui.concert_own import own_state_here

    changes = change_seconds(concert_setup(concert, pieces))
    programme = programme_of(concert, pieces, today, changes, own_state_here(concert, pieces))
    return plan_programme(programme, seconds, progress)


def plan_pieces(
    concert: "Concert",
    pieces: "Sequence[ConcertPiece]",
    setup: "ConcertSetup",
    today: date,
    seconds: float,
    own: "OwnState",
    progress: ReportProgress | None = None,
) -> "ProgrammePlan | None":
    """The calendar of a concert that is open; None where its file gives no date or no rehearsal to come.

    Args:
        concert: its file.
        pieces: opened.
        setup: its stage changes.
        today: rehearsals before it are over.
        seconds: to look for the calendar.
        own: how far somebody is.
        progress: told how far it is.

    Raises:
        InbreathError: a wish of a group's file does not fit its score.
    """
    if concert.day is None or not any(entry.start.date() >= today for entry in concert.rehearsals):
        return None
    from score.concert.concert_setup import change_seconds
    from score.concert.programme_of_concert import programme_of
    from score.concert.programme_plan import plan_programme

    programme = programme_of(concert, pieces, today, change_seconds(setup), own)
    return plan_programme(programme, seconds, progress)
