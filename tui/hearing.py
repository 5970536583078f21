"""Who hears the player on the practice screen, and what becomes of a pass: heard, judged beside the screen, kept."""

import time
from collections.abc import Callable
from enum import StrEnum
from itertools import count
from typing import Any, NamedTuple

from textual.screen import Screen

from score.errors import InbreathError
from score.playback.sounding.sound_messages import EarLost, PassTime, Report, Struck
from score.playback.sounding.stroke_ears import StrokeLog
from score.strokes.heard_stroke import KEY, MIDI, HeardStroke
from score.takes.expected_strokes import ExpectedPass
from score.takes.judged_pass import JudgedPass
from score.takes.kept_takes import KeptTakes, TakeOf
from score.takes.live_pass import AFTER, BEFORE, judge_live, nearest
from tui.background import beside
from tui.pass_facts import NOTHING_HEARD, PassFacts, WrittenPlace, pass_facts
from tui.pass_watch import Passed, PassWatch
from tui.practice_sound import PracticeSound
from tui.session import Session

_SHOWN_TAKES = 40
_NEAR = 0.15
"""Seconds between a stroke and the written one it lights."""
_JOBS = count()


class EarKind(StrEnum):
    """What hears the player."""

    NOBODY = "nobody"
    KEYS = "tapped keys"
    MIDI = "MIDI"


class EarChoice(NamedTuple):
    """What the player has chosen to be heard by.

    Attributes:
        kind: what it is.
        port: name of a MIDI port, "" for none.
    """

    kind: EarKind
    port: str = ""

    def words(self) -> str:
        """For a list and for the foot."""
        return f"MIDI: {self.port}" if self.kind is EarKind.MIDI else self.kind.value


NOBODY = EarChoice(EarKind.NOBODY)


class KeptPass(NamedTuple):
    """A pass that was judged and kept.

    Attributes:
        number: of it in the history.
        whole: whether it was played from beginning to end.
        what: over what it was played.
        judged: what came of it.
    """

    number: int
    whole: bool
    what: TakeOf
    judged: JudgedPass


class Lit(NamedTuple):
    """A written stroke that has just been struck.

    Attributes:
        place: its bar and place.
        offset_ms: how late, milliseconds; negative is early.
    """

    place: WrittenPlace
    offset_ms: float


