"""Entries without a leader: who might lead each and why; accepted, changed or left out one by one."""

from collections.abc import Callable
from typing import ClassVar

from rich.text import Text
from textual.binding import BindingType
from textual.widgets import Static

from score.activity.entry_proposals import EntryProposal
from score.activity.from_group import check_marks
from score.beats import Place
from score.group.group_edit import add_table
from score.group.group_file import group_path
from tui.background import beside, edit, take_back
from tui.drawing.canvas import stacked
from tui.drawing.chunk_rows import window
from tui.drawing.lane_sketch import Sketch, systems
from tui.drawing.palette import Palette
from tui.drawing.proposal_rows import proposal_rows, proposal_sentence
from tui.key_bindings import bindings
from tui.keys import PROPOSALS
from tui.proposal_facts import entry_mark, everybodys_sight, open_entries, place_words, proposal_row
from tui.screens.leaving import leave
from tui.screens.picture_screen import PictureScreen
from tui.session import Session
from tui.trying import MARK_WORDS, mark_entry, stamped
from tui.widgets.foot import Foot


class ProposalsScreen(PictureScreen):
    """Up and down go from place to place; a digit takes another player, Enter writes the mark as tried."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("proposals", PROPOSALS)]
    EXPLAIN = (
        "Places where you come in together after a silence, a fermata or a caesura, or where the tempo changes, and "
        "nobody leads yet. The player named is only a suggestion: whoever moves first, then whoever has the tune, then "
        "whoever everybody can see. What you accept is marked as tried until the group agrees to it."
    )

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.proposals: tuple[EntryProposal, ...] | None = None
        self.in_sight: frozenset[int] | None = None
        self.givers: dict[Place, int] = {}
        self.chosen = 0
        self.undos: list[Callable[[], None]] = []
        self.in_writing: list[Place] = []

    def on_mount(self) -> None:
        """Find the places."""
        self._draw()
        self.renew()

    def on_screen_resume(self) -> None:
        """A mark that was refused is open again."""
        if self.proposals is not None:
            self.in_writing.clear()
            self.renew()

    def renew(self) -> None:
        """What is open now."""
        beside(self, "entries", self._open, self._show)

    def _open(self) -> tuple[EntryProposal, ...]:
        if self.in_sight is None:
            # The set-up takes long, and marks do not move it.
            self.in_sight = everybodys_sight(self.session.piece, self.session.group)
        return open_entries(self.session.piece, self.session.group, self.in_sight)

    def _show(self, proposals: tuple[EntryProposal, ...]) -> None:
        # What is being written may still be open in a list that was asked for before.
        self.proposals = tuple(each for each in proposals if each.place not in self.in_writing)
        self.chosen = min(self.chosen, max(0, len(self.proposals) - 1))
        self._draw()

    # Drawing.

    def _draw(self) -> None:
        if not self.query("#picture"):
            return
        width, height = max(40, self.size.width), max(10, self.size.height) - 2
        colours: Palette = self.app.palette  # type: ignore[attr-defined]
        heading = Text(" Entries without a leader", f"bold {colours.ink}", no_wrap=True)
        heading.append(f"   {self._standing()}", colours.faint)
        heading.truncate(width, pad=True)
        heading.stylize_before(f"on {colours.panel}")
        self.query_one("#picture", Static).update(stacked([heading, Text(""), *self._lines(width, height - 2)], width))

    def _standing(self) -> str:
        if self.proposals is None:
            return "looking through the piece ..."
        return f"{len(self.proposals)} open" if self.proposals else "none: somebody leads every one"

    def _lines(self, width: int, height: int) -> list[Text]:
        """The list, the chosen place in a sentence, and its bars."""
        proposal, proposals = self.proposal, self.proposals or ()
        if proposal is None:
            return []
        colours: Palette = self.app.palette  # type: ignore[attr-defined]
        piece = self.session.piece
        high = len(piece.players) + 1
        rows = [proposal_row(piece, each, self._giver(each)) for each in proposals]
        sentence = proposal_sentence(rows[self.chosen], width, colours)
        shown = window(len(rows), self.chosen, max(1, height - high - len(sentence) - 2))
        lines = [proposal_rows(rows, self.chosen, width, colours)[position] for position in shown]
        lines += [Text(""), *sentence, Text("")]
        bars = range(max(0, proposal.place.bar - 1), min(len(piece.bars), proposal.place.bar + 3))
        sketch = Sketch(tuple(p.number for p in piece.players), self.session.me.number, self._giver(proposal))
        return lines + systems(piece, bars, sketch, (width, height - len(lines)), colours)

    @property
    def proposal(self) -> EntryProposal | None:
        """The chosen one."""
        return self.proposals[self.chosen] if self.proposals else None

    def _giver(self, proposal: EntryProposal) -> int:
        return self.givers.get(proposal.place, proposal.leader)

    # What the keys do.

    def action_move(self, by: int) -> None:
        """Another place."""
        if self.proposals:
            self.chosen = min(max(0, self.chosen + by), len(self.proposals) - 1)
            self._draw()

    def action_giver(self, number: int) -> None:
        """Another player leads the chosen one."""
        if self.proposal is None:
            return
        if number not in {player.number for player in self.session.piece.players}:
            self.query_one(Foot).say(f"There is no player {number}.", is_trouble=True)
            return
        self.givers[self.proposal.place] = number
        self._draw()

    def action_accept(self) -> None:
        """Keep the chosen one in the group's file, as tried."""
        proposal = self.proposal
        if proposal is not None:
            mark = entry_mark(self.session.piece, proposal, self._giver(proposal))
            said = f"Tried: {mark.giver} {MARK_WORDS[mark.kind]}, {place_words(self.session.piece, proposal.place)}"
            self._keep(proposal, "tried", said)

    def action_nobody(self) -> None:
        """Leave the chosen one to itself: the group's file says so, and it is not listed again."""
        proposal = self.proposal
        if proposal is not None:
            self._keep(proposal, "dropped", f"Nobody leads {place_words(self.session.piece, proposal.place)}")

    def _keep(self, proposal: EntryProposal, state: str, said: str) -> None:
        session, path = self.session, group_path(self.session.path)
        mark = entry_mark(session.piece, proposal, self._giver(proposal))
        values = stamped(session, mark_entry(session, mark), state)

        def written(undo: Callable[[], None]) -> None:
            self.in_writing = [place for place in self.in_writing if place != proposal.place]
            self.undos.append(undo)
            self.query_one(Foot).say(f"{said}. Ctrl+Z undoes it.")
            self.renew()

        # Gone from the list at once, so that a second Enter is for the next one.
        self.in_writing.append(proposal.place)
        self._show(self.proposals or ())
        edit(
            self,
            session,
            lambda: add_table(path, mark.kind, values),
            written,
            lambda: check_marks(session.group, session.piece),
        )

    def undo_last(self) -> str:
        """Take back the last mark."""
        if not self.undos:
            return ""
        take_back(self, self.undos.pop(), self.renew)
        return "Removed from the group's file again."

    def action_back(self) -> None:
        """Back to the overview."""
        leave(self)
