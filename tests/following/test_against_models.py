"""Following against what was published: the linear model of phase correction, gains of string quartets, a pianist.

The path is the real one: strokes come to the following, bends go to the clockwork, its strikes are what is heard.
"""

import random
import statistics
import warnings
from importlib.metadata import distribution
from itertools import pairwise

import pytest

from score.following.follower import Follower
from score.following.leader_moments import LeaderMoment
from score.following.live_following import LiveFollowing
from score.following.place_beam import PlaceBeam
from score.playback.sound_events import Strike, Timeline
from score.playback.sounding.clockwork import Clockwork
from score.playback.sounding.sound_messages import Bend
from tests.following.test_bending import Ear

BEAT = 0.5


class Sounding:
    """The sound process without a process: bends go straight to its clockwork."""

    def __init__(self, clockwork: Clockwork) -> None:
        self.clockwork = clockwork

    def bend(self, bend: Bend) -> None:
        self.clockwork.bend(bend)

    def play(self, seconds: float = 0.0) -> None:
        raise AssertionError(f"nobody leaps here: {seconds}")


def asynchronies(gain: float, give: float, count: int, *, timekeeper: float, seed: int) -> list[float]:
    """Player minus machine at every beat, seconds.

    The player keeps a beat with a timekeeper of some standard deviation and shortens each interval by a share of the
    last asynchrony: A' = (1 - gain) A + T (Vorberg & Wing, 1996).
    """
    rng = random.Random(seed)
    moments = tuple(LeaderMoment(BEAT * i, frozenset({60 + i % 5}), until=BEAT * i) for i in range(count))
    strikes = tuple(Strike(BEAT * i, 0.1, 2, "marimba", 60.0, 80) for i in range(count))
    ear = Ear()
    clockwork = Clockwork(ear, lambda _: None)
    clockwork.load(Timeline(strikes, BEAT * count + 1), loop=False, gap=0.0)
    following = LiveFollowing(Sounding(clockwork), {1: moments}, give)
    clockwork.play(0.0, 10.0)
    mine, off, now = 10.02, [], 10.0
    for index in range(count - 4):
        while clockwork.playing and (wanted := clockwork.step(now)) is not None and wanted < mine:
            now = max(now + 1e-7, wanted)
        now = max(now, mine)
        following.struck(mine, 60 + index % 5)
        # What sounds with this beat may be ordered already, or come a little later.
        heard = ear.heard[index][0] if index < len(ear.heard) else clockwork._when(strikes[index].seconds)
        off.append(mine - heard)
        mine = max(mine + 0.05, mine + BEAT - gain * off[-1] + rng.gauss(0, timekeeper))
    return off


def lag_one(values: list[float]) -> float:
    mean = statistics.fmean(values)
    parts = [value - mean for value in values]
    return sum(a * b for a, b in pairwise(parts)) / sum(part * part for part in parts)


@pytest.mark.parametrize("gain", [0.25, 0.5, 1.0, 1.5])
def test_who_follows_a_strict_machine_scatters_as_the_linear_model_says(gain: float) -> None:
    """Variance T^2 / (gain (2 - gain)), lag-1 autocorrelation 1 - gain (Vorberg & Wing, 1996; without motor noise)."""
    off = asynchronies(gain, 0.0, 1500, timekeeper=0.01, seed=101)[50:]
    assert statistics.pstdev(off) == pytest.approx(0.01 / (gain * (2 - gain)) ** 0.5, rel=0.1)
    assert lag_one(off) == pytest.approx(1 - gain, abs=0.07)


def test_beyond_a_gain_of_two_nobody_stays_together() -> None:
    """The model is stable between 0 and 2 only."""
    stable = asynchronies(1.9, 0.0, 300, timekeeper=0.002, seed=102)
    apart = asynchronies(2.1, 0.0, 120, timekeeper=0.002, seed=102)
    assert max(map(abs, stable)) < 0.06
    assert max(map(abs, apart)) > 0.2


@pytest.mark.parametrize("give", [0.5, 0.75, 1.0])
@pytest.mark.parametrize("gain", [0.25, 0.5, 0.8])
def test_two_who_go_with_each_other_stay_together(gain: float, give: float) -> None:
    """A quartet's players correct by about a quarter each (Wing et al., J. R. Soc. Interface 11, 2014); two gains of
    0.5 and 0.8 against a machine that goes with one wholly would run away in a linear model."""
    off = asynchronies(gain, give, 250, timekeeper=0.01, seed=103)[20:]
    assert 1000 * statistics.pstdev(off) <= 25
    assert max(map(abs, off)) < 0.1


def pianist() -> tuple[tuple[LeaderMoment, ...], list[tuple[float, int, int]]]:
    """The upper staff of the one performance that a package ships with its alignment (parangonar, Apache-2.0).

    Gives back its moments at the written tempo, and (moment, pitch, index of its moment) of every note that is aligned.
    """
    shipped = distribution("parangonar")
    path = next(str(shipped.locate_file(file)) for file in shipped.files or () if str(file).endswith(".match"))
    with warnings.catch_warnings():
        # The parser that reads directions still asks for a module Python is about to drop.
        warnings.simplefilter("ignore", DeprecationWarning)
        import partitura

        performance, alignment, written = partitura.load_match(path, create_score=True)
    notes = {note["id"]: note for note in written[0].note_array(include_staff=True) if note["staff"] == 1}
    onsets = sorted({float(note["onset_quarter"]) for note in notes.values()})
    pitches = {
        at: frozenset(int(n["pitch"]) for n in notes.values() if float(n["onset_quarter"]) == at) for at in onsets
    }
    played = {note["id"]: note for note in performance.note_array()}
    last = max(float(note["onset_sec"]) for note in played.values())
    quarter = last / onsets[-1]
    moments = tuple(LeaderMoment(quarter * at, pitches[at], until=quarter * at) for at in onsets)
    aligned = [
        (float(played[match["performance_id"]]["onset_sec"]), int(played[match["performance_id"]]["pitch"]), match)
        for match in alignment
        if match["label"] == "match" and match["score_id"] in notes
    ]
    return moments, sorted(
        (moment, pitch, onsets.index(float(notes[match["score_id"]]["onset_quarter"])))
        for moment, pitch, match in aligned
    )


def test_a_pianists_place_is_known_at_hardly_fewer_than_every_note() -> None:
    moments, notes = pianist()
    assert len(notes) > 150
    beam = PlaceBeam(moments, notes[0][2], notes[0][0])
    wrong = sum(beam.heard(moment, pitch) != place for moment, pitch, place in notes[1:])
    assert wrong <= 0.01 * len(notes)


def test_a_pianists_next_stroke_is_expected_as_near_as_string_players_keep() -> None:
    """Members of string trios and quartets are 37 to 49 ms apart (Rasch, 1979); the pianist bends the time freely."""
    moments, notes = pianist()
    follower, off = Follower(moments, 1.0), []
    for moment, pitch, place in notes:
        if follower.place >= 0 and place == follower.place + 1:
            off.append(1000 * (max(follower.time.when(moments[place].seconds), notes[0][0]) - moment))
        follower.heard(moment, pitch)
    assert len(off) > 120
    assert statistics.pstdev(off[8:]) <= 49
