"""Pages of lines to look through: a concert's calendar, its stages."""

from collections.abc import Callable, Sequence
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Static

from score.plain_text import several
from tui.drawing.canvas import stacked
from tui.drawing.palette import Palette, style
from tui.key_bindings import bindings
from tui.keys import LEAVES
from tui.screens.leaving import leave
from tui.screens.picture_screen import PictureScreen
from tui.widgets.foot import Foot

Leaf = Callable[[tuple[int, int], Palette], list[Text]]
"""Draws one page for columns and rows; what is longer is scrolled."""


class LeavesScreen(PictureScreen):
    """Left and right turn the pages, up and down scroll.

    Args:
        title: what they are.
        leaves: the pages.
        leaf: position of the page to begin with.
        said: the line above the keys.
    """

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("leaves", LEAVES)]

    def __init__(self, title: str, leaves: Sequence[Leaf], leaf: int = 0, said: str = "") -> None:
        super().__init__()
        self.heading, self.leaves, self.leaf, self.said = title, leaves, leaf, said
        self.top = 0

    def compose(self) -> ComposeResult:
        """The page, and the foot."""
        yield Static("", id="picture", markup=False)
        yield Foot(self.said)

    def _draw(self) -> None:
        if not self.query("#picture"):
            return
        colours: Palette = self.app.palette  # type: ignore[attr-defined]
        width, height = max(40, self.size.width), max(10, self.size.height) - 3
        lines = self.leaves[self.leaf]((width, height), colours)
        self.top = max(0, min(self.top, len(lines) - height))
        heading = Text(no_wrap=True).append(f" {self.heading}", style(colours.ink, bold=True))
        heading.append(f"   page {self.leaf + 1} of {len(self.leaves)}", colours.faint)
        below = len(lines) - self.top - height
        heading.append(f"   {several(below, 'more line')} below: ↓" if below > 0 else "", colours.faint)
        heading.truncate(width, pad=True)
        heading.stylize_before(f"on {colours.panel}")
        self.query_one("#picture", Static).update(stacked([heading, *lines[self.top : self.top + height]], width))

    def action_leaf(self, by: int) -> None:
        """Another page."""
        self.leaf, self.top = (self.leaf + by) % len(self.leaves), 0
        self._draw()

    def action_scroll(self, by: int) -> None:
        """Other lines of the page."""
        self.top = max(0, self.top + by)
        self._draw()

    def action_back(self) -> None:
        """Back."""
        leave(self)
