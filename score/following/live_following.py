"""Following as it happens: strokes from ports or keys, bends to whoever sounds."""

import threading
from enum import StrEnum
from math import inf
from typing import Protocol

from score.following.heard_players import HeardPlayers, Parts
from score.following.leaps import LeapFinder
from score.following.learned_time import PlayedPlace
from score.following.played_time import USUAL_GIVE
from score.playback.sounding.sound_messages import Bend

_AHEAD = 0.02
"""Seconds before the place at which they wait from which they are said to."""


class Together(StrEnum):
    """How it stands between the player and the others, as it is said."""

    LISTENING = "listening"
    WITH = "with you"
    WAITING = "waiting for you"
    LOST = "lost"


class Bending(Protocol):
    """Whoever sounds the others."""

    def bend(self, bend: Bend) -> None:
        """Go on in another time."""

    def play(self, seconds: float = 0.0) -> None:
        """Begin at a second of the timeline."""


class LiveFollowing:
    """Follows players from pass to pass; strokes may come from any thread.

    Args:
        sound: told every bend.
        parts: what the players who are heard strike.
        give: how far the others go with them, 0 to 1; at 0 they are told nothing at all.

    Attributes:
        leaps: whether a player who stops and begins elsewhere is looked for.
    """

    def __init__(self, sound: Bending, parts: Parts, give: float = USUAL_GIVE) -> None:
        self._sound, self._parts, self._give = sound, parts, give
        self._lock = threading.Lock()
        self._last = 0.0
        self.leaps = True
        self._start(-inf)

    @property
    def give(self) -> float:
        """How far the others go with the players."""
        return self._give

    def set_give(self, give: float, moment: float) -> None:
        """Go farther or less far with them from now on.

        Args:
            give: 0 to 1.
            moment: now, of `time.perf_counter`.
        """
        with self._lock:
            time = self._players.time
            was_led, self._give, time.give = time.is_led and self._give > 0, give, give
            if was_led and not give:
                # Strict from here: what they had become stays, the rate is the written one.
                time.set(time.passed(moment), moment)
                time.rate = 1.0
                self._sound.bend(time.bend())

    def struck(self, moment: float, pitch: int | None, player: int = 0) -> None:
        """A stroke of a player's.

        Args:
            moment: when, of `time.perf_counter`.
            pitch: MIDI number, None where it is not known or means nothing.
            player: the player's number, 0 for the first.
        """
        with self._lock:
            # Two threads, or a clock that was set back: no stroke comes before the last one.
            self._last = max(self._last, moment)
            if not self._leapt(pitch, player):
                self._players.heard(self._last, pitch, player)
            if self._give and self._players.time.is_led:
                self._sound.bend(self._players.bend())

    def begin(self, seconds: float = -inf) -> None:
        """The next stroke is the first one from so many seconds into the timeline on: a new pass, or "from here"."""
        with self._lock:
            self._start(seconds)

    def wait_at(self, seconds: float, moment: float) -> None:
        """Go to a second of the timeline and wait there for the player: a bar that was typed.

        Args:
            seconds: of the timeline.
            moment: now.
        """
        with self._lock:
            self._start(seconds)
            self._sound.play(seconds)
            self._sound.bend(Bend(seconds, moment, until=seconds))

    def at(self, seconds: float, moment: float) -> None:
        """The others are there: told while nobody has been heard, so that an entry is not taken for another."""
        with self._lock:
            if not self._players.time.is_led:
                self._players.time.set(seconds, moment)

    def let_go(self, moment: float) -> None:
        """Nobody is heard any more: the others go on as they went last."""
        with self._lock:
            time = self._players.time
            if time.is_led and self._give:
                self._sound.bend(Bend(min(time.passed(moment), self._players.reach), moment, time.rate))
            self._start(-inf)

    def played(self, player: int = 0) -> tuple[PlayedPlace, ...]:
        """What a player has played since it began, by written place."""
        with self._lock:
            return self._players.followers[player or next(iter(self._parts))].played

    def together(self, seconds: float) -> Together:
        """How it stands at so many seconds into the timeline."""
        with self._lock:
            if not self._players.is_heard:
                return Together.LISTENING
            if self._players.is_lost:
                return Together.LOST
            return Together.WAITING if seconds >= self._players.reach - _AHEAD else Together.WITH

    @property
    def rate(self) -> float:
        """Real seconds the others take for one of the timeline's."""
        return self._players.time.rate if self._give else 1.0

    def _start(self, seconds: float) -> None:
        self._players = HeardPlayers(self._parts, self._give, seconds)
        self._finders = {player: LeapFinder(moments) for player, moments in self._parts.items()}

    def _leapt(self, pitch: int | None, player: int) -> bool:
        """Go where a player has gone; gives back whether one has."""
        number = player or next(iter(self._parts))
        follower, finder = self._players.followers.get(number), self._finders.get(number)
        if follower is None or finder is None or not self.leaps:
            return False
        place = finder.heard(self._last, pitch, follower.place, follower.rate)
        if place is None or not self._give:
            return False
        rate, seconds = follower.rate, self._parts[number][place].seconds
        self._start(seconds)
        self._players.heard(self._last, pitch, number)
        self._players.time.rate = rate
        self._sound.play(seconds)
        return True
