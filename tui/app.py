"""The application: it opens screens and keeps what they share; it decides nothing about music."""

import asyncio
import contextlib
import signal
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual import on
from textual.app import App
from textual.binding import BindingType
from textual.dom import DOMNode
from textual.events import Event, Key
from textual.filter import LineFilter

from score.errors import InbreathError
from score.playback.sounding.sound_process import SoundProcess
from score.takes.history import History
from tui.drawing.palette import Palette, palette
from tui.key_bindings import bindings, known_names
from tui.keys import EVERYWHERE
from tui.practice_start import PracticeStart
from tui.score_paths import CONCERT
from tui.screen_messages import Failed, Opened
from tui.settings import Settings
from tui.theme import DARK_NAME, LIGHT_NAME, terminal_is_plain, themes, wants_colour
from tui.widgets.foot import Foot
from tui.widgets.plain_letters import PlainLetters

if TYPE_CHECKING:
    from textual.actions import ActionParseResult

    from tui.notation import Notation
    from tui.session import Session


class InbreathApp(App[int]):
    """The music stand.

    Args:
        score: the score to open at once, or None for the list of pieces opened before.
        history: the player's history.
        settings: keys and colours.
        player: the sound process that sounds, already started, or None to practise without it.
        notation: who draws engraved notation, where the terminal can show it.
    """

    TITLE = "Inbreath"
    CSS_PATH = "app.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings("everywhere", EVERYWHERE)]
    ENABLE_COMMAND_PALETTE = False

    def __init__(
        self,
        score: Path | None,
        history: History,
        settings: Settings,
        player: SoundProcess | None = None,
        notation: "Notation | None" = None,
    ) -> None:
        super().__init__()
        # The cells that show a picture name it by one of 256 colours.
        self.notation = notation if self.console.color_system in ("256", "truecolor") else None
        self.score, self.history, self.settings, self.player = score, history, settings, player
        self.session: Session | None = None
        self._begin = PracticeStart()
        self.plain = terminal_is_plain(settings.letters)
        self._plain_letters = PlainLetters(enabled=self.plain)
        self.coloured = wants_colour()
        for theme in themes(self.coloured):
            self.register_theme(theme)
        ids = known_names()
        self.set_keymap({id_: key for name, key in settings.keys.items() for id_ in ids[name]})

    def on_mount(self) -> None:
        """Show the first screen; say what of the settings could not be used."""
        from tui.screens.pieces_screen import PiecesScreen

        self._leave_on_signals()
        if self.notation is not None and self._driver is not None:
            self.notation.begin(self._driver.write)
        self.theme = LIGHT_NAME if self.settings.light else DARK_NAME
        self.push_screen(PiecesScreen())
        if self.score is not None:
            self.open_score(self.score)
        for trouble in self.settings.troubles:
            self.call_after_refresh(self.say, f"Settings: {trouble}", is_trouble=True)

    def _leave_on_signals(self) -> None:
        """A polite kill, or a terminal that is closed, leaves like the quit key: the terminal is put back."""
        loop = asyncio.get_running_loop()
        for name in ("SIGTERM", "SIGHUP"):
            if hasattr(signal, name):
                # The event loop of Windows takes no handlers.
                with contextlib.suppress(NotImplementedError):
                    loop.add_signal_handler(getattr(signal, name), self.exit)

    @property
    def palette(self) -> Palette:
        """The colours of what is drawn now; they change with the theme."""
        return palette(self.current_theme.dark, self.coloured)

    def get_line_filters(self) -> Sequence[LineFilter]:
        """What every line goes through on its way to the terminal: plain letters where it has no others."""
        return [*super().get_line_filters(), *([self._plain_letters] if self.plain else [])]

    def open_score(self, path: Path, begin: PracticeStart | None = None) -> None:
        """Read a score; its screen follows when it is read. A concert's file opens the concert.

        Args:
            path: the file.
            begin: who plays and with what, where another screen knows it.
        """
        self._begin = begin or PracticeStart()
        if path.name.endswith(CONCERT):
            from tui.screens.concert_screen import ConcertScreen

            self.push_screen(ConcertScreen(path))
            return
        from tui.screens.opening_screen import OpeningScreen

        self.push_screen(OpeningScreen(path))

    @on(Opened)
    def _opened(self, message: Opened) -> None:
        from tui.screens.stand_screen import StandScreen

        session, begin = message.session, self._begin
        self.session = session
        if begin.player:
            session.player = begin.player
            self._answered(lambda player: self.history.play_as(session.piece.digest, player), begin.player)
        self.switch_screen(StandScreen(session))
        session.today = begin.chunks
        if begin.passage is not None or begin.chunks:
            from tui.screens.practice_screen import PracticeScreen

            lost = begin.passage
            self.push_screen(
                PracticeScreen(session, begin.chunks[0]) if lost is None else PracticeScreen.at_passage(session, lost)
            )
        elif begin.questions:
            from tui.screens.questions_screen import QuestionsScreen

            self.push_screen(QuestionsScreen(session, begin.questions))

    @on(Failed)
    def _failed(self, message: Failed) -> None:
        self.show_error(message.error)

    def show_error(self, error: InbreathError) -> None:
        """An engine's error in a box that a key closes."""
        from tui.screens.error_box import ErrorBox

        self.push_screen(ErrorBox(error))

    def say(self, text: str, is_trouble: bool = False) -> None:
        """Say something on the line above the keys; the last thing said wins."""
        for screen in reversed(self.screen_stack):
            for foot in screen.query(Foot):
                foot.say(text, is_trouble)
                return

    def notify(self, message: str, **how: object) -> None:
        """What the library would show over the screen stands on the line above the keys, too."""
        self.say(message, how.get("severity", "information") != "information")

    async def on_event(self, event: Event) -> None:
        """A key also tells the foot that what was said some seconds ago has been read."""
        if isinstance(event, Key):
            for foot in self.screen.query(Foot):
                foot.key_pressed()
        await super().on_event(event)

    async def run_action(
        self,
        action: "str | ActionParseResult",
        default_namespace: DOMNode | None = None,
        namespaces: Mapping[str, DOMNode] | None = None,
    ) -> bool:
        """What a key asks for; where it cannot be done or kept, a box says why and the screen stays."""
        try:
            return await super().run_action(action, default_namespace, namespaces)
        except InbreathError as error:
            self.show_error(error)
            return True

    def push_screen(self, screen: Any, callback: Any = None, *settings: Any, **named: Any) -> Any:
        """Lay a screen over the one in front; an error of what its answer asks for is said as that of a key is."""
        return super().push_screen(screen, callback and partial(self._answered, callback), *settings, **named)

    def _answered(self, callback: Callable[[Any], Any], answer: Any) -> Any:
        try:
            return callback(answer)
        except InbreathError as error:
            self.show_error(error)
            return None

    @property
    def fault(self) -> Exception | None:
        """A fault of ours that ended the screens, None while there was none."""
        return self._exception

    def _fatal_error(self) -> None:
        """Leave for a fault of ours, without a traceback over the terminal: `start` says it as the commands do."""
        self._close_messages_no_wait()

    def action_light(self) -> None:
        """Change between light and dark."""
        self.theme = DARK_NAME if self.theme == LIGHT_NAME else LIGHT_NAME

    def action_keys_help(self) -> None:
        """Every key of the screen in front."""
        from tui.screens.help_screen import HelpScreen

        self.push_screen(HelpScreen(self.screen))

    def action_undo(self) -> None:
        """Take back what was done last on this screen."""
        undo = getattr(self.screen, "undo_last", None)
        said = undo() if undo else ""
        self.say(said or "Nothing to undo here.")
