"""One's own staff as engraved notation on the practice screen, where the terminal can show pictures."""

from fractions import Fraction

from tui.drawing.palette import Palette
from tui.drawing.system_cells import SystemShape
from tui.drawing.time_grid import Page
from tui.notation import Notation
from tui.practice_facts import PracticeFacts
from tui.practice_notation import PicturedSystem, engraved_system
from tui.screens.practice_hooks import PracticeHooks
from tui.widgets.notation_view import NotationView


class PracticeEngraving(PracticeHooks):
    """The pictures of the systems, each by its number from the top."""

    def __init__(self) -> None:
        super().__init__()
        self.engraved: dict[int, PicturedSystem] = {}

    @property
    def notation(self) -> Notation | None:
        """Who draws engraved notation, where the terminal can show it."""
        return self.app.notation  # type: ignore[attr-defined,no-any-return]

    @property
    def _colours(self) -> Palette:
        return self.app.palette  # type: ignore[attr-defined,no-any-return]

    def _engrave(
        self, number: int, facts: PracticeFacts, page: Page | None, shape: SystemShape, width: int
    ) -> PicturedSystem | None:
        """Show one's own staff engraved, where that can be; without a page, nothing."""
        self.engraved.pop(number, None)
        if self.notation is None:
            return None
        view, colours = self.query_one(f"#notation-{number}", NotationView), self._colours
        engraved = None
        if page is not None:
            engraved = engraved_system(self.notation, facts, page, shape, width, colours, self.fade())
        view.display = engraved is not None
        if engraved is not None:
            self.engraved[number] = engraved
            view.show(engraved.shown, engraved.beats, colours.lit, colours.field, engraved.rows)
        return engraved

    def _light_engraved(self, number: int, at: Fraction | None) -> None:
        """Light the beat of a moment in an engraved system, None for no beat."""
        if (engraved := self.engraved.get(number)) is not None:
            column = engraved.column(at) if at is not None else None
            self.query_one(f"#notation-{number}", NotationView).light(column)
