"""Questions about the piece, one after the other: think, turn over, answer; what was wrong comes again tomorrow."""

from collections.abc import Callable
from typing import ClassVar

from rich.text import Text
from textual.binding import BindingType
from textual.widgets import Static

from score.memory.question import Question
from score.places import bar_name, bars_name
from score.playback.sound_events import Timeline
from score.playback.sounding.sound_process import SoundProcess
from score.takes.heart_day import HeartDay
from tui import clock
from tui.background import beside
from tui.drawing.canvas import stacked
from tui.drawing.lane_sketch import Sketch, systems
from tui.drawing.palette import Palette
from tui.drawing.question_card import Card, card_lines
from tui.key_bindings import bindings
from tui.keys import QUESTIONS
from tui.memory_facts import day_by_heart, heard_timeline, keep_answer
from tui.screens.leaving import leave
from tui.screens.picture_screen import PictureScreen
from tui.session import Session
from tui.widgets.foot import Foot


class QuestionsScreen(PictureScreen):
    """Space shows the choices, a digit answers, space goes on."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("questions", QUESTIONS)]
    EXPLAIN = (
        "Every question has one right answer, repeats and jumps included. What you did not know comes again tomorrow, "
        "what you knew after one, two, four and seven days. Facts come back better when asked on several days; "
        "whether that carries to the hands is not shown."
    )

    def __init__(self, session: Session, questions: tuple[Question, ...] | None = None) -> None:
        super().__init__()
        self.session = session
        self.questions = questions
        self.place = 0
        self.is_open = False
        self.chosen = ""
        self.right = 0
        self.undos: list[Callable[[], None]] = []

    def on_mount(self) -> None:
        """Find what is due."""
        self._draw()
        if self.questions is None:
            beside(self, "questions", lambda: day_by_heart(self.session, clock.today()), self._begin)

    def _begin(self, day: HeartDay) -> None:
        self.questions = day.questions
        if day.passages:
            names = ", ".join(bars_name(self.session.piece, each.bars) for each in day.passages)
            self.query_one(Foot).say(f"Lost by heart: bars {names} come first; g on the overview goes there.")
        self._draw()

    @property
    def question(self) -> Question | None:
        """The one that is asked now."""
        questions = self.questions or ()
        return questions[self.place] if self.place < len(questions) else None

    def _draw(self) -> None:
        if not self.query("#picture"):
            return
        width = max(40, self.size.width)
        colours: Palette = self.app.palette  # type: ignore[attr-defined]
        heading = Text(f" Questions for {self.session.me.name}", f"bold {colours.ink}", no_wrap=True)
        heading.append(f"   {self._standing()}", colours.faint)
        heading.truncate(width, pad=True)
        heading.stylize_before(f"on {colours.panel}")
        self.query_one("#picture", Static).update(stacked([heading, Text(""), *self._lines(width, colours)], width))

    def _standing(self) -> str:
        if self.questions is None:
            return "looking for what is due ..."
        count = len(self.questions)
        asked = sum(question.is_scored for question in self.questions[: self.place + bool(self.chosen)])
        return (
            f"{min(self.place + 1, count)} of {count}   {self.right} of {asked} right"
            if count
            else "nothing is due today"
        )

    def _lines(self, width: int, colours: Palette) -> list[Text]:
        if self.question is not None:
            bar = bar_name(self.session.piece, self.question.bar)
            lines = card_lines(Card(self.question, self.is_open, self.chosen, bar=bar), width, colours)
            return [*lines, Text(""), *self._bars(width, len(lines), colours)] if self.chosen else lines
        if not self.questions:
            return []
        count = sum(question.is_scored for question in self.questions)
        wrong = count - self.right
        said = f"{self.right} of {count} right."
        said += f" {'The other comes' if wrong == 1 else 'The others come'} again tomorrow." if wrong else ""
        return [Text(f"  {said}", colours.ink)]

    def _bars(self, width: int, above: int, colours: Palette) -> list[Text]:
        """The bars the answer stands in, drawn for all players."""
        assert self.question is not None
        piece, own = self.session.piece, self.session.me.number
        bars = range(max(0, self.question.bar - 1), min(len(piece.bars), self.question.bar + 3))
        shown = Sketch(tuple(player.number for player in piece.players), own)
        return systems(piece, bars, shown, (width, self.size.height - above - 6), colours)

    # What the keys do.

    def action_turn_over(self) -> None:
        """Show the choices; after an answer, the next question."""
        if self.question is None:
            return
        if not self.is_open:
            self.is_open = True
        elif self.chosen:
            self.place, self.is_open, self.chosen = self.place + 1, False, ""
        self._draw()

    def action_hear(self) -> None:
        """Hear the bars that a question shows."""
        question = self.question
        if question is None or question.heard is None:
            self.query_one(Foot).say("Nothing of this question can be heard.")
        elif self._player is None:
            self.query_one(Foot).say("Sound is not running: the bars are said in the question.")
        else:
            beside(self, "timeline", lambda: heard_timeline(self.session, question), self._sound)

    def _sound(self, sounds: Timeline | None) -> None:
        if self._player is not None and sounds is not None:
            self._player.stop()
            self._player.load(sounds)
            self._player.loop(False)
            self._player.play()

    def on_unmount(self) -> None:
        """Fall silent; what the sound process has said meanwhile is nobody else's."""
        if self._player is not None:
            self._player.stop()
            self._player.reports()

    @property
    def _player(self) -> SoundProcess | None:
        return self.app.player  # type: ignore[attr-defined,no-any-return]

    def action_choose(self, number: int) -> None:
        """Answer."""
        question = self.question
        if question is None or not self.is_open or self.chosen or number > len(question.choices):
            return
        self.chosen = question.choices[number - 1]
        # An opinion is kept as right, so that it is asked no more often than what is known, but counts nowhere.
        is_right = self.chosen == question.answer or not question.is_scored
        kept = keep_answer(self.session, question, is_right)
        point = int(is_right and question.is_scored)
        self.right += point
        place = self.place

        def undo() -> None:
            self.session.history.take_answer_back(kept)
            self.place, self.is_open, self.chosen = place, True, ""
            self.right -= point
            self._draw()

        self.undos.append(undo)
        self._draw()

    def undo_last(self) -> str:
        """Take the last answer back."""
        if not self.undos:
            return ""
        self.undos.pop()()
        return "Last answer undone."

    def action_back(self) -> None:
        """Back to the overview."""
        leave(self)
