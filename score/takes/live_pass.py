"""A pass played along with the machine, judged from the strokes of a port or of keys: both go by one clock."""

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from score.piece import Piece
from score.strokes.heard_stroke import HeardStroke
from score.takes.expected_strokes import ExpectedPass, ExpectedStroke, expected_pass
from score.takes.judged_pass import JudgedPass
from score.takes.pad_delay_text import PadDelay
from score.time.pulse import PulseOptions, route_tempo_map
from score.time.route import Route

BEFORE, AFTER = 0.3, 0.35
"""Seconds before the music and after it that still belong to a pass."""
TAIL = 0.8
"""Seconds of sound after the music that belong to a pass: its last stroke may be late, and the sound takes its way."""
LEAST_STROKES = 8
"""Written strokes below which a pass that was broken off is not judged."""
_UNMEASURED = (
    "the delay of loudspeaker and instrument is not measured: all strokes together may stand some ms to one side "
    "(inbreath sound --hear --pad measures it)"
)


class LivePass(NamedTuple):
    """A pass along with the machine.

    Attributes:
        route: what was played.
        player: number of the player who is judged.
        pulse: the time it went in.
        begins: moment at which the music begins as it is heard, on the clock that stamps the strokes.
    """

    route: Route
    player: int
    pulse: PulseOptions
    begins: float

    def bars(self) -> range:
        """Indices of its bars."""
        bars = [visit.bar for visit in self.route.visits]
        return range(min(bars), max(bars) + 1)

    def expected(self, piece: Piece) -> ExpectedPass:
        """What is to be struck."""
        return expected_pass(piece, self.route, self.player, self.pulse)

    def ends(self, piece: Piece) -> float:
        """The moment at which the music ends."""
        return self.begins + route_tempo_map(piece, self.route, self.pulse).seconds(self.route.length)

    def until(self, piece: Piece, moment: float) -> "LivePass | None":
        """The bars of it that had passed at a moment, None when none had."""
        times = route_tempo_map(piece, self.route, self.pulse)
        passed = [
            visit
            for visit in self.route.visits
            if self.begins + times.seconds(visit.offset + visit.length) <= moment + 1e-6
        ]
        return self._replace(route=Route(tuple(passed))) if passed else None

    def after(self, piece: Piece, offset: float) -> "LivePass | None":
        """The bars of it from so many quarters of its route on, None when none begins there."""
        left = [visit for visit in self.route.visits if visit.offset >= offset - 1e-6]
        if not left:
            return None
        times = route_tempo_map(piece, self.route, self.pulse)
        first = left[0].offset
        route = Route(tuple(visit._replace(offset=visit.offset - first) for visit in left))
        return self._replace(route=route, begins=self.begins + times.seconds(first))


def judge_live(
    piece: Piece,
    live: LivePass,
    strokes: Sequence[HeardStroke],
    delay: PadDelay | None = None,
    today: date | None = None,
) -> JudgedPass | None:
    """Judge a pass; None where too little is written in it to say anything.

    Args:
        piece: the piece.
        live: the pass.
        strokes: what was heard, in order, on the clock of the pass.
        delay: what loudspeaker and instrument add, None where nobody has measured it.
        today: to say how old the delay is, None to leave that out.
    """
    # Whoever only follows a pass does without what judging loads.
    from score.takes.played_pass import judge_played

    expected = live.expected(piece)
    if len(expected.strokes) < LEAST_STROKES:
        return None
    last = live.begins + expected.seconds + AFTER
    inside = [
        stroke._replace(seconds=stroke.seconds - live.begins + BEFORE)
        for stroke in strokes
        if live.begins - BEFORE <= stroke.seconds <= last
    ]
    judgement = judge_played(expected, inside, delay.seconds if delay is not None else None, BEFORE)
    said = _UNMEASURED if delay is None else delay.words(today)
    return judgement._replace(remarks=(*judgement.remarks, said))


def nearest(expected: ExpectedPass, seconds: float, within: float) -> tuple[ExpectedStroke, float] | None:
    """The written stroke nearest to a moment of the music, and how late the moment is, milliseconds.

    Args:
        expected: what is to be struck.
        seconds: from the beginning of the music.
        within: seconds it may be away; None where no stroke is as near.
    """
    stroke = min(expected.strokes, key=lambda stroke: abs(stroke.seconds - seconds), default=None)
    if stroke is None or abs(stroke.seconds - seconds) > within:
        return None
    return stroke, 1000 * (seconds - stroke.seconds)
