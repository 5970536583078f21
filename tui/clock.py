"""The day and the time of day as the screens see them; tests set both."""

from collections.abc import Callable
from datetime import date, datetime

source: Callable[[], datetime] = datetime.now
"""Where the time comes from."""


def now() -> datetime:
    """The time of day, local."""
    return source()


def today() -> date:
    """The day."""
    return source().date()
