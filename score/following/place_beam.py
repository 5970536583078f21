"""Where a player is: a few guesses kept side by side, each with a time of its own.

Every note moves each guess: it may stay (a stray note, a chord's other notes, a roll's next blow) or go one to three
moments on (one is the rule, two or three when strokes were missed). How likely that is, is said by the time since the
guess's own last stroke at the guess's own rate, and by the pitch. Variances and likelihoods by simulation, no source.
"""

import math
from typing import NamedTuple

from score.following.leader_clock import FASTEST, SLOWEST
from score.following.leader_moments import LeaderMoment

_WIDTH, _SLACK = 16, 14.0
"""Guesses kept at the most, and how much less likely (natural logarithm) than the best one may be."""
_STEPS = {1: math.log(0.945), 2: math.log(0.035), 3: math.log(0.005)}
_STRAY = math.log(0.03)
_RIGHT, _NEAR, _WRONG = math.log(0.93), math.log(0.005), math.log(0.03 / 60)
_OTHER_KEY, _ANY_PITCH = -2.5, 3.7
"""Pads may call an instrument otherwise than General MIDI does."""
_CHORD_SECONDS, _CHORD, _AGAIN = 0.06, 2.9, 0.9
_BLOW_SECONDS = 0.15
"""How far beyond its end a roll may sound on."""
_BEAT_VARIANCE, _STROKE_VARIANCE, _RATE_DRIFT = 2e-4, 1e-4, 4e-3
_TAIL, _TAIL_WIDTH, _TOO_SOON, _FAR_TOO_SOON = -3.5, 0.3, 1.5, 3.0
_LEAP_SPREAD = 0.1
"""Variance of the rate of a player whose stroke, by its pitch, came far too soon: only another tempo makes it so."""
_REST = 2.0


class Trail(NamedTuple):
    """A moment that was played, and those before it.

    Attributes:
        place: index of the moment.
        moment: when it was played.
        before: None at the first.
    """

    place: int
    moment: float
    before: "Trail | None" = None


class Guess(NamedTuple):
    """One guess.

    Attributes:
        likely: natural logarithm of its likelihood, up to a constant.
        moment: when its last stroke was heard.
        rate: real seconds a second of the timeline.
        spread: variance of the rate.
        trail: every moment it says was played so far, from the last back to the first.
    """

    likely: float
    moment: float
    rate: float
    spread: float
    trail: Trail


