"""The interface's own colours and letters, taken from the palette that the pictures use."""

import os
import sys

from textual.theme import Theme

from tui.drawing.letters import wants_plain
from tui.drawing.palette import Palette, ink_on, palette

DARK_NAME, LIGHT_NAME = "inbreath-dark", "inbreath-light"


def themes(coloured: bool) -> tuple[Theme, Theme]:
    """The dark and the light theme; of greys where colour is not wanted."""
    return _theme(DARK_NAME, palette(True, coloured)), _theme(LIGHT_NAME, palette(False, coloured))


def wants_colour() -> bool:
    """Whether colour may be used: NO_COLOR forbids it by being there and not empty (no-color.org)."""
    return not os.environ.get("NO_COLOR")


def terminal_is_plain(setting: str) -> bool:
    """Whether the terminal we write to gets plain letters only.

    Args:
        setting: of the player's settings, "auto" or "plain".
    """
    # Textual writes there.
    stream = sys.__stderr__
    return wants_plain(setting, getattr(stream, "encoding", None), os.environ.get("TERM", ""))


def _theme(name: str, colours: Palette) -> Theme:
    return Theme(
        name=name,
        primary=colours.faint,
        secondary=colours.line,
        accent=colours.ink,
        warning=colours.caution,
        error=colours.bad,
        success=colours.good,
        foreground=colours.ink,
        background=colours.ground,
        surface=colours.ground,
        panel=colours.panel,
        dark=colours.is_dark,
        variables={
            "block-cursor-background": colours.chosen,
            "block-cursor-foreground": colours.ink,
            "block-cursor-blurred-background": colours.panel,
            "block-cursor-blurred-foreground": colours.ink,
            "border": colours.line,
            "border-blurred": colours.line,
            "footer-background": colours.panel,
            "footer-key-foreground": colours.ink,
            "footer-description-foreground": colours.faint,
            "input-cursor-background": colours.ink,
            "input-cursor-foreground": ink_on(colours.ink),
            "scrollbar": colours.line,
            "scrollbar-background": colours.panel,
            "text-muted": colours.faint,
        },
    )
