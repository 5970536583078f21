"""The foot of every screen: one line that says what has happened, one line of keys."""

from time import monotonic

from rich.text import Text
from textual.app import RenderResult
from textual.reactive import var
from textual.widget import Widget
from textual.widgets import Input

from tui.drawing.key_line import KeyWords, key_line, merged
from tui.drawing.palette import Palette, style
from tui.key_bindings import action_of, key_name, place_of

_STAYS = 4.0
"""Seconds for which something said stays whatever is pressed."""


class Foot(Widget):
    """Two rows at the bottom, above them nothing is covered.

    Args:
        idle: what the upper row says while there is nothing to say.
    """

    DEFAULT_CSS = "Foot { dock: bottom; height: 2; }"
    idle: var[Text] = var(Text(""), init=False)
    said: var[Text] = var(Text(""), init=False)

    def __init__(self, idle: str = "") -> None:
        super().__init__()
        self.set_reactive(Foot.idle, Text(idle))
        self._said_at = 0.0

    def on_mount(self) -> None:
        """Keys change with what has the focus."""
        self.screen.bindings_updated_signal.subscribe(self, lambda _: self.refresh())
        self.app.theme_changed_signal.subscribe(self, lambda _: self.refresh())

    def say(self, text: str, is_trouble: bool = False) -> None:
        """Say something in one line; it stays until the next key after four seconds."""
        colours = self._palette
        line = " ".join(text.split())
        self._said_at = monotonic()
        self.said = Text(line, colours.caution if is_trouble else colours.ink)

    def key_pressed(self) -> None:
        """A key: what was said some seconds ago has been read."""
        if self.said and monotonic() - self._said_at > _STAYS:
            self.said = Text("")

    def watch_said(self) -> None:
        """Another thing to say."""
        self.refresh()

    def watch_idle(self) -> None:
        """Another line for when there is nothing to say."""
        self.refresh()

    def render(self) -> RenderResult:
        """What was said, and the keys."""
        colours, width = self._palette, self.size.width
        upper = (self.said or self.idle).copy()
        upper.truncate(max(1, width - 2), overflow="ellipsis")
        upper.no_wrap = True
        keys = self._keys(width, colours)
        keys.append(" " * max(0, width - keys.cell_len))
        keys.stylize(f"on {colours.panel}")
        return Text("\n", no_wrap=True).join([Text(" ").append_text(upper), keys])

    def _keys(self, width: int, colours: Palette) -> Text:
        entries: dict[str, KeyWords] = {}
        for active in self.screen.active_bindings.values():
            action = action_of(active.binding.id)
            if action is not None and active.binding.show and active.enabled:
                entries.setdefault(str(active.binding.id), KeyWords(key_name(active.binding.key), action.foot_words))
        is_typing = isinstance(self.screen.focused, Input)
        help_key = entries.pop("everywhere.help", KeyWords("?", "keys"))
        if is_typing:
            # A question mark is typed into the line.
            help_key = KeyWords("f1", help_key.words)
        ordered = sorted(entries, key=place_of)
        ours = [entries[name] for name in ordered if not is_typing or len(entries[name].keys) > 1]
        return key_line(merged(ours), help_key, width, style(colours.ink, bold=True), colours.faint)

    @property
    def _palette(self) -> Palette:
        return self.app.palette  # type: ignore[attr-defined,no-any-return]
