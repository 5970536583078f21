"""Trying at the stand: ways to bend bars side by side, breaths, leads, looks and words, in a strip in place."""

from collections.abc import Callable, Mapping
from dataclasses import replace

from score.beats import Place
from score.errors import InbreathError
from score.group.group_edit import add_table
from score.group.group_file import group_path
from score.places import bar_name
from score.time.meter_beats import beats
from score.time.tries import Tries, Word
from tui.background import edit, take_back
from tui.drawing.bent_tempo import TempoCurve
from tui.screens.practice_hearing import PracticeHearing
from tui.screens.prompts import AskLine
from tui.session import Session
from tui.trying import (
    WORDS,
    MarkTry,
    mark_entry,
    mark_lines,
    moved_end,
    moved_end_beat,
    moved_top,
    proposed_mark,
    stamped,
    tempo_curve,
    tries_over,
    try_entry,
    try_lines,
)  # fmt: skip


class PracticeTries(PracticeHearing):
    """What the strip does; while it is open, digits, - and +, Enter and Escape belong to it."""

    def __init__(self, session: Session, chunk: int) -> None:
        super().__init__(session, chunk)
        self.tries: Tries | None = None
        self.mark: MarkTry | None = None
        self.beat = 0
        self.kept: list[Callable[[], None]] = []

    @property
    def has_strip(self) -> bool:
        """Whether the strip is open."""
        return self.tries is not None or self.mark is not None

    def strip_lines(self) -> tuple[str, ...]:
        """What the strip says, nothing while it is closed."""
        if self.mark is not None:
            return mark_lines(self.session, self.mark)
        return try_lines(self.session, self.tries) if self.tries is not None else ()

    def curve(self) -> TempoCurve | None:
        """The tempo of the try that is heard."""
        if self.tries is None or self.facts is None:
            return None
        start = self.session.piece.bars[self.facts.bars[0]].start
        try:
            return tempo_curve(self.session, self.tries, self.setting.tempo, start)
        except InbreathError:
            return None

    @property
    def cursor_beat(self) -> Place:
        """The beat at the cursor."""
        pulse = beats(self.session.piece.bars[self.cursor_bar])
        at = pulse[min(self.beat, len(pulse) - 1)].at if pulse else self.session.piece.bars[self.cursor_bar].length * 0
        return Place(self.cursor_bar, at)

    # Opening and closing.

    def action_try(self) -> None:
        """Open the strip for ways to bend bars, or a further try in it."""
        if self.facts is None:
            return
        if self.tries is not None:
            self._change_tries(lambda tries: tries.another())
            return
        self.mark = None
        cursor = self.cursor_beat if self.cursor >= 0 else None
        self.tries = tries_over(self.session, self.facts.bars, cursor, self.setting.own_loop)
        self._draw()

    def action_wait(self) -> None:
        """Try a wait before the beat at the cursor."""
        if self.facts is not None:
            self.mark, self.tries = None, tries_over(self.session, self.facts.bars, self.cursor_beat, None)
            self._change_tries(lambda tries: tries.word(Word.WAIT))

    def action_mark(self, kind: str) -> None:
        """Set a breath, a lead or a look at the beat at the cursor."""
        try:
            mark = proposed_mark(self.session, kind, self.cursor_beat)
        except InbreathError as error:
            self._say(error.line)
            return
        self._close_tries()
        self.mark = mark
        self._draw()

    def action_word(self) -> None:
        """A word to everybody, or to the player whose number comes first; while trying, a name for this try."""
        if self.tries is not None and self.tries.chosen:
            self.app.push_screen(AskLine("Name of this try", "lighter", self.tries.heard.name), self._named_try)
            return
        question = f"Word at bar {bar_name(self.session.piece, self.cursor_bar)}, to all or to a player"
        self.app.push_screen(AskLine(question, "softer, or: 2 softer"), self._typed_word)

    def _named_try(self, text: str | None) -> None:
        if text:
            self._change_tries(lambda tries: tries.named(text))

    def close_strip(self) -> None:
        """Close the strip; what was not kept is gone and the bars sound as before."""
        self.mark = None
        self._close_tries()
        self._draw()

    def _close_tries(self) -> None:
        self.tries = None
        if self.setting.trial is not None:
            self._set(replace(self.setting, trial=None))

    # While it is open.

    def strip_digit(self, number: int) -> None:
        """A word for the try that is heard, or the giver of a mark."""
        if self.mark is not None:
            if number in {player.number for player in self.session.piece.players}:
                self.mark = self.mark._replace(giver=number)
                self._describe()
        elif 1 <= number <= len(WORDS):
            self._change_tries(lambda tries: tries.word(WORDS[number - 1]))

    def strip_more(self, steps: int) -> None:
        """More or less of it."""
        self._change_tries(lambda tries: tries.more(steps))

    def action_try_end_beat(self, by: int) -> None:
        """Its end a beat later or earlier."""
        facts = self.facts
        if facts is not None:
            self._change_tries(lambda tries: moved_end_beat(self.session, tries, facts.bars, by))

    def action_try_end(self, by: int) -> None:
        """Its end a bar later or earlier."""
        facts = self.facts
        if facts is not None:
            self._change_tries(lambda tries: moved_end(self.session, tries, facts.bars, by))

    def action_try_top(self, by: int) -> None:
        """Its top a quarter later or earlier."""
        self._change_tries(lambda tries: moved_top(tries, by))

    def action_try_curve(self) -> None:
        """Its next curve."""
        self._change_tries(lambda tries: tries.next_curve())

    def action_try_next(self) -> None:
        """Hear the next try."""
        self._change_tries(lambda tries: tries.next())

    def action_try_written(self) -> None:
        """Hear it as written."""
        self._change_tries(lambda tries: tries.choose(0))

    def action_try_away(self) -> None:
        """Throw the try that is heard away."""
        self._change_tries(lambda tries: tries.thrown_away())

    def action_agree(self) -> None:
        """Keep what the strip holds as agreed."""
        self.strip_keep("agreed")

    def strip_keep(self, state: str = "tried") -> None:
        """Keep what the strip holds in the group's file."""
        try:
            if self.mark is not None:
                table, fields = self.mark.kind, mark_entry(self.session, self.mark)
            elif self.tries is not None:
                table, fields = try_entry(self.session, self.tries)
            else:
                return
        except InbreathError as error:
            self._say(error.line)
            return
        self._keep(table, fields, state)

    def undo_strip(self) -> str:
        """Take back the last change of the tries, or the last thing kept."""
        if self.tries is not None and self.tries.before is not None:
            self._change_tries(lambda tries: tries.undone())
            return "Last change of the try undone."
        if self.kept:
            take_back(self, self.kept.pop(), self._reload)
            return "Removed from the group's file again."
        return ""

    def _typed_word(self, text: str | None) -> None:
        if not text:
            return
        number, _, rest = text.partition(" ")
        numbers = {str(player.number) for player in self.session.piece.players}
        player = {"player": int(number)} if number in numbers and rest.strip() else {}
        words = rest.strip() if player else text
        bar = bar_name(self.session.piece, self.cursor_bar)
        self._keep("note", {"bar": bar, "text": words, **player}, "agreed")

    def _keep(self, table: str, fields: Mapping[str, object], state: str) -> None:
        path = group_path(self.session.path)
        values = stamped(self.session, fields, state)

        def written(undo: Callable[[], None]) -> None:
            self.kept.append(undo)
            self._say(f"{state.capitalize()}: {table}, in {path.name}. Ctrl+Z undoes it.")
            self.tries = self.mark = None
            self.setting = replace(self.setting, trial=None)
            self._reload()

        edit(self, self.session, lambda: add_table(path, table, values), written)

    def _reload(self) -> None:
        """The group's file has changed: marks and time anew, without a stop."""
        self._gather()
        self._set(self.setting)

    def _change_tries(self, change: Callable[[Tries], Tries]) -> None:
        if self.tries is None:
            return
        try:
            self.tries = change(self.tries)
        except InbreathError as error:
            self._say(error.line)
            return
        self._set(replace(self.setting, trial=self.tries.heard if self.tries.chosen else None))
        if not self.sound.is_on:
            self.sound.play()
        self._draw()
