"""What `inbreath play --follow` adds to the line: who is heard, the keys for it, and the time that is learned."""

import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing, contextmanager
from functools import partial
from typing import Any, NamedTuple

from score.errors import InbreathError, RequestError
from tui.commands.play_options import heard_sources

KEYS = "keys"
_LOOKS = 2.0
"""Seconds between two looks whether the ports are still there."""
_STEP = 0.25


class FollowAsked(NamedTuple):
    """What was asked of it.

    Attributes:
        sources: "PORT", "keys", "2=PORT"; "PORT#3" is its channel 3.
        give: how far the others go with the players, 0 to 1.
        forget: forget what is known of the player's usual time.
    """

    sources: tuple[str, ...]
    give: float
    forget: bool = False


class PlayFollowing:
    """Following for one run of the line.

    Args:
        line: the line, with its process, piece, passage and options.
        group: the group's file.
        asked: what was asked.
        history: the player's own, already open.
        say: tells the user one line.
    """

    def __init__(self, line: Any, group: Any, asked: FollowAsked, history: Any, say: Callable[[str], None]) -> None:
        from score.following.from_group import group_leads
        from score.takes.kept_readings import KeptReadings

        self._line, self._say = line, say
        self._number = line.options.player
        self.sources = heard_sources(asked.sources, self._number)
        self._leads = group_leads(group, line.piece)
        self._kept = KeptReadings(history)
        if asked.forget:
            self._kept.forget(line.piece.digest, self._number)
        self._give, self._typed, self._looked = asked.give, "", time.monotonic()
        self._gone: set[str] = set()
        self.readings = 0
        self.live: Any = None

    @property
    def by_keys(self) -> bool:
        """Whether keys are strokes."""
        return KEYS in self.sources.values()

    def timeline(self, timeline: Any) -> Any:
        """The timeline in the player's usual time; whoever is heard is followed over it from now on."""
        from score.following.heard_parts import heard_parts
        from score.following.leader_moments import moved_moments
        from score.following.learned_time import PlayedPlace, learned_time
        from score.following.live_following import LiveFollowing
        from score.playback.bent_timeline import bent_timeline

        line, options = self._line, self._line.options
        parts = heard_parts(line.piece, line.passage, options, self.sources, self._leads)
        kept = self._kept.of(line.piece.digest, self._number)
        readings = [[PlayedPlace(*stroke) for stroke in reading] for reading in kept]
        usual = learned_time(line.piece, line.passage.route, options.pulse, options.count_in, readings)
        if usual is not None:
            timeline = bent_timeline(timeline, usual)
            parts = {number: moved_moments(moments, usual) for number, moments in parts.items()}
        give = self.live.give if self.live is not None else self._give
        self.live = LiveFollowing(line.process, parts, give)
        self._bars = {bar.bar: bar.seconds for bar in reversed(timeline.bars)}
        return timeline

    def obey(self, key: str) -> bool:
        """What a key does while the others follow; False where it does what it always does."""
        if key in (" ", "r", "q", ""):
            return False
        if key.isdecimal():
            self._typed += key
        elif key in "\r\n" and self._typed:
            self._go_to(self._typed)
            self._typed = ""
        elif key == "h":
            self.live.begin(self._line.seconds)
        elif key in "<>":
            give = min(1.0, max(0.0, round(self.live.give + (_STEP if key == ">" else -_STEP), 2)))
            self.live.set_give(give, time.perf_counter())
            self._say(f"The others go {give:.0%} of the way with you.")
        elif key == "l":
            self.live.leaps = not self.live.leaps
            self._say(
                "The others go along when you begin elsewhere." if self.live.leaps else "The others stay in place."
            )
        elif self.by_keys:
            number = next(number for number, source in self.sources.items() if source == KEYS)
            self.live.struck(time.perf_counter(), None, number)
        return True

    def at(self, position: Any) -> str:
        """How it stands where the sound is, and how fast against what is written."""
        self.live.at(position.seconds, time.perf_counter())
        return f"{self.live.together(position.seconds)}  {100 / self.live.rate:.0f} %"

    def pass_over(self) -> None:
        """A pass has ended: its time is kept, and the next one begins."""
        from score.takes.kept_readings import LEAST_STROKES

        played = self.live.played(self._number) if self._number in self.sources else ()
        if len(played) >= LEAST_STROKES:
            try:
                self._kept.keep(self._line.piece.digest, self._number, played)
                self.readings += 1
            except InbreathError as error:
                self._say(error.line)
        self.live.begin()

    def step(self) -> None:
        """Look now and then whether the ports are still there."""
        now = time.monotonic()
        if self.by_keys or now - self._looked < _LOOKS:
            return
        self._looked = now
        for name in _ports_gone({_port(source)[0] for source in self.sources.values()}) - self._gone:
            self._gone.add(name)
            self.live.let_go(time.perf_counter())
            self._say(f"MIDI port {name} is gone; the others go on without you.")

    def _go_to(self, label: str) -> None:
        from score.places import find_bar

        try:
            bar = find_bar(self._line.piece, label)
        except InbreathError as error:
            self._say(error.line)
            return
        if bar not in self._bars:
            self._say(f"Bar {label} is not in {self._line.passage.name}.")
            return
        self.live.wait_at(self._bars[bar], time.perf_counter())


@contextmanager
def opened(following: PlayFollowing) -> Iterator[None]:
    """Its ports are open inside.

    Raises:
        RequestError: a port cannot be opened.
    """
    from score.playback.sounding.midi_ports import open_strokes

    with ExitStack() as ports:
        for number, source in following.sources.items():
            if source == KEYS:
                continue
            name, channel = _port(source)
            try:
                port = open_strokes(name, partial(_struck, following, number), channel)
            except OSError as error:
                what = f"{name!r} cannot be opened ({error})"
                raise RequestError("MIDI port", what, "see inbreath sound for the ports there are") from error
            ports.enter_context(closing(port))
        yield


def _struck(following: PlayFollowing, number: int, pitch: int, velocity: int) -> None:
    del velocity
    if following.live is not None:
        following.live.struck(time.perf_counter(), pitch, number)


def _port(source: str) -> tuple[str, int]:
    """Name and channel, 0 for all of them, of "PORT" or "PORT#3"."""
    name, hash_, channel = source.rpartition("#")
    if hash_ and channel.isdecimal() and 1 <= int(channel) <= 16:
        return name, int(channel)
    return source, 0


def _ports_gone(names: set[str]) -> set[str]:
    from score.playback.sounding.midi_ports import input_names

    try:
        there = input_names()
    except OSError:
        return names
    return {name for name in names if name not in there}
