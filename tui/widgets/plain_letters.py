"""Plain letters on the way to the terminal."""

from rich.segment import Segment
from textual.color import Color
from textual.filter import LineFilter

from tui.drawing.letters import plain


class PlainLetters(LineFilter):
    """Changes every sign of the screens, frames and bars included, to a plain letter of the same width."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """The segments in plain letters; their styles stay."""
        return [Segment(plain(text), style, control) for text, style, control in segments]
