"""The system that sounds and the one after it, engraved; where they cannot be shown, whoever holds them shows lanes."""

from collections.abc import Sequence
from fractions import Fraction

from textual.app import ComposeResult
from textual.containers import Vertical

from tui.drawing.palette import Palette
from tui.notation import Notation, ShownPicture
from tui.widgets.notation_view import NotationView

_LEAST_ROWS = 6
"""Rows below which a system cannot be read."""


class NotationPair(Vertical):
    """Two systems, one below the other; the second is fainter, and is left out where there is no room for it."""

    DEFAULT_CSS = "NotationPair { height: auto; } NotationPair #coming { margin-top: 1; }"

    def __init__(self, notation: Notation | None, *, id: str) -> None:  # noqa: A002  (the name every widget has)
        super().__init__(id=id)
        self._notation = notation
        self._now: ShownPicture | None = None
        self._key: tuple[object, ...] = ()
        self.display = False

    def compose(self) -> ComposeResult:
        """The system that sounds, and the next."""
        yield NotationView(id="sounding")
        yield NotationView(id="coming")

    @property
    def shown(self) -> ShownPicture | None:
        """The system that sounds, None while lanes must be shown instead."""
        return self._now

    def show(
        self, bars: range, coming: range | None, beats: Sequence[Fraction], size: tuple[int, int], colours: Palette
    ) -> bool:
        """Show these bars if they are drawn; ask for them if they are not.

        Args:
            bars: indices of the bars that sound.
            coming: the same of the next system, None when none follows.
            beats: where beats begin, quarters from the first bar's beginning.
            size: columns and rows there are.
            colours: of the screen.

        Returns:
            whether they are shown; lanes are wanted where they are not.
        """
        columns, rows = size
        self._now = self._picture(bars, columns, rows, colours.ink)
        self.display = self._now is not None
        if self._now is None:
            self._key = ()
            return False
        left = rows - self._now.picture.rows - 1
        faint = colours.dimmed(colours.ink, 0.55)
        following = self._picture(coming, columns, left, faint) if coming is not None and left >= _LEAST_ROWS else None
        self._fill(following, beats, colours)
        return True

    def light(self, at: Fraction | None) -> None:
        """Light the beat of a moment, quarters from the first bar's beginning; None for none."""
        if self._now is not None:
            self.query_one("#sounding", NotationView).light(None if at is None else self._now.column(at))

    def _picture(self, bars: range, columns: int, rows: int, ink: str) -> ShownPicture | None:
        return self._notation.picture(bars, columns, rows, ink) if self._notation is not None else None

    def _fill(self, following: ShownPicture | None, beats: Sequence[Fraction], colours: Palette) -> None:
        assert self._now is not None
        key = (self._now.image, following and following.image, tuple(beats), colours)
        if key == self._key:
            return
        self._key = key
        self.query_one("#sounding", NotationView).show(self._now, beats, colours.lit, colours.field)
        second = self.query_one("#coming", NotationView)
        second.display = following is not None
        if following is not None:
            second.show(following, (), colours.ground, colours.ground)
