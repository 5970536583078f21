"""Which bars stand in which system, and how they are drawn."""

from fractions import Fraction
from typing import NamedTuple

from score.memory.fade import Fade
from score.memory.faded_run import FadedRun, faded_run
from tui.drawing.bent_tempo import TempoCurve
from tui.drawing.palette import Palette
from tui.drawing.practice_layout import PracticeLayout, practice_layout
from tui.drawing.system_cells import System, SystemFacts, SystemShape, draw_system, gutter_of
from tui.drawing.time_grid import Page, divide
from tui.practice_facts import PracticeFacts


class PageTable(NamedTuple):
    """The pages of a chunk at one size of the screen.

    Attributes:
        pages: of what is practised.
        after: of the bars that follow.
        layout: rows of the screen.
        width: columns.
    """

    pages: tuple[Page, ...]
    after: tuple[Page, ...]
    layout: PracticeLayout
    width: int

    def page_of(self, position: int) -> int:
        """Number of the page that holds a bar, by its position among the bars."""
        return next((number for number, page in enumerate(self.pages) if position <= page.last), len(self.pages) - 1)

    def shown(self, page: int, turned: int, loop: bool) -> list[Page | None]:
        """What stands in each system, from the top, the small one last.

        Args:
            page: number of the page that is played.
            turned: how many pages were turned one after the other up to it.
            loop: whether the first page follows the last.
        """
        count, pages = len(self.layout.systems), self.pages
        if count == 1:
            coming = self._coming(page, 1, loop and len(pages) > 1) if self.layout.small else None
            return [pages[page], *([coming] if self.layout.small else [])]
        if len(pages) <= count:
            return [*pages, *(self._after(number) for number in range(count - len(pages)))]
        slots: list[Page | None] = [None] * count
        for ahead in range(count):
            slots[(turned + ahead) % count] = self._coming(page, ahead, loop)
        return slots

    def _coming(self, page: int, ahead: int, loop: bool) -> Page | None:
        number = page + ahead
        if number < len(self.pages):
            return self.pages[number]
        return self.pages[number % len(self.pages)] if loop else self._after(number - len(self.pages))

    def _after(self, number: int) -> Page | None:
        return self.after[number] if number < len(self.after) else None


def page_table(facts: PracticeFacts, width: int, height: int, heard: bool = False) -> PageTable:
    """Divide the bars once for a size of the screen; `heard` as in `practice_layout`."""
    columns = max(16, width - gutter_of(facts.needs, facts.names))
    count = len(facts.bars)
    layout = practice_layout(
        height, len(facts.run.lanes) - 1, facts.needs, stickings=facts.stickings, words=facts.words, heard=heard
    )
    pages = divide(facts.run, facts.player, columns, range(count))
    after = divide(facts.run, facts.player, columns, range(count, len(facts.run.bars)))
    return PageTable(pages, after, layout, width=width)


class SystemLook(NamedTuple):
    """What changes in a system while the bars stay.

    Attributes:
        muted: players who are silent.
        cursor: position of the bar at the cursor, -1 for none.
        marks: the group's marks, as in `SystemFacts`.
        cursor_at: as in `SystemFacts`.
        curve: as in `SystemFacts`.
        places: columns of moments where one's own staff is engraved, as in `SystemFacts`.
        fade: what is hidden, None for nothing.
    """

    muted: frozenset[int]
    cursor: int
    marks: tuple[tuple[Fraction, str], ...]
    cursor_at: Fraction | None = None
    curve: TempoCurve | None = None
    places: tuple[tuple[Fraction, int], ...] = ()
    fade: Fade | None = None


def system_of(
    facts: PracticeFacts, table: PageTable, page: Page, shape: SystemShape, look: SystemLook, colours: Palette
) -> System:
    """Draw a page as a system."""
    cue = facts.cue_on(facts.bars_of(page))
    faded = faded_run(facts.run, facts.player, facts.landmarks, look.fade) if look.fade else FadedRun(facts.run, ())
    what = SystemFacts(
        faded.run,
        page,
        facts.player,
        needs=facts.needs,
        names=facts.names,
        cue=cue.source if cue else 0,
        muted=look.muted,
        marks=look.marks,
        is_faded=page.first >= len(facts.bars),
        cursor=look.cursor,
        cursor_at=look.cursor_at,
        curve=look.curve,
        places=look.places,
        covers=faded.covers,
        are_others_hidden=look.fade is not None and not look.fade.cues,
    )
    return draw_system(what, shape, table.width, colours)
