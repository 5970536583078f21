"""Tries of the same bars side by side: as written, and up to five ways to bend them, changed while they are played.

Everything is a value: each change gives a new `Tries`, which remembers the one before. `bent` (in `tried_tempo`) turns
the try that is heard into options of time; a timeline made from them is swapped in at the next beat.

    tries = Tries(start, end).word(Word.BACK).more(2)      # the first try: held back, two steps more
    tries = tries.another().word(Word.TOP)                  # a second one beside it
    tries.heard, tries.next().heard, tries.undone()         # the second; as written; as it was before the change
    options = replace(options, pulse=bent(piece, pulse, tries.heard))
"""

from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

from score.errors import RequestError
from score.time.shapes import CURVES, LARGEST_PERCENT, Shape, ShapeKind

MOST_TRIES = 5


class Word(StrEnum):
    """What can be tried, in a player's words."""

    FORWARD = "lean forward"
    BACK = "hold back"
    TOP = "stretch the top"
    END = "stretch the end"
    WAIT = "wait before"
    SHORT = "cut the wait short"


_KINDS = {
    Word.FORWARD: ShapeKind.FORWARD,
    Word.BACK: ShapeKind.BACK,
    Word.TOP: ShapeKind.TOP,
    Word.END: ShapeKind.END,
}
_USUAL = {Word.TOP: 20.0, Word.END: 20.0, Word.WAIT: 0.5, Word.SHORT: 50.0}
_STEP = {Word.WAIT: 0.25, Word.SHORT: 10.0}
_MOST = {Word.WAIT: 10.0, Word.SHORT: 100.0}
"""Usual amounts, steps and largest amounts, seconds of a wait and percent of all else; 8, 2 and the largest shape."""


@dataclass(frozen=True, slots=True)
class Try:
    """One way to play some bars.

    Attributes:
        start, end: quarters from the beginning of the piece, in written order.
        word: what is done; None as written.
        amount: percent of the tempo, of the wait that is cut short, or seconds of a wait.
        top: where it goes furthest, quarters from the beginning of the piece; None for the usual place.
        curve: exponent of the shape.
        name: the players' own name for it.
    """

    start: Fraction
    end: Fraction
    word: Word | None = None
    amount: float = 0.0
    top: Fraction | None = None
    curve: float = CURVES["even"]
    name: str = ""

    @property
    def shape(self) -> Shape | None:
        """The shape it is, None for a wait and as written."""
        if self.kind is None:
            return None
        return Shape(self.kind, self.start, self.end, percent=self.amount, top=self.top, curve=self.curve)

    @property
    def kind(self) -> ShapeKind | None:
        """The kind of shape it is, None for a wait and as written."""
        return _KINDS.get(self.word) if self.word else None

    @property
    def words(self) -> str:
        """What is done and how much: "hold back 8 %"."""
        if self.word is None:
            return "as written"
        return f"{self.word} {self.amount:g} {'s' if self.word is Word.WAIT else '%'}"


@dataclass(frozen=True, slots=True)
class Tries:
    """Tries of the same bars, and which one is heard.

    Attributes:
        start, end: the bars, quarters from the beginning of the piece, in written order.
        tries: in the order they were begun.
        chosen: number of the one that is heard, from 1; 0 as written.
        before: these tries before the last change, None at first.
    """

    start: Fraction
    end: Fraction
    tries: tuple[Try, ...] = ()
    chosen: int = 0
    before: "Tries | None" = None

    @property
    def heard(self) -> Try:
        """The one that is heard."""
        return self.tries[self.chosen - 1] if self.chosen else Try(self.start, self.end)

    def another(self) -> "Tries":
        """A further try of the same bars, as written so far, and heard.

        Raises:
            RequestError: there are five.
        """
        if len(self.tries) >= MOST_TRIES:
            raise RequestError("Five tries", "more cannot be told apart by ear", "throw one away first")
        tries = (*self.tries, Try(self.start, self.end))
        return replace(self, tries=tries, chosen=len(tries), before=self)

    def taken(self, trial: Try) -> "Tries":
        """A further try as it was made elsewhere, and heard.

        Raises:
            RequestError: there are five.
        """
        return replace(self.another()._with(trial), before=self)

    def word(self, word: Word) -> "Tries":
        """Another word for the one that is heard, with its usual amount; as written it begins a try.

        Raises:
            RequestError: there are five.
        """
        tries = self if self.chosen else self.another()
        changed = replace(tries.heard, word=word, amount=_USUAL.get(word, 8.0), top=None)
        return replace(tries._with(changed), before=self)

    def more(self, steps: int) -> "Tries":
        """More of it, or with steps below 0 less."""
        if self.heard.word is None:
            return self
        step = _STEP.get(self.heard.word, 2.0)
        return self.set_to(max(step, self.heard.amount + steps * step))

    def set_to(self, amount: float) -> "Tries":
        """That much of it, no more than can be meant: percent, or seconds of a wait."""
        most = _MOST.get(self.heard.word, LARGEST_PERCENT) if self.heard.word else 0.0
        return self._with(replace(self.heard, amount=min(most, max(0.0, amount))))

    def to(self, start: Fraction, end: Fraction) -> "Tries":
        """Over these quarters, for the one that is heard; a top outside them is forgotten.

        Raises:
            RequestError: the end does not come after the beginning.
        """
        if end <= start:
            raise RequestError("Too short", "nothing is left of these beats", "leave one beat at least")
        top = self.heard.top if self.heard.top is not None and start < self.heard.top < end else None
        return self._with(replace(self.heard, start=start, end=end, top=top))

    def topped(self, top: Fraction | None) -> "Tries":
        """With its top there, kept inside it; None for the usual place."""
        heard = self.heard
        if top is not None:
            edge = (heard.end - heard.start) / 16
            top = min(max(top, heard.start + edge), heard.end - edge)
        return self._with(replace(heard, top=top))

    def next_curve(self) -> "Tries":
        """With the next curve in turn."""
        curves = list(CURVES.values())
        index = curves.index(self.heard.curve) if self.heard.curve in curves else -1
        return self._with(replace(self.heard, curve=curves[(index + 1) % len(curves)]))

    def named(self, name: str) -> "Tries":
        """With a name of the players' own."""
        return self._with(replace(self.heard, name=name.strip()))

    def next(self) -> "Tries":
        """The next one is heard: as written, first, second, and round again. Nothing changes, so nothing is undone."""
        return replace(self, chosen=(self.chosen + 1) % (len(self.tries) + 1))

    def choose(self, number: int) -> "Tries":
        """This one is heard, from 1; 0 as written."""
        return replace(self, chosen=min(max(0, number), len(self.tries)))

    def thrown_away(self) -> "Tries":
        """Without the one that is heard; what was written is heard."""
        if not self.chosen:
            return self
        rest = (*self.tries[: self.chosen - 1], *self.tries[self.chosen :])
        return replace(self, tries=rest, chosen=0, before=self)

    def undone(self) -> "Tries":
        """As before the last change; the same where nothing was changed."""
        return self.before or self

    def label(self, number: int) -> str:
        """What one is called, from 1; 0 as written: "2 hold back 8 %", "2 like a wave"."""
        if not number:
            return "as written"
        trial = self.tries[number - 1]
        return f"{number} {trial.name or trial.words}"

    def _with(self, changed: Try) -> "Tries":
        if not self.chosen or changed == self.heard:
            return self
        tries = (*self.tries[: self.chosen - 1], changed, *self.tries[self.chosen :])
        return replace(self, tries=tries, before=self)
