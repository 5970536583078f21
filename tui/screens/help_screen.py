"""Every key of the screen in front."""

from typing import Any, ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen, Screen
from textual.widgets import Static

from tui.keys import READING, bindings


class HelpScreen(ModalScreen[None]):
    """A list of keys over the screen it explains."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("reading", READING)]

    def __init__(self, explained: Screen[Any]) -> None:
        super().__init__()
        self.lines = _lines(explained)

    def compose(self) -> ComposeResult:
        """The keys, and how to change them."""
        with VerticalScroll(id="help"):
            yield Static(Text("\n".join(self.lines)))

    def action_back(self) -> None:
        """Close."""
        self.dismiss()


def _lines(screen: Screen[Any]) -> list[str]:
    seen: dict[str, list[str]] = {}
    # Our own actions first (their ids hold a dot); moving about in lists comes after them.
    actives = sorted(screen.active_bindings.values(), key=lambda active: "." not in (active.binding.id or ""))
    for active in actives:
        if active.binding.description:
            seen.setdefault(active.binding.description, []).append(screen.app.get_key_display(active.binding))
    lines = [f"{', '.join(dict.fromkeys(keys)):>16}  {words}" for words, keys in seen.items()]
    explain = getattr(screen, "EXPLAIN", "")
    tail = ["", "Keys can be changed in settings.toml; Ctrl+P finds every action by name.", "Escape closes this."]
    return [*([explain, ""] if explain else []), *lines, *tail]
