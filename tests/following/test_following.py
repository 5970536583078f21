"""The others follow: how close they keep, what they wait for, and that every stroke sounds once whatever is played.

Goals are for the ear: the others' strokes against the player's own at the same written place, 30 ms from an order to
its sound.
"""

import io
import statistics
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import mido
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from score.errors import RequestError
from score.following.followed_take import FollowOptions, TakeStroke, followed
from score.following.followed_tracks import Takes, followed_track
from score.following.follower import Follower
from score.following.leader_clock import LeaderClock
from score.following.leader_moments import LeaderMoment, leader_moments
from score.piece import StrokeKind
from score.playback.click import Thinning
from score.playback.midi_file import midi_file
from score.playback.played_notes import PlayedNote, read_played_notes
from score.playback.timeline import PlayOptions, timeline
from score.playback.tracks import Passage, TrackOptions
from score.reading import read_score
from score.time.pulse import PulseOptions
from score.time.route import Route, bars
from tests.following.from_outside import robust
from tests.following.performances import arcs, mutual, performance, ritardando, steady

SAMPLE = Path(__file__).parents[2] / "samples" / "quartet.musicxml"
PIECE = read_score(SAMPLE).piece
PULSE = PulseOptions()
LONG, SHORT, HELD = bars(PIECE, range(16, 104)), bars(PIECE, range(16, 24)), bars(PIECE, range(104, 116))
SEEDS = range(101, 103)


def others_of(route: Route, leader: int = 1):
    players = frozenset(player.number for player in PIECE.players) - {leader}
    return timeline(PIECE, route, PlayOptions(PULSE, players, Thinning.NONE, count_in=0))


def misses(
    rate: Callable[[float], float], *, errors: float = 0.0, give: float = 1.0, blind: bool = False
) -> list[float]:
    """Milliseconds by which the others' strokes miss the player's at the same places; not after rests."""
    moments, others = leader_moments(PIECE, LONG, 1, PULSE), others_of(LONG)
    places = {round(moment.seconds, 6): index for index, moment in enumerate(moments)}
    off = []
    for seed in SEEDS:
        played = performance(moments, seed, rate, errors=errors, others=Follower(moments, give))
        take = tuple(s._replace(pitch=None) for s in played.take) if blind else played.take
        result = followed(others, {0: moments}, take, FollowOptions(give))
        assert len(result.timeline.strikes) == len(others.strikes)
        for before, after in zip(others.strikes, result.timeline.strikes, strict=True):
            index = places.get(round(before.seconds, 6))
            if index and moments[index].seconds - moments[index - 1].seconds <= 2:
                off.append(1000 * (after.seconds - result.begins - played.moments[index]))
    return off


def test_who_keeps_time_is_kept_with() -> None:
    # Their own strokes scatter by 10 ms: nobody can do better than that.
    assert statistics.pstdev(misses(steady)) <= 13
    assert statistics.pstdev(misses(steady, give=0.75)) <= 13


def test_missed_wrong_and_extra_strokes_hardly_disturb() -> None:
    off = misses(steady, errors=0.03)
    assert robust(off) <= 13
    # Over many scores 0.2 %: `tests/bench/bench_following.py`.
    assert sum(abs(value) > 100 for value in off) <= 0.01 * len(off)
    assert robust(misses(steady, errors=0.03, blind=True)) <= 14


def test_a_bent_phrase_is_followed() -> None:
    off = misses(arcs)
    assert statistics.pstdev(off) <= 50
    # Without following the arcs are off by 8 s / 2 pi x 10 % = 127 ms each way, and drift adds to it.
    assert statistics.pstdev(misses(arcs, give=0.0)) > 80


def test_a_final_ritardando_is_followed() -> None:
    assert statistics.pstdev(misses(ritardando)) <= 50