class PlaceBeam:
    """The guesses.

    Args:
        moments: what the player strikes.
        index: the moment the first stroke is taken for.
        moment: when it was heard.
    """

    def __init__(self, moments: tuple[LeaderMoment, ...], index: int, moment: float) -> None:
        self._moments = moments
        self.guesses = {index: Guess(0.0, moment, 1.0, spread=0.03, trail=Trail(index, moment))}

    @property
    def passed(self) -> dict[int, float]:
        """When each moment was played, by its index; what came later may have shown where a stroke belonged."""
        passed: dict[int, float] = {}
        trail: Trail | None = max(self.guesses.values(), key=lambda guess: guess.likely).trail
        while trail is not None:
            passed[trail.place] = trail.moment
            trail = trail.before
        return passed

    def heard(self, moment: float, pitch: int | None) -> int:
        """Where the player most likely is after a note: index of the moment.

        Args:
            moment: when, seconds; not before the last one.
            pitch: MIDI number, None where it is not known.
        """
        guesses: dict[int, Guess] = {}
        for index, guess in self.guesses.items():
            _keep(guesses, index, guess._replace(likely=guess.likely + self._stayed(index, guess, moment, pitch)))
            for step in _STEPS:
                if index + step < len(self._moments):
                    _keep(guesses, index + step, self._moved(index, step, guess, moment, pitch))
        ranked = sorted(guesses.items(), key=lambda item: -item[1].likely)[:_WIDTH]
        best, top = ranked[0][0], ranked[0][1].likely
        self.guesses = {
            index: guess._replace(likely=guess.likely - top) for index, guess in ranked if guess.likely > top - _SLACK
        }
        return best

    def _stayed(self, index: int, guess: Guess, moment: float, pitch: int | None) -> float:
        """How likely it is that a note moves nothing."""
        here, passed = self._moments[index], moment - guess.moment
        following = self._moments[index + 1] if index + 1 < len(self._moments) else None
        gap = guess.rate * (following.seconds - here.seconds) if following else 1.0
        late = passed - 1.15 * gap - 0.03
        stray = max(-12.0, _STRAY - (late / (0.25 * gap + 0.05) if late > 0 else 0.0))
        is_blow = here.is_rolled and passed < guess.rate * (here.until - here.seconds) + _BLOW_SECONDS
        if pitch is None:
            chord = _CHORD - 0.6 if passed < _CHORD_SECONDS else stray
            return max(stray, chord, _AGAIN - 0.6 if is_blow else stray)
        stray -= _ANY_PITCH
        fits = here.has(pitch)
        if fits and passed < _CHORD_SECONDS:
            return max(stray, _CHORD)
        if is_blow and (fits or not here.pitches):
            return max(stray, _AGAIN)
        return max(stray, _AGAIN) if following and pitch in following.graces else stray

    def _moved(self, index: int, step: int, guess: Guess, moment: float, pitch: int | None) -> Guess:
        """The guess some moments on."""
        here, there = self._moments[index], self._moments[index + step]
        written, passed = there.seconds - here.seconds, moment - guess.moment
        # Who rests for long listens, and comes in with the others.
        apart = min(written, _REST)
        spread = guess.spread + _RATE_DRIFT * apart
        variance = _BEAT_VARIANCE * apart + 2 * _STROKE_VARIANCE + spread * apart**2
        error = passed - guess.rate * written
        expected = -0.5 * error * error / variance - 0.5 * math.log(2 * math.pi * variance)
        # Holds, breaths, sudden changes: anything may come late, less easily far too soon.
        soon = _TOO_SOON + _FAR_TOO_SOON * min(1.0, -2 * error) if error < 0 else 0.0
        tail = _TAIL - math.log(_TAIL_WIDTH + 2 * abs(error)) - soon
        likely = guess.likely + _STEPS[step] + _either(expected, tail) + _by_pitch(there, pitch)
        trail = Trail(index + step, moment, guess.trail)
        if written <= 0.02:
            return Guess(likely, moment, guess.rate, spread=guess.spread, trail=trail)
        if expected <= tail - 1 and error < 0 and pitch is not None and there.has(pitch):
            spread = _LEAP_SPREAD
            variance = _BEAT_VARIANCE * apart + 2 * _STROKE_VARIANCE + spread * apart**2
        elif expected <= tail - 1:
            return Guess(likely, moment, guess.rate, spread=min(0.05, spread + 0.02), trail=trail)
        gain = spread * apart / variance
        rate = min(SLOWEST, max(FASTEST, guess.rate + gain * error))
        return Guess(likely, moment, rate, spread=max(1e-4, spread * (1 - gain * apart)), trail=trail)


def _keep(guesses: dict[int, Guess], index: int, guess: Guess) -> None:
    likeliest = guesses.get(index)
    if likeliest is None or guess.likely > likeliest.likely:
        guesses[index] = guess


def _either(first: float, other: float) -> float:
    """Logarithm of the sum of two likelihoods."""
    high, low = max(first, other), min(first, other)
    return high + math.log1p(math.exp(low - high))


def _by_pitch(there: LeaderMoment, pitch: int | None) -> float:
    if pitch is None:
        return 0.0
    if there.has(pitch):
        return _RIGHT
    if not there.pitches:
        return _OTHER_KEY
    return _NEAR if any(abs(pitch - other) <= 2 for other in there.pitches) else _WRONG
