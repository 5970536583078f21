"""A concert's calendar, from its file: for the command and for the screens."""

from datetime import date
from typing import TYPE_CHECKING

from score.progress import ReportProgress
from tui.concert_opening import open_pieces

if TYPE_CHECKING:
    from score.concert.concert_file import Concert
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

    changes = change_seconds(concert_setup(concert, pieces))
    return plan_programme(programme_of(concert, pieces, today, changes), seconds, progress)