@pytest.mark.parametrize("gain", [0.0, 0.5, 0.8])
@pytest.mark.parametrize("give", [0.5, 0.75, 1.0])
def test_two_who_correct_towards_each_other_stay_together(gain: float, give: float) -> None:
    moments = tuple(LeaderMoment(0.5 * i, frozenset({60 + i % 5}), until=0.5 * i) for i in range(400))
    off = mutual(Follower(moments, give), moments, gain, 101, kick=0.06)
    assert 1000 * statistics.pstdev(off[20:99]) <= 25
    # A stroke displaced by 60 ms is over after ten.
    assert 1000 * statistics.pstdev(off[112:]) <= 25
    assert max(map(abs, off[112:])) < 0.06


def test_give_nothing_is_strict_time() -> None:
    moments, others = leader_moments(PIECE, SHORT, 1, PULSE), others_of(SHORT)
    played = performance(moments, 101, arcs)
    result = followed(others, {0: moments}, played.take, FollowOptions(0.0))
    shifts = [
        after.seconds - before.seconds for before, after in zip(others.strikes, result.timeline.strikes, strict=True)
    ]
    # The first stroke of all cannot be foretold; everything after the order's 30 ms is strict.
    assert max(shifts[4:]) - min(shifts[4:]) < 1e-9


def test_a_held_note_is_waited_for() -> None:
    moments, others = leader_moments(PIECE, HELD, 3, PULSE), others_of(HELD, 3)
    waited = [index for index, moment in enumerate(moments) if moment.waits]
    assert waited
    for seed in SEEDS:
        played = performance(moments, seed, steady, pause=1.5)
        result = followed(others, {0: moments}, played.take)
        for index in waited:
            written, heard = moments[index].seconds, played.moments[index]
            late = [
                after.seconds - result.begins - heard - (before.seconds - written)
                for before, after in zip(others.strikes, result.timeline.strikes, strict=True)
                if written - 1e-6 <= before.seconds < written + 2.5
            ]
            assert late
            # None too soon; an entry at the very moment comes with the next order.
            assert min(late) > -0.025
            assert max(late) <= 0.035


notes = st.lists(st.tuples(st.floats(0.0, 2.0), st.integers(40, 90)), min_size=1, max_size=60)


@settings(max_examples=25, deadline=None)
@given(notes, st.sampled_from([0.0, 0.5, 0.75, 1.0]))
def test_whatever_is_played_every_stroke_sounds_once_and_in_order(played: list[tuple[float, int]], give: float) -> None:
    moments, others = leader_moments(PIECE, SHORT, 1, PULSE), others_of(SHORT)
    now, take = 0.0, []
    for wait, pitch in played:
        now += wait
        take.append(TakeStroke(now, pitch))
    result = followed(others, {0: moments}, tuple(take), FollowOptions(give))
    told = result.timeline.strikes
    assert [(s.player, s.voice, s.pitch, s.offset) for s in told] == [
        (s.player, s.voice, s.pitch, s.offset) for s in others.strikes[: len(told)]
    ]
    assert all(b.seconds >= a.seconds for a, b in pairwise(told))
    assert all(strike.seconds >= 0 for strike in told)


def test_the_clock_finds_a_new_tempo_within_a_few_strokes() -> None:
    clock = LeaderClock(0.0, 10.0)
    for stroke in range(1, 9):
        clock.heard(0.5 * stroke, 10.0 + 0.5 * stroke)
    assert clock.expected(4.5) == pytest.approx(14.5, abs=0.002)
    for stroke in range(1, 7):
        clock.heard(4.0 + 0.5 * stroke, 14.0 + 0.6 * stroke)
    assert clock.rate == pytest.approx(1.2, abs=0.03)
    assert clock.expected(7.5) == pytest.approx(14.0 + 0.6 * 7, abs=0.02)


