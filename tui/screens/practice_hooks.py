"""What the practice screen can be told to show besides notation and head: nothing, until somebody says otherwise."""

from fractions import Fraction

from textual.screen import Screen

from score.memory.fade import Fade
from tui.drawing.bent_tempo import TempoCurve
from tui.drawing.practice_head import HeadFacts
from tui.drawing.system_cells import System
from tui.heard_pass import KeptPass
from tui.widgets.cells_view import CellsView


class PracticeHooks(Screen[None]):
    """Asked by the stage while it draws and follows."""

    def sound_ready(self) -> None:
        """What follows the sound can begin."""

    def more_of_head(self, facts: HeadFacts) -> HeadFacts:
        """What the head says besides."""
        return facts

    @property
    def shows_when(self) -> bool:
        """Whether systems have rows for what was early or late."""
        return False

    def show_when(self, number: int, system: System | None = None, rows: int = 0) -> None:
        """Show what was early or late under a system; nothing where it has no rows for it."""
        self.query_one(f"#when-{number}", CellsView).show(None)

    def show_struck(self) -> None:
        """Show what was just struck, before anything else that has come with it."""

    def strip_lines(self) -> tuple[str, ...]:
        """What a strip over the notation says, nothing while there is none."""
        return ()

    def curve(self) -> TempoCurve | None:
        """A tempo curve over the bars, None for none."""
        return None

    def more_marks(self) -> tuple[tuple[Fraction, str], ...]:
        """Marks over the bars besides the group's: quarters from the beginning of the run, and what stands there."""
        return ()

    def fade(self) -> Fade | None:
        """What of the notation is hidden, None for nothing."""
        return None

    def fade_words(self) -> str:
        """What the foot says of it."""
        return ""

    def last_words(self) -> str:
        """What the foot says of the last pass."""
        return ""

    def pass_over(self) -> None:
        """A pass has ended; another may have begun."""

    def was_part_seen(self, ended: bool = True) -> bool:
        """Whether one's part was in sight in the pass that ended last, or in the one that goes on."""
        return True

    def pass_kept(self, kept: KeptPass) -> None:
        """A pass was judged and kept."""

    def pass_forgotten(self) -> None:
        """The last pass that was kept counts no more."""
