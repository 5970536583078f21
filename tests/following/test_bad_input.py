"""What comes in may be anything: silence, keys that stick, floods, notes of another piece. They wait or go on, and no
note stays on."""

import random
from collections.abc import Iterator
from math import inf

import mido
import pytest

from score.following.leader_moments import leader_moments
from score.following.live_following import LiveFollowing, Together
from score.playback.sounding.clockwork import Clockwork
from score.playback.sounding.sound_messages import Report
from score.playback.sounding.sound_outputs import MidiPort
from tests.following.test_against_models import Sounding
from tests.following.test_following import PIECE, PULSE, SHORT, others_of

MOMENTS = leader_moments(PIECE, SHORT, 1, PULSE)
OTHERS = others_of(SHORT)
LONGEST = max(strike.length for strike in OTHERS.strikes)


class Notes:
    """An open port that remembers which notes are on."""

    def __init__(self) -> None:
        self.on: list[tuple[int, int]] = []
        self.struck = 0

    def send(self, message: mido.Message) -> None:
        if message.type == "note_on":
            self.struck += 1
            self.on.append((message.channel, message.note))
        elif message.type == "note_off":
            self.on.remove((message.channel, message.note))


class Played:
    """The others on a MIDI port, on a clock that jumps from one thing to do to the next."""

    def __init__(self) -> None:
        self.port, self.now, reports = Notes(), 50.0, list[Report]()
        self.clockwork = Clockwork(MidiPort(self.port), reports.append)
        self.clockwork.load(OTHERS, loop=False, gap=0.0)
        self.following = LiveFollowing(Sounding(self.clockwork), {1: MOMENTS}, 1.0)
        self.following.leaps = False
        self.clockwork.play(0.0, self.now)

    def until(self, moment: float) -> None:
        """All that is to be done before a moment."""
        while (wanted := self.clockwork.step(self.now)) is not None and wanted < moment:
            self.now = max(self.now + 1e-6, wanted)
        self.now = max(self.now, moment)

    def strokes(self, first: int, last: int, begins: float) -> None:
        """Strokes of the part in time, the first at a moment."""
        for moment in MOMENTS[first:last]:
            self.until(begins + moment.seconds - MOMENTS[first].seconds)
            self.following.struck(self.now, min(moment.pitches))

    @property
    def seconds(self) -> float:
        """Where they are."""
        return self.clockwork.position(self.now).seconds

    def stands(self) -> Together:
        """How it stands."""
        return self.following.together(self.seconds)


@pytest.fixture
def played() -> Iterator[Played]:
    played = Played()
    yield played
    # Let go, they play to the end, every strike once, and everything that sounded has ended.
    played.following.let_go(played.now)
    played.until(played.now + 120)
    assert not played.clockwork.playing
    assert played.port.struck == len(OTHERS.strikes)
    assert played.port.on == []


def test_after_a_minute_of_silence_they_go_on_with_the_next_stroke(played: Played) -> None:
    played.strokes(0, 20, 50.0)
    rate, silent_from = played.following.rate, played.now
    played.until(silent_from + LONGEST + 5)
    struck, waits_at = played.port.struck, played.seconds
    assert played.port.on == []
    assert played.stands() is Together.WAITING
    played.until(silent_from + 60)
    assert (played.port.struck, played.seconds) == (struck, waits_at)
    played.strokes(20, 24, played.now)
    assert played.stands() is Together.WITH
    # It was no tempo: they go on as fast as before.
    assert played.following.rate == pytest.approx(rate, abs=0.08)
    assert played.seconds == pytest.approx(MOMENTS[23].seconds, abs=0.1)


def test_a_key_that_sticks_leads_nobody_astray(played: Played) -> None:
    """A note on with no end, sent again every 50 ms for half a minute: a pad that was leant on."""
    played.strokes(0, 20, 50.0)
    last = MOMENTS[19]
    for _ in range(600):
        played.until(played.now + 0.05)
        played.following.struck(played.now, min(last.pitches))
    # Half a minute of it, and they have gone on for two bars at most.
    assert played.seconds < last.seconds + 5
    assert played.stands() in (Together.WAITING, Together.LOST)
    # "From here", and they are with the player again.
    played.following.begin(MOMENTS[24].seconds - 0.02)
    played.strokes(24, 30, played.now + 0.5)
    assert played.stands() is Together.WITH


@pytest.mark.parametrize("every", [0.001, 0.2])
def test_notes_outside_the_part_are_no_strokes_of_it(played: Played, every: float) -> None:
    rng = random.Random(101)
    played.strokes(0, 20, 50.0)
    for _ in range(1000 if every < 0.01 else 100):
        played.until(played.now + every)
        played.following.struck(played.now, rng.choice((21, 22, 23, 107, 108, 127)))
    assert played.stands() in (Together.WAITING, Together.LOST)
    assert played.following.rate < inf
    assert played.seconds < MOMENTS[-1].seconds


def test_a_clock_that_goes_back_counts_as_no_time_at_all(played: Played) -> None:
    played.strokes(0, 20, 50.0)
    played.following.struck(played.now - 30, min(MOMENTS[20].pitches))
    played.strokes(21, 26, played.now + MOMENTS[21].seconds - MOMENTS[19].seconds)
    assert played.stands() is Together.WITH