def test_moments_are_the_players_own() -> None:
    moments = leader_moments(PIECE, SHORT, 3, PULSE)
    strokes = [s for s in PIECE.player(3).strokes if 16 <= s.bar < 24 and s.kind is not StrokeKind.GRACE]
    places = sorted({PIECE.offset(s.place) for s in strokes})
    begin = PIECE.bars[16].start
    # The passage is at 104 throughout.
    assert [m.seconds for m in moments] == pytest.approx([float(at - begin) * 60 / 104 for at in places])
    assert moments[0].pitches == frozenset(p for s in strokes if PIECE.offset(s.place) == places[0] for p in s.pitches)
    assert LeaderMoment(0.0).until == 0.0


def test_a_take_from_a_midi_file_and_the_bars_it_reached(tmp_path: Path) -> None:
    own = timeline(PIECE, SHORT, PlayOptions(PulseOptions(0.8), frozenset({1}), Thinning.NONE, count_in=0))
    half = [strike for strike in own.strikes if strike.offset < 16]
    path = tmp_path / "take.mid"
    path.write_bytes(midi_file(PIECE, SHORT, own, "take"))
    read = read_played_notes(path)
    assert [note.moment for note in read] == pytest.approx([strike.seconds for strike in own.strikes], abs=1e-3)
    options = TrackOptions(1, click=Thinning.NONE, count_in=0)
    reached, sounds = followed_track(PIECE, Passage("x", SHORT), options, Takes({1: read}), FollowOptions())
    assert reached.route == SHORT
    # At four fifths of the tempo the others take as long as the player did.
    assert sounds.bars[-1].seconds == pytest.approx(own.bars[-1].seconds, abs=0.1)
    early, shorter = followed_track(PIECE, Passage("x", SHORT), options, Takes({1: read[: len(half)]}), FollowOptions())
    assert 3 <= len(early.route.visits) <= 5
    midi = mido.MidiFile(file=io.BytesIO(midi_file(PIECE, early.route, shorter, "t")))
    assert len(midi.tracks) >= 1 + 3


def test_what_cannot_be_followed_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "text.mid").write_text("no music")
    empty = mido.MidiFile()
    empty.add_track()
    empty.save(str(tmp_path / "empty.mid"))
    for name, said in (
        ("text.mid", "cannot be read as MIDI"),
        ("none.mid", "no such file"),
        ("empty.mid", "holds no notes"),
    ):
        with pytest.raises(RequestError, match=said):
            read_played_notes(tmp_path / name)
    rests = next(
        (bar.index, player.number)
        for bar in PIECE.bars
        for player in PIECE.players
        if not any(stroke.bar == bar.index for stroke in player.strokes)
    )
    passage = Passage("x", Route(bars(PIECE, [rests[0]]).visits))
    with pytest.raises(RequestError, match="strikes nothing"):
        followed_track(
            PIECE,
            passage,
            TrackOptions(rests[1], count_in=0),
            Takes({rests[1]: (PlayedNote(0.0, 60),)}),
            FollowOptions(),
        )


def test_the_command_writes_the_others_with_the_take(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from tui.command import run

    own = timeline(PIECE, SHORT, PlayOptions(PulseOptions(0.8), frozenset({1}), Thinning.NONE, count_in=0))
    take = tmp_path / "take.mid"
    take.write_bytes(midi_file(PIECE, SHORT, own, "take"))
    asked = ["tracks", str(SAMPLE), "--player", "1", "--bars", "17-24", "--as", "mid", "--out", str(tmp_path)]
    assert run([*asked, "--follow", str(take)]) == 0
    written = Path(capsys.readouterr().out.strip().splitlines()[-1])
    names = [track.name for track in mido.MidiFile(str(written), charset="utf-8").tracks]
    assert {"Player 1", "Player 2", "Player 3", "Click"} <= set(names)
    # With a bar counted in it lasts as long as the take does, and not as the score says.
    assert mido.MidiFile(str(written)).length == pytest.approx(own.seconds + 4 * 60 / 104, abs=2.5)
    assert run([*asked, "--follow", str(tmp_path / "none.mid")]) == 2
    assert "none.mid: no such file" in capsys.readouterr().err
