"""The set-up check on the screen: one's own findings first, Enter to the bar; below, everything else it says."""

from dataclasses import replace
from textwrap import wrap
from typing import ClassVar

from rich.text import Text
from textual.binding import BindingType
from textual.widgets import Static

from score.errors import InbreathError
from score.plain_text import file_stem, several
from score.setup.finding import Finding
from score.setup.setup_check import SetupReport, check, suggested_stickings
from score.setup.setup_texts import setup_text, write_setup
from score.setup.suggested_stickings import stickings_text
from tui.background import beside
from tui.drawing.canvas import stacked
from tui.drawing.palette import Palette
from tui.drawing.setup_picture import finding_lines, findings_map, own_first
from tui.key_bindings import bindings
from tui.keys import SETUP
from tui.output_folder import default_folder
from tui.screens.leaving import leave
from tui.screens.picture_screen import PictureScreen
from tui.session import Session, reread
from tui.widgets.foot import Foot


class SetupScreen(PictureScreen):
    """The findings as a list over the piece; further down everything else the check says."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("setup", SETUP)]
    EXPLAIN = (
        "× cannot be done, ! tight, · to know. Enter goes to the bar. Limits, shared instruments, sizes and places are "
        "in the group's file; r checks again after editing it. h shows suggested stickings for your part."
    )

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.report: SetupReport | None = None
        self.findings: tuple[Finding, ...] = ()
        self.chosen = 0
        self.below: tuple[str, ...] = ("Checking ...",)
        self.stickings = False
        self.top = 0

    def on_mount(self) -> None:
        """Check."""
        self._check()

    def _check(self) -> None:
        self.stickings = False
        beside(self, "answer", self._report, self._show_report, self._refused)

    def _report(self) -> tuple[SetupReport, str]:
        report = check(self.session.piece, self.session.group)
        return report, setup_text(self.session.piece, replace(report, findings=(), cautions=()))

    def _show_report(self, answer: tuple[SetupReport, str]) -> None:
        self.report, text = answer
        self.findings = own_first(self.report.findings, self.session.me.number)
        # Where there are findings, the text must not say that there is no problem.
        lines = text.split("\n")
        self.below = tuple(line for line in lines if line != "No problems." or not self.findings)
        self.chosen = min(self.chosen, max(0, len(self.findings) - 1))
        self.top = 0
        self._draw()

    def _refused(self, error: InbreathError) -> None:
        self.report, self.findings, self.below = None, (), (error.line,)
        self._draw()

    # Drawing.

    @property
    def _colours(self) -> Palette:
        return self.app.palette  # type: ignore[attr-defined,no-any-return]

    def _draw(self, follow: bool = True) -> None:
        """Draw; so that the chosen finding is in sight, unless one is reading elsewhere."""
        if not self.query("#picture"):
            return
        width, height = max(40, self.size.width), max(10, self.size.height) - 2
        above = [
            self._heading(width),
            *findings_map(self.session.piece, self.findings, self.session.me.number, width, self._colours).split("\n"),
        ]
        lines, first, last = self._lines(width)
        room = height - len(above)
        if follow and self.chosen:
            self.top = min(max(self.top, last - room), first)
        self.top = max(0, min(self.top, len(lines) - room))
        shown = above + lines[self.top : self.top + room]
        self.query_one("#picture", Static).update(stacked(shown, width))

    def _heading(self, width: int) -> Text:
        heading = Text(no_wrap=True).append(" Set-up", f"bold {self._colours.ink}")
        mine = sum(finding.player == self.session.me.number for finding in self.findings)
        count = f"{several(len(self.findings), 'finding')}, {mine} of yours"
        heading.append(f"   {count}" if self.findings else "", self._colours.faint)
        heading.truncate(width, pad=True)
        heading.stylize_before(f"on {self._colours.panel}")
        return heading

    def _lines(self, width: int) -> tuple[list[Text], int, int]:
        """Cautions, findings and the rest, and which lines the chosen finding takes."""
        colours = self._colours
        lines, first, last = [], 0, 0
        cautions = self.report.cautions if self.report is not None and not self.stickings else ()
        for caution in cautions:
            lines += [Text(f" {line}", colours.caution) for line in wrap(caution, width - 2)]
        for position, finding in enumerate(() if self.stickings else self.findings):
            chosen = position == self.chosen
            entry = finding_lines(self.session.piece, finding, width, colours, chosen)
            if chosen:
                first, last = len(lines), len(lines) + len(entry)
            lines += entry
        for line in self.below:
            lines += [
                Text(f" {part}", colours.ink) for part in (wrap(line, width - 2, subsequent_indent="    ") or [""])
            ]
        return lines, first, last

    # What the keys do.

    def action_move(self, by: int) -> None:
        """Another finding; after the last one the rest of the text."""
        at_end = by > 0 and self.chosen == len(self.findings) - 1
        if self.stickings or not self.findings or at_end:
            self.action_scroll(by)
            return
        self.chosen = min(max(0, self.chosen + by), len(self.findings) - 1)
        self.top = 0 if not self.chosen else self.top
        self._draw()

    def action_scroll(self, by: int) -> None:
        """Read on, wherever the chosen finding is."""
        self.top += by
        self._draw(follow=False)

    def action_page(self, by: int) -> None:
        """A screen further."""
        self.action_scroll(by * max(1, self.size.height - 8))

    def action_practise(self) -> None:
        """Practise from the finding's bar on."""
        from tui.screens.practice_screen import PracticeScreen

        if self.findings and not self.stickings:
            self.session.bar = self.findings[self.chosen].bar
            self.app.push_screen(PracticeScreen(self.session, self.session.chunk_at(self.session.bar)))

    def action_again(self) -> None:
        """Read the group's file and check again."""
        beside(self, "reread", lambda: reread(self.session), lambda _: self._check())

    def action_stickings(self) -> None:
        """Suggested stickings for the player's own part, or the check again."""
        if self.stickings:
            self._check()
            return
        beside(self, "answer", self._suggested, self._show_stickings, self._refused)

    def _suggested(self) -> str:
        piece, player = self.session.piece, self.session.me
        text = stickings_text(piece, player, suggested_stickings(piece, self.session.group, player))
        return f"Suggested stickings, {player.name}\n\n{text}"

    def _show_stickings(self, text: str) -> None:
        self.stickings, self.below, self.top = True, tuple(text.split("\n")), 0
        self._draw()

    def action_write_setup(self) -> None:
        """Write findings, gear list and plan."""
        if self.report is None:
            return
        folder, report, stem = default_folder(self.session.path), self.report, file_stem(self.session.path)
        beside(
            self,
            "files",
            lambda: write_setup(self.session.piece, report, folder, stem),
            lambda files: self.query_one(Foot).say(f"{len(files)} files are in {folder}"),
        )

    def action_back(self) -> None:
        """Back."""
        leave(self)
