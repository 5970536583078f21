"""Where the music falls in a pass that was heard, and the machine's other players bent to it.

Along with the machine it falls where it was due, delay and clocks that run apart in it; in free time where the player
struck.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from score.errors import RequestError
from score.piece import Piece
from score.playback.bent_timeline import SecondsMap, bent_timeline
from score.playback.click import Thinning
from score.playback.sound_events import Timeline
from score.playback.timeline import PlayOptions, timeline
from score.takes.expected_strokes import ExpectedPass, ExpectedStroke, expected_pass
from score.takes.judged_pass import JudgedPass, JudgedStroke
from score.time.pulse import PulseOptions
from score.time.route import Route

TAIL = 1.5
"""Seconds in which the last sounds ring out."""
_MOST_BEFORE = 2.0
"""Seconds of music before the recording's beginning that are played: a file cut at its first stroke lacks no others."""
_LEAST_RATE = 0.2
_AT_AN_END = 8
"""Strokes that tell the tempo at either end."""


class PassOver(NamedTuple):
    """What a pass was played over.

    Attributes:
        route: the bars.
        player: number of the player who was heard.
        pulse: the time they are in.
    """

    route: Route
    player: int
    pulse: PulseOptions

    def expected(self, piece: Piece) -> ExpectedPass:
        """What was to be struck."""
        return expected_pass(piece, self.route, self.player, self.pulse)


def in_step(expected: ExpectedPass, judged: JudgedPass) -> SecondsMap:
    """Seconds of the recording for seconds of the music.

    Args:
        expected: what was to be struck.
        judged: what became of it.

    Raises:
        RequestError: the pass could not be judged, so nobody knows where it stands.
    """
    moments = _where_struck if judged.is_in_free_time else _where_due
    points = list(_rising(sorted(moments(placed_strokes(expected, judged)))))
    if not judged.judged or not points:
        why = judged.why or "nothing was heard in it"
        raise RequestError("Nobody knows where the others belong", why, "play back a pass that could be judged")
    return SecondsMap(_to_the_ends(points, expected.seconds))


def placed_strokes(expected: ExpectedPass, judged: JudgedPass) -> Iterator[tuple[ExpectedStroke, JudgedStroke]]:
    """What is written at the place of each judged stroke, and that stroke; where nothing is written it is left out."""
    due = {(stroke.bar, stroke.at, stroke.turn): stroke for stroke in expected.strokes}
    for stroke in judged.strokes:
        written = due.get((stroke.bar, stroke.at, stroke.turn))
        if written is not None:
            yield written, stroke


def others_in_step(piece: Piece, over: PassOver, moved: SecondsMap, seconds: float) -> Timeline:
    """Everybody else as they belong to a recording: its second 0 is the timeline's `starts`.

    Args:
        piece: the piece.
        over: what was played.
        moved: seconds of the recording for seconds of the music, from `in_step`.
        seconds: length of the recording; nothing is played beyond it but for what still rings.
    """
    before = min(_MOST_BEFORE, max(0.0, -moved(0.0)))
    others = frozenset(player.number for player in piece.players) - {over.player}
    sounds = timeline(piece, over.route, PlayOptions(over.pulse, others, Thinning.NONE, count_in=0))
    bent = bent_timeline(sounds, moved.later(before))
    end = before + seconds
    return replace(
        bent,
        strikes=tuple(strike for strike in bent.strikes if 0.0 <= strike.seconds <= end),
        seconds=end + TAIL,
        bars=tuple(bar for bar in bent.bars if 0.0 <= bar.seconds <= end),
        beats=tuple(beat for beat in bent.beats if 0.0 <= beat.seconds <= end),
        starts=before,
    )


_Strokes = Iterator[tuple[ExpectedStroke, JudgedStroke]]


def _where_due(strokes: _Strokes) -> Iterator[tuple[float, float]]:
    return ((written.seconds, stroke.expected) for written, stroke in strokes if stroke.expected is not None)


def _where_struck(strokes: _Strokes) -> Iterator[tuple[float, float]]:
    for written, stroke in strokes:
        if stroke.state.is_timed and stroke.seconds is not None:
            yield written.seconds, stroke.seconds


def _rising(points: Sequence[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    """Points one after another: where somebody went back, what stands before the last time is left out."""
    kept: list[tuple[float, float]] = []
    for at, moment in reversed(points):
        if not kept or moment < kept[-1][1] - _LEAST_RATE * (kept[-1][0] - at):
            kept.append((at, moment))
    return reversed(kept)


def _to_the_ends(points: Sequence[tuple[float, float]], seconds: float) -> list[tuple[float, float]]:
    """The points with both ends of the music, at the tempo of the strokes next to them."""
    first, last = points[0], points[-1]
    ends = list(points)
    if first[0] > 0:
        rate = _rate(points[:_AT_AN_END])
        ends.insert(0, (0.0, first[1] - rate * first[0]))
    if last[0] < seconds:
        rate = _rate(points[-_AT_AN_END:])
        ends.append((seconds, last[1] + rate * (seconds - last[0])))
    return ends


def _rate(points: Sequence[tuple[float, float]]) -> float:
    (at, moment), (until, end) = points[0], points[-1]
    return (end - moment) / (until - at) if until > at else 1.0
