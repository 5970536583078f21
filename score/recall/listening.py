"""Questions without words: the music stops, two tones, time to think, and it goes on; the going-on is the answer."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from score.memory.question import Question
from score.piece import Piece, Player
from score.playback.click import Thinning
from score.playback.sound_events import Strike, Timeline
from score.playback.timeline import PlayOptions, timeline
from score.time.pulse import PulseOptions, route_tempo_map
from score.time.route import Route, bars
from score.time.tempo_map import TempoMap

HEARD = ("moves", "waits", "leads in", "enters", "goes on", "fork")
"""Kinds of questions that the music answers when it goes on."""
_BEFORE, _AFTER, _LONGEST_WAIT = 4, 2, 12
"""Bars before the music stops and after it goes on; the most bars it goes on through a rest and after it."""
_JUST_BEFORE, _TONES_AFTER, _AIR = 0.06, 0.5, 2.5
"""Seconds before a stroke that is asked for, to the two tones, and between two questions."""
_THINK, _LEAST_THINK, _MOST_THINK = 2, 4.0, 9.0
"""Bars to think, and how many seconds that is at the least and at the most."""


class HeardQuestion(NamedTuple):
    """A question in a sound file.

    Attributes:
        question: what could be asked in words.
        begins, stops, goes_on, ends: seconds from the beginning of the file.
    """

    question: Question
    begins: float
    stops: float
    goes_on: float
    ends: float

    @property
    def tones(self) -> float:
        """When the two tones sound, seconds."""
        return self.stops + _TONES_AFTER


class Listening(NamedTuple):
    """What is written to the file: what sounds, and its questions in order."""

    sounds: Timeline
    questions: tuple[HeardQuestion, ...]


def listening(piece: Piece, player: Player, questions: Sequence[Question], pulse: PulseOptions) -> Listening:
    """The questions of these that can be heard, one after the other.

    Args:
        piece: the piece.
        player: who is asked.
        questions: of the player; kinds that no sound answers are left out.
        pulse: the group's tempo.
    """
    strikes: list[Strike] = []
    heard: list[HeardQuestion] = []
    now = 0.0
    for question in questions:
        passage = _passage(piece, question)
        if passage is None:
            continue
        route, position = passage
        times = route_tempo_map(piece, route, pulse)
        cut = _cut(piece, player, question, (route, position), times)
        music = timeline(piece, route, PlayOptions(pulse, click=Thinning.NONE, count_in=0))
        think = _think(piece, question.bar, times, route.visits[position].offset)
        heard.append(
            HeardQuestion(question, now, now + cut, goes_on=now + cut + think, ends=now + think + music.seconds)
        )
        strikes += _parted(music, cut, think, now)
        now = heard[-1].ends + _AIR
    return Listening(Timeline(tuple(strikes), max(0.0, now - _AIR) + 0.5), tuple(heard))


def _passage(piece: Piece, question: Question) -> tuple[Route, int] | None:
    """The bars around a question as they are played, and the position among them of the bar it is about."""
    order = piece.playing_order
    if question.kind not in HEARD or question.bar not in order:
        return None
    place = order.index(question.bar)
    after = _AFTER + (int(question.answer) if question.kind == "waits" else 0)
    if place == 0 or after > _LONGEST_WAIT:
        return None
    first = max(0, place - _BEFORE)
    return bars(piece, order[first : place + after]), place - first


def _cut(piece: Piece, player: Player, question: Question, passage: tuple[Route, int], times: TempoMap) -> float:
    """Seconds from the beginning of the passage to where the music stops."""
    route, position = passage
    visit = route.visits[position]
    if question.kind == "moves":
        after = min(_onsets(piece, player, route, visit.offset + question.at), default=visit.offset + visit.length)
        return times.seconds(after) - _JUST_BEFORE
    at = visit.offset + (question.at if question.kind in ("enters", "leads in") else Fraction(0))
    if question.kind == "leads in":
        at = max(Fraction(0), at - 2 * (piece.bars[question.bar].meter.beat or Fraction(1)))
    return max(0.0, times.seconds(at) - _JUST_BEFORE)


def _onsets(piece: Piece, player: Player, route: Route, after: Fraction) -> Iterator[Fraction]:
    """When others strike after a moment, quarters from the beginning of the route."""
    for visit in route.visits:
        for other in piece.players:
            for stroke in other.strokes:
                at = visit.offset + stroke.at
                if other.number != player.number and stroke.bar == visit.bar and at > after:
                    yield at


def _think(piece: Piece, bar: int, times: TempoMap, offset: Fraction) -> float:
    """Seconds to think: some bars at the tempo of the place."""
    seconds = _THINK * float(piece.bars[bar].length) * 60 / times.quarters_per_minute(offset)
    return max(_LEAST_THINK, min(_MOST_THINK, seconds))


def _parted(music: Timeline, cut: float, think: float, now: float) -> Iterator[Strike]:
    """The strikes with silence in between; what rings over an end is damped there."""
    for strike in music.strikes:
        is_before = strike.seconds < cut
        end = cut if is_before else music.seconds
        length = min(strike.length, end - strike.seconds)
        begins = now + strike.seconds + (0.0 if is_before else think)
        rings_over = strike.seconds + strike.length > end
        yield replace(strike, seconds=begins, length=length, damped=strike.damped or rings_over)
