"""The first screen: pieces opened before, scores of this folder, samples, and a line for any other path."""

from pathlib import Path
from textwrap import wrap
from typing import ClassVar, NamedTuple

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.events import Click
from textual.screen import Screen
from textual.widgets import Input, Static

from score.errors import InbreathError
from score.takes.history import History
from score.takes.readiness import KnownPiece
from tui.drawing.canvas import stacked
from tui.drawing.chunk_rows import window
from tui.drawing.palette import Palette, style
from tui.key_bindings import bindings
from tui.keys import PIECES
from tui.sample_scores import SAMPLES, own_copy
from tui.score_paths import CONCERT, completed, completions, concerts_here, scores_here, typed_path
from tui.widgets.foot import Foot

WHAT = (
    "Reads a MusicXML score and writes parts with the others' rhythms as cues,",
    "plans what to practise and rehearse, plays the others and a click with you.",
)


class Choice(NamedTuple):
    """Something to open.

    Attributes:
        group: the heading it stands under.
        title: what it is called.
        words: more about it.
        path: the score, None for a sample.
        sample: name of a sample's file, "" for none.
        entry: the piece as the history has it.
    """

    group: str
    title: str
    words: str
    path: Path | None = None
    sample: str = ""
    entry: KnownPiece | None = None


class PiecesScreen(Screen[None]):
    """A list to choose from; typing a path opens another score."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("pieces", PIECES)]
    AUTO_FOCUS = ""
    EXPLAIN = "Enter opens the chosen piece. Samples are copied first, so that you can change them."

    def __init__(self) -> None:
        super().__init__()
        self.chosen = 0
        self.choices: list[Choice] = []
        self.forgotten: list[KnownPiece] = []
        self._places: dict[int, int] = {}

    def compose(self) -> ComposeResult:
        """What it is, the list, the line for a path."""
        yield Static("", id="picture", markup=False)
        yield Input(placeholder="o: path of another score; tab completes it", id="path", compact=True)
        yield Foot()

    @property
    def history(self) -> History:
        """The player's history."""
        return self.app.history  # type: ignore[attr-defined,no-any-return]

    def on_mount(self) -> None:
        """Draw."""
        self.app.theme_changed_signal.subscribe(self, lambda _: self._draw())

    def on_screen_resume(self) -> None:
        """Show what there is now."""
        self._fill()

    def on_resize(self) -> None:
        """Draw to the new size."""
        self._draw()

    def _fill(self) -> None:
        pieces = self.history.pieces()
        opened = {piece.path for piece in pieces}
        self.choices = [
            Choice("concerts in this folder", path.name.removesuffix(CONCERT), "", path=path)
            for path in concerts_here(Path.cwd())
        ]
        self.choices += [
            Choice("opened before", piece.title, _who(piece), path=piece.path, entry=piece) for piece in pieces
        ]
        self.choices += [
            Choice("in this folder", path.name, "", path=path) for path in scores_here(Path.cwd()) if path not in opened
        ]
        self.choices += [Choice("samples", sample.title, sample.words, sample=sample.name) for sample in SAMPLES]
        self._draw()

    # Drawing.

    def _draw(self) -> None:
        if not self.query("#picture"):
            return
        colours: Palette = self.app.palette  # type: ignore[attr-defined]
        width, height = max(40, self.size.width), max(10, self.size.height) - 3
        self.chosen = max(0, min(self.chosen, len(self.choices) - 1))
        heading = Text(no_wrap=True).append(" Inbreath", style(colours.ink, bold=True))
        heading.truncate(width, pad=True)
        heading.stylize_before(f"on {colours.panel}")
        said = [line for text in WHAT for line in wrap(text, width - 2)]
        lines = [heading, *(Text(f" {line}", colours.ink) for line in said)]
        rows = self._rows(width, colours)
        at = next((row for row, (_, choice) in enumerate(rows) if choice == self.chosen), 0)
        self._places = {}
        for row in window(len(rows), at, max(1, height - len(lines))):
            text, choice = rows[row]
            if choice is not None:
                self._places[len(lines)] = choice
            lines.append(text)
        self.query_one("#picture", Static).update(stacked(lines, width))

    def _rows(self, width: int, colours: Palette) -> list[tuple[Text, int | None]]:
        rows: list[tuple[Text, int | None]] = []
        group = ""
        for position, choice in enumerate(self.choices):
            if choice.group != group:
                group = choice.group
                rows += [(Text(""), None), (Text(f" {group}", colours.faint), None)]
            chosen = position == self.chosen
            text = Text(no_wrap=True).append(" ▶ " if chosen else "   ", style(colours.ink, bold=True))
            text.append(choice.title, style(colours.ink, bold=chosen))
            text.append(f"   {choice.words}", colours.faint)
            text.truncate(width, pad=True, overflow="ellipsis")
            if chosen:
                text.stylize_before(f"on {colours.chosen}")
            rows.append((text, position))
        return rows

    # What the keys do.

    def action_move(self, by: int) -> None:
        """Another one of the list."""
        self.chosen += by
        self._draw()

    def on_click(self, event: Click) -> None:
        """A click chooses, on the chosen one it opens."""
        position = self._places.get(event.y)
        if position is None:
            return
        if position == self.chosen:
            self.action_open()
        self.chosen = position
        self._draw()

    def action_open(self) -> None:
        """Open the chosen one; a sample as a copy of one's own."""
        if not self.choices:
            return
        choice = self.choices[self.chosen]
        try:
            path = choice.path or own_copy(choice.sample)
        except InbreathError as error:
            self.app.show_error(error)  # type: ignore[attr-defined]
            return
        if path is None:
            self.query_one(Foot).say(
                f"The sample {choice.sample} did not come with this installation.", is_trouble=True
            )
            return
        # It is the first of the list when one comes back.
        self.chosen = 0
        self.app.open_score(path)  # type: ignore[attr-defined]

    def action_path(self) -> None:
        """Go to the line for a path."""
        self.query_one("#path", Input).focus()

    def action_leave(self) -> None:
        """Back from the line to the list."""
        self.set_focus(None)

    def action_complete(self) -> None:
        """Go on with the typed path as far as there is one way; say what there is where there are more."""
        line = self.query_one("#path", Input)
        line.focus()
        line.value = completed(line.value)
        line.cursor_position = len(line.value)
        names = [Path(path).name for path in completions(line.value)]
        if len(names) > 1:
            self.query_one(Foot).say("  ".join(names[:12]))
        elif not names:
            self.query_one(Foot).say("No score begins like that.")

    @on(Input.Submitted, "#path")
    def _typed(self, message: Input.Submitted) -> None:
        if message.value.strip():
            self.app.open_score(typed_path(message.value))  # type: ignore[attr-defined]

    def action_forget(self) -> None:
        """Remove the chosen piece from the list."""
        piece = self.choices[self.chosen].entry if self.choices else None
        if piece is None:
            return
        self.forgotten.append(piece)
        self.history.forget(piece.digest)
        self._fill()
        self.query_one(Foot).say(f"{piece.title} is removed from the list; its file stays. Ctrl+Z undoes it.")

    def undo_last(self) -> str:
        """Bring back the piece removed last."""
        if not self.forgotten:
            return ""
        piece = self.forgotten.pop()
        self.history.opened(piece.digest, piece.title, piece.path)
        if piece.player is not None:
            self.history.play_as(piece.digest, piece.player)
        self.history.left_at(piece.digest, piece.bar)
        self._fill()
        return f"{piece.title} is back."


def _who(piece: KnownPiece) -> str:
    who = f"player {piece.player}" if piece.player else "player not chosen"
    return f"{who}   {piece.path}"
