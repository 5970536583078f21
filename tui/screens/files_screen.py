"""Writing files: parts, tracks, plan; with progress, and where they went."""

from datetime import datetime
from pathlib import Path
from typing import Any, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.screen import Screen
from textual.widgets import OptionList, ProgressBar, Static
from textual.widgets.option_list import Option
from textual.worker import get_current_worker

from score.errors import InbreathError
from score.plain_text import file_stem
from tui import clock
from tui.key_bindings import bindings
from tui.keys import READING
from tui.opening import OpeningStopped
from tui.output_folder import default_folder
from tui.screen_messages import Failed, Step, Written
from tui.screens.leaving import leave
from tui.session import Session
from tui.widgets.foot import Foot

KINDS = (
    ("parts", "parts for all players, MusicXML and PDF"),
    ("mine", "my part alone"),
    ("changed", "pages that have changed since the last print (PDF)"),
    ("score", "the score for all, with what you have agreed (PDF)"),
    ("tracks", "my practice tracks, a chunk each (mp3)"),
    ("plan", "the plan: sheet, Markdown, CSV, calendar"),
    ("setup", "the set-up: findings, what to bring, floor plan"),
)


NOTHING_NEW = "No page has changed since the last print."


class FilesScreen(Screen[None]):
    """Choose what to write; Escape stops."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("reading", READING)]
    EXPLAIN = "Enter writes the chosen files into a folder beside the score."

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.folder = default_folder(session.path)

    def compose(self) -> ComposeResult:
        """What can be written, progress, where it went."""
        yield Static("Write files", id="heading")
        yield OptionList(*(Option(words, id=kind) for kind, words in KINDS))
        yield Static(f"into {self.folder}", id="where", markup=False)
        yield Static("", id="step", markup=False)
        yield ProgressBar(total=1.0, show_eta=False)
        yield Foot()

    @on(OptionList.OptionSelected)
    def _selected(self, message: OptionList.OptionSelected) -> None:
        self.write(str(message.option.id))

    @work(thread=True, exclusive=True)
    def write(self, kind: str) -> None:
        """Write in a thread of its own."""
        worker = get_current_worker()

        def report(step: str, done: float) -> None:
            if worker.is_cancelled:
                raise OpeningStopped
            self.post_message(Step(step, done))

        try:
            files = _write(self.session, kind, self.folder, report)
        except OpeningStopped:
            return
        except InbreathError as error:
            self.post_message(Failed(error))
            return
        said = f"{len(files)} files are" if len(files) != 1 else f"{files[0].name} is"
        self.post_message(Written(f"{said} in {self.folder}" if files else NOTHING_NEW))

    @on(Step)
    def _step(self, message: Step) -> None:
        self.query_one("#step", Static).update(message.what)
        self.query_one(ProgressBar).update(progress=message.done)

    @on(Written)
    def _written(self, message: Written) -> None:
        self.query_one("#step", Static).update(message.where)
        self.query_one(ProgressBar).update(progress=1.0)

    def action_back(self) -> None:
        """Stop and go back."""
        self.workers.cancel_node(self)
        leave(self)


def _write(session: Session, kind: str, folder: Path, report: Any) -> list[Path]:
    if kind in ("parts", "mine", "changed"):
        return _parts(session, kind, folder, report)
    if kind == "score":
        return _score(session, folder, report)
    if kind == "setup":
        from score.setup.setup_check import check
        from score.setup.setup_texts import write_setup

        return list(write_setup(session.piece, check(session.piece, session.group), folder, file_stem(session.path)))
    if kind == "tracks":
        from score.prepare import prepare_tracks

        return list(
            prepare_tracks(
                session.reading,
                session.group,
                [chunk.chunk for chunk in session.chunks],
                folder,
                (session.me.number,),
                report,
            )
        )
    return _plan(session, folder)


def _parts(session: Session, kind: str, folder: Path, report: Any) -> list[Path]:
    from score.activity.from_group import agreed_marks
    from score.parts.cued_part import cue_name
    from score.parts.make_part import make_part
    from score.parts.paper import PageOptions
    from score.parts.prints import Prints
    from score.parts.uncued_part import uncued_part
    from score.parts.write_parts import PartOptions, cue_sheets, write_part
    from score.setup.player_notes import PlayerNotes, player_notes
    from score.time.from_group import pulse_options

    # One after another in this thread: starting processes from inside a running screen fails.
    pages = PageOptions(pulse=pulse_options(session.group, session.piece))
    options = PartOptions((session.me.number,) if kind == "mine" else (), pages=pages, changed=kind == "changed")
    sheets = cue_sheets(session.piece, options, session.group.cues)
    notes = player_notes(session.piece, session.group)
    marks = agreed_marks(session.group, session.piece, cue_name)
    files, prints = [], Prints(session.reading, folder, options.level, options.pages)
    for done, sheet in enumerate(sheets):
        report(f"engraving player {sheet.player}", done / len(sheets))
        blank, here = uncued_part(session.reading, sheet), notes.get(sheet.player, PlayerNotes())
        last = prints.last(sheet.player, apart=options.changed)
        part = make_part(blank, session.piece, sheet, options.pages, here, marks, last)
        prints.add(sheet.player, part.pages.printed)
        saved = write_part(session.reading, part, folder, options)
        if kind != "changed":
            files += [saved.musicxml, saved.pdf]
        elif saved.changed_pdf is not None:
            files.append(saved.changed_pdf)
    prints.write()
    return files


def _score(session: Session, folder: Path, report: Any) -> list[Path]:
    from score.parts.engraved_score import engraved_score
    from score.parts.score_jobs import ScoreOptions
    from score.parts.write_score import marks_over
    from score.writing import write_atomically

    report("engraving the score", 0.0)
    marks = marks_over(session.piece, session.group, [chunk.chunk for chunk in session.chunks])
    pages = engraved_score(session.reading, ScoreOptions(), marks)
    return [write_atomically(folder / f"{file_stem(session.path)}-score.pdf", pages.pdf)]


def _plan(session: Session, folder: Path) -> list[Path]:
    from score.errors import RequestError
    from score.plan.plan_of_piece import write_plan
    from tui.planning import plan_for, standings_of

    schedule = plan_for(session, standings_of(session), clock.today())
    if schedule is None:
        raise RequestError(
            "No plan", "the group's file gives no concert or no rehearsal to come", "press p on the overview to plan"
        )
    return list(write_plan(schedule, session.piece, folder, file_stem(session.path), datetime.now().astimezone()))
