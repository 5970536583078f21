"""Going from a screen once, however fast keys follow one another: a second one is not for what lies under it."""

from typing import Any

from textual.await_complete import AwaitComplete
from textual.screen import ModalScreen, Screen, ScreenResultType


def leave(screen: Screen[Any]) -> None:
    """Take a screen away if it is in front."""
    if screen.is_current:
        screen.app.pop_screen()


class AnsweredOnce(ModalScreen[ScreenResultType]):
    """What lies over a screen and goes with its first answer."""

    _is_answered = False

    def dismiss(self, result: ScreenResultType | None = None) -> AwaitComplete:
        """Answer and go, the first time."""
        if self._is_answered:
            return AwaitComplete()
        self._is_answered = True
        return super().dismiss(result)
