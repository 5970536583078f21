"""What lies over a screen and goes with its answer."""

from textual.await_complete import AwaitComplete
from textual.screen import ModalScreen, ScreenResultType


class AnsweredOnce(ModalScreen[ScreenResultType]):
    """Answers once: a key pressed twice before it has gone would answer again and take away the screen under it."""

    _is_answered = False

    def dismiss(self, result: ScreenResultType | None = None) -> AwaitComplete:
        """Answer and go, the first time."""
        if self._is_answered:
            return AwaitComplete()
        self._is_answered = True
        return super().dismiss(result)