class PassHearing:
    """Hears the passes of one practice screen.

    Args:
        screen: whose keys must not wait.
        session: the opened piece.
        sound: what sounds.
        told: called with a pass that was kept.
    """

    def __init__(
        self, screen: Screen[Any], session: Session, sound: PracticeSound, told: Callable[[KeptPass], None]
    ) -> None:
        self._screen, self._session, self._sound, self._told = screen, session, sound, told
        self._watch = PassWatch(sound.sent)
        self.choice = recalled_ear(session)
        self.facts = NOTHING_HEARD
        self._log = StrokeLog()
        self._struck: list[HeardStroke] = []
        self._expected: ExpectedPass | None = None
        self._begins = 0.0

    @property
    def is_on(self) -> bool:
        """Whether anybody is to hear the player."""
        return self.choice.kind is not EarKind.NOBODY

    @property
    def takes(self) -> KeptTakes:
        """The passes that were kept."""
        return KeptTakes(self._session.history)

    def choose(self, choice: EarChoice) -> None:
        """Be heard by another ear from now on, or by nobody; says so in one line."""
        self.close()
        self.choice = choice
        self._session.history.remember("ear", f"{choice.kind.value} {choice.port}".strip())
        self.open()
        self._say(f"{choice.words()}: heard while a pass plays." if self.is_on else "Nobody hears you.")

    def open(self) -> None:
        """Open the ear that is chosen."""
        if self.choice.kind is EarKind.MIDI and self._sound.player is not None:
            self._sound.player.listen(self.choice.port)

    def close(self) -> None:
        """Give the ear back."""
        if self.choice.kind is EarKind.MIDI and self._sound.player is not None:
            self._sound.player.listen()
        self._expected, self._struck = None, []

    def tapped(self, moment: float) -> bool:
        """A key was tapped at a moment of `time.perf_counter`; gives back whether anybody heard it."""
        if self.choice.kind is not EarKind.KEYS or self._watch.passing() is None:
            return False
        self._hear(HeardStroke(moment, source=KEY))
        return True

    def _hear(self, stroke: HeardStroke) -> None:
        self._log.add(stroke)
        self._struck.append(stroke)

    def gather(self, bars: range) -> None:
        """Look up what was heard of some bars before."""
        session = self._session

        def look() -> PassFacts:
            takes = self.takes.of(session.piece.digest, session.me.number, bars, latest=_SHOWN_TAKES)
            return pass_facts(session.piece, takes)

        beside(self._screen, "heard", look, self._gathered)

    def _gathered(self, facts: PassFacts) -> None:
        self.facts = facts
        self._screen.heard_facts(facts)  # type: ignore[attr-defined]

    def report(self, report: Report) -> None:
        """Take a report of the sound process."""
        passed = self._watch.hear(report, time.perf_counter())
        if isinstance(report, Struck):
            self._hear(report.stroke)
        elif isinstance(report, EarLost):
            self.choice = NOBODY
            self._say(report.text, is_trouble=True)
        elif isinstance(report, PassTime):
            self._expect()
        if passed is not None and self.is_on:
            self._expected = None
            # The last stroke may come late.
            self._screen.set_timer(AFTER + 0.05, lambda: self._judge(passed))

    def _expect(self) -> None:
        """What the pass that goes on asks for, for the light."""
        passing = self._watch.passing()
        if passing is None or not self.is_on:
            return
        session = self._session
        self._begins = passing.begins

        def expect() -> ExpectedPass | None:
            live = passing.live(session.piece, session.me.number)
            return live.expected(session.piece) if live is not None else None

        def expected(answer: ExpectedPass | None) -> None:
            self._expected = answer

        beside(self._screen, "expected", expect, expected)

    def lit(self) -> list[Lit]:
        """Written strokes struck since the last call, for the light."""
        strokes, self._struck = self._struck, []
        expected = self._expected
        if expected is None or self._watch.passing() is None:
            return []
        places = [nearest(expected, stroke.seconds - self._begins, _NEAR) for stroke in strokes]
        return [Lit((near.bar, near.at), away) for near, away in filter(None, places)]

    def _judge(self, passed: Passed) -> None:
        source = MIDI if self.choice.kind is EarKind.MIDI else KEY
        strokes = self._log.between(passed.times[0].moment - BEFORE, time.perf_counter())
        tempo = passed.sent[-1].setting.tempo

        def judge() -> KeptPass | None:
            return self._kept(passed, strokes, source, tempo)

        # Each pass is a job of its own: none may push another out of the line.
        beside(self._screen, f"judge {next(_JOBS)}", judge, self._judged, self._refused)
        self._log.forget(passed.times[0].moment)

    def _kept(self, passed: Passed, strokes: tuple[HeardStroke, ...], source: str, tempo: float) -> KeptPass | None:
        session = self._session
        piece, player = session.piece, session.me.number
        live = passed.live(piece, player)
        if live is None or (passed.stopped is not None and not strokes):
            return None
        judged = judge_live(piece, live, strokes)
        if judged is None:
            return None
        what = TakeOf(piece.digest, player, live.bars(), tempo=tempo, source=source)
        return KeptPass(self.takes.keep(what, judged), passed.stopped is None, what, judged=judged)

    def _judged(self, kept: KeptPass | None) -> None:
        if kept is not None:
            self._told(kept)

    def _say(self, text: str, is_trouble: bool = False) -> None:
        self._screen.app.say(text, is_trouble=is_trouble)  # type: ignore[attr-defined]

    def _refused(self, error: InbreathError) -> None:
        self._say(error.line, is_trouble=True)


def recalled_ear(session: Session) -> EarChoice:
    """The ear that was chosen last, on this computer."""
    kept = session.history.recall("ear")
    for kind in EarKind:
        if kept == kind.value or kept.startswith(f"{kind.value} "):
            return EarChoice(kind, kept[len(kind.value) + 1 :])
    return NOBODY
