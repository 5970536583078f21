"""The clock of a rehearsal: minutes left for the item at hand, and how far behind the plan the evening is."""

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta


class RehearsalClock:
    """Counts only while it runs; what was spent on an item stays when one comes back to it.

    Args:
        minutes: planned for each item.
        begins: minutes after the start at which each item is planned.
        start: of the rehearsal.
        seconds: a clock that only goes forward, seconds.
        now: the time of day.
    """

    def __init__(
        self,
        minutes: Sequence[int],
        begins: Sequence[int],
        start: datetime,
        seconds: Callable[[], float],
        now: Callable[[], datetime],
    ) -> None:
        self.minutes, self.begins = list(minutes), tuple(begins)
        self.start, self.seconds, self.now = start, seconds, now
        self.spent = [0.0] * len(minutes)
        self.item = 0
        self._since: float | None = None
        self._anchor: datetime | None = None

    @property
    def is_running(self) -> bool:
        """Whether it counts."""
        return self._since is not None

    def toggle(self) -> None:
        """Start or stop it; a rehearsal held on another day than planned begins when it is started first."""
        if self._since is None:
            self._since = self.seconds()
            if self._anchor is None:
                now = self.now()
                begun = now - timedelta(minutes=self.begins[self.item])
                self._anchor = self.start if self.start.date() == now.date() else begun
        else:
            self._keep()
            self._since = None

    def go(self, item: int) -> None:
        """Another item."""
        self._keep()
        self.item = item

    def longer(self, minutes: int) -> None:
        """More minutes for this item."""
        self.minutes[self.item] += minutes

    def spent_on(self, item: int) -> float:
        """Seconds spent on an item."""
        running = self.seconds() - self._since if self._since is not None and item == self.item else 0.0
        return self.spent[item] + running

    @property
    def left(self) -> float:
        """Seconds left for this item; negative when it runs over."""
        return 60 * self.minutes[self.item] - self.spent_on(self.item)

    @property
    def behind(self) -> int | None:
        """Minutes behind the plan (negative: ahead); None until the clock was started."""
        if self._anchor is None:
            return None
        planned = self._anchor + timedelta(minutes=self.begins[self.item], seconds=self.spent_on(self.item))
        return round((self.now() - planned).total_seconds() / 60)

    def _keep(self) -> None:
        if self._since is not None:
            now = self.seconds()
            self.spent[self.item] += now - self._since
            self._since = now
