"""Every key of the screen in front."""

from typing import Any, ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import Static

from tui.key_bindings import action_of, bindings, key_name, place_of
from tui.keys import READING
from tui.screens.leaving import AnsweredOnce


class HelpScreen(AnsweredOnce[None]):
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


def _order(binding_id: str) -> tuple[bool, int]:
    """The screen's own keys first, in the order of their table."""
    return binding_id.startswith("everywhere."), place_of(binding_id)


def _lines(screen: Screen[Any]) -> list[str]:
    """Our own keys only: what a line to type or a list does by itself needs no words."""
    keys: dict[str, list[str]] = {}
    actives = screen.active_bindings.values()
    for active in sorted(actives, key=lambda active: _order(str(active.binding.id))):
        action = action_of(active.binding.id)
        if action is not None:
            keys.setdefault(action.words, []).append(key_name(active.binding.key))
    lines = [f"{', '.join(dict.fromkeys(names)):>14}  {words}" for words, names in keys.items()]
    explain = getattr(screen, "EXPLAIN", "")
    tail = ["", "Keys can be changed in settings.toml. Escape closes this."]
    return [*([explain, ""] if explain else []), *lines, *tail]
