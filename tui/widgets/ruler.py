"""The one line that moves: beats, and the head over the moment that sounds."""

from rich.text import Text
from textual.reactive import var
from textual.widget import Widget

from score.activity.lanes import Run
from tui.drawing.lane_picture import Grid, ruler


class Ruler(Widget):
    """A one-line ruler, apart from the lanes, so that a tick redraws one line and nothing else."""

    DEFAULT_CSS = "Ruler { height: 1; }"
    head: var[int] = var(-1)

    def __init__(self) -> None:
        super().__init__(id="ruler")
        self._shown: tuple[Run, Grid] | None = None

    def show(self, run: Run, grid: Grid) -> None:
        """Another page."""
        self._shown = run, grid
        self.refresh()

    def watch_head(self) -> None:
        """The head has moved to another column."""
        self.refresh()

    def render(self) -> Text:
        """Beats and head."""
        if self._shown is None:
            return Text("")
        run, grid = self._shown
        return ruler(run, grid, self.head if self.head >= 0 else None)
