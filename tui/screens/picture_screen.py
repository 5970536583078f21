"""What the screens have in common that are one picture over a foot."""

from abc import abstractmethod

from textual.app import ComposeResult
from textual.screen import Screen
from textual.widgets import Static

from tui.widgets.foot import Foot


class PictureScreen(Screen[None]):
    """One picture of letters over a foot, drawn anew for another size or other colours."""

    def compose(self) -> ComposeResult:
        """The picture, and the foot."""
        yield Static("", id="picture", markup=False)
        yield Foot()

    def on_mount(self) -> None:
        """Draw in the new colours when they change; what a screen does first stands in its own `on_mount`."""
        self.app.theme_changed_signal.subscribe(self, lambda _: self._draw())

    def on_resize(self) -> None:
        """Draw to the new size."""
        self._draw()

    @abstractmethod
    def _draw(self) -> None:
        """Draw the picture."""
