"""Going back from a screen."""

from typing import Any

from textual.screen import Screen


def leave(screen: Screen[Any]) -> None:
    """Take a screen away if it is in front: a key pressed twice before it has gone is not for what lies under it."""
    if screen.is_current:
        screen.app.pop_screen()
