"""A recorded pass, judged: what was played, missed and added comes back, in sounds the product has no part in."""

import math
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from score.reading.read_file import read_score
from score.strokes.struck_pitch import LOWEST, pitch_evidence
from score.takes.expected_strokes import ExpectedPass, expected_pass
from score.takes.judged_pass import DelayFrom, JudgedPass, StrokeState
from score.takes.sound_pass import AlongMix, PassHints, judge_sound
from score.time.route import bars
from tests.strokes.struck_sounds import RATE, Blow, Sound, active_level, noise, room, sounded, through
from tests.takes.performed_passes import Errors, Performed, performed

QUARTET = read_score(Path(__file__).parents[2] / "samples/quartet.musicxml").piece
EXPECTED = expected_pass(QUARTET, bars(QUARTET, list(range(16, 20))), 1)
LEAD = EXPECTED.counts[1].seconds
DELAY = 0.0837


def recorded(expected: ExpectedPass, played: Performed, seed: int, snr: float = 30.0, clicks: float = 0.3) -> Sound:
    """A pass in a room with a count-in, the whole `DELAY` late."""
    rng = np.random.default_rng(seed)
    start = LEAD + DELAY
    seconds = start + expected.seconds + 1.0
    sound = sounded([b._replace(seconds=b.seconds + start) for b in played.blows], seconds, rng)
    sound = through(sound, room(rng))
    sound /= active_level(sound)
    counted = expected.counts[1]
    beats = [Blow(DELAY + counted.at(beat), 100, clicks * 5, "click") for beat in counted.beats]
    sound += sounded(beats, seconds, rng)
    return np.asarray(0.1 * (sound + noise(rng, len(sound)) * 10 ** (-snr / 20)), np.float32)


def errors_ms(judgement: JudgedPass, played: Performed) -> list[float]:
    """How far off the moments of played strokes are, milliseconds; 99 for one that was not heard."""
    written = [stroke for stroke in judgement.strokes if stroke.state is not StrokeState.EXTRA]
    start = LEAD + DELAY
    return [
        99.0 if stroke.seconds is None else 1000 * (stroke.seconds - moment - start)
        for stroke, moment in zip(written, played.moments, strict=True)
        if moment is not None
    ]


def test_a_pass_comes_back_stroke_by_stroke() -> None:
    played = performed(EXPECTED, 101, errors=Errors(missed=0.05, extra=0.03), mean=0.012)
    judgement = judge_sound(EXPECTED, recorded(EXPECTED, played, 101))
    off = errors_ms(judgement, played)
    assert sum(abs(ms) <= 10 for ms in off) >= 0.99 * len(off)
    assert judgement.judged
    written = [stroke for stroke in judgement.strokes if stroke.state is not StrokeState.EXTRA]
    missed = [stroke.state is StrokeState.MISSED for stroke in written]
    assert missed == [moment is None for moment in played.moments]
    extra = [stroke.seconds or 0 for stroke in judgement.strokes if stroke.state is StrokeState.EXTRA]
    assert all(min(abs(second - LEAD - DELAY - truth) for truth in played.extra) < 0.01 for second in extra)


def test_single_notes_from_c4_up_that_are_wrong_are_named() -> None:
    played = performed(EXPECTED, 114, errors=Errors(wrong=0.15))
    judgement = judge_sound(EXPECTED, recorded(EXPECTED, played, 114))
    written = [stroke for stroke in judgement.strokes if stroke.state is not StrokeState.EXTRA]
    wrong = {at for at, stroke in enumerate(written) if stroke.state is StrokeState.WRONG}
    single = {at for at, s in enumerate(EXPECTED.strokes) if len(s.pitches) == 1 and min(s.pitches) >= LOWEST}
    assert len(played.wrong & single) >= 4
    assert len(wrong & played.wrong) >= 0.9 * len(wrong)
    assert len(wrong & played.wrong) >= 0.9 * len(played.wrong & single)
    right = judge_sound(EXPECTED, recorded(EXPECTED, performed(EXPECTED, 113), 113))
    assert StrokeState.WRONG not in {stroke.state for stroke in right.strokes}


def test_mean_spread_and_delay_are_those_that_were_played() -> None:
    played = performed(EXPECTED, 102, mean=-0.015)
    judgement = judge_sound(EXPECTED, recorded(EXPECTED, played, 102))
    truth = [1000 * (m - s.seconds) for m, s in zip(played.moments, EXPECTED.strokes, strict=True) if m is not None]
    assert judgement.delay.origin is DelayFrom.COUNT_IN
    assert judgement.delay.seconds == pytest.approx(DELAY, abs=0.001)
    assert judgement.mean_ms == pytest.approx(np.mean(truth), abs=2)
    assert judgement.spread_ms == pytest.approx(np.std(truth), rel=0.1)


def test_without_a_count_in_nobody_says_how_late_the_whole_is() -> None:
    played = performed(EXPECTED, 103, mean=0.03)
    judgement = judge_sound(EXPECTED, recorded(EXPECTED, played, 103, clicks=0.0))
    assert judgement.mean_ms is None
    assert judgement.spread_ms is not None
    assert judgement.mean_why.startswith("nothing tells the delay")


def test_silence_is_said_to_be_silence() -> None:
    judgement = judge_sound(EXPECTED, np.zeros(10 * RATE, np.float32))
    assert (judgement.judged, judgement.mean_ms) == (False, None)
    assert "silent" in judgement.why
    assert {stroke.state for stroke in judgement.strokes} == {StrokeState.UNSURE}


@pytest.mark.parametrize("frames", [100, 239, 2000, 9000])
def test_a_recording_that_is_over_at_once_is_said_to_be(frames: int) -> None:
    judgement = judge_sound(EXPECTED, noise(np.random.default_rng(5), frames))
    assert judgement.why == "the recording is over at once: record the whole pass"
    assert {stroke.state for stroke in judgement.strokes} == {StrokeState.UNSURE}


def test_a_stroke_before_the_recording_begins_has_a_pitch_to_be_looked_for() -> None:
    evidence = pitch_evidence(noise(np.random.default_rng(6), RATE // 4), -0.06, 0.2)
    assert evidence.shape == (49,)
    assert float(evidence.max()) == pytest.approx(1.0)


def test_another_players_pass_is_not_judged() -> None:
    played = performed(EXPECTED, 104)
    other = expected_pass(QUARTET, EXPECTED.route, 3)
    judgement = judge_sound(other, recorded(EXPECTED, played, 104))
    assert not judgement.judged
    assert "check score, player, bars and tempo" in judgement.why


def test_loudspeakers_in_the_room_are_taken_away() -> None:
    played = performed(EXPECTED, 105, errors=Errors(missed=0.05))
    rng = np.random.default_rng(105)
    clean = recorded(EXPECTED, played, 105, clicks=0.0)
    times = np.arange(0, LEAD + EXPECTED.seconds, 0.3)
    mix = sounded([Blow(second, 55 + 3 * k % 20, 0.7, "vibraphone") for k, second in enumerate(times)], 60, rng)
    mix = mix[: len(clean)]
    bleed = through(mix, np.concatenate([np.zeros(round(DELAY * RATE), np.float32), room(rng, 0.4, 0.0)]))
    heard = clean + 0.1 * bleed / active_level(bleed) * 10 ** (-12 / 20)
    judgement = judge_sound(EXPECTED, heard.astype(np.float32), PassHints(AlongMix(mix, LEAD)))
    assert judgement.delay.origin is DelayFrom.MIX
    assert judgement.delay.seconds == pytest.approx(DELAY, abs=0.0005)
    off = errors_ms(judgement, played)
    assert sum(abs(ms) <= 10 for ms in off) >= 0.97 * len(off)


def test_what_the_loudspeakers_hide_is_unsure_and_what_is_called_missed_was_missed() -> None:
    """Somebody else strikes the same notes at every written moment; a sixth of the player's strokes are missed."""
    played = performed(EXPECTED, 109, errors=Errors(missed=0.17))
    rng = np.random.default_rng(109)
    clean = recorded(EXPECTED, played, 109, clicks=0.0)
    blows = [Blow(LEAD + stroke.seconds, min(stroke.pitches)) for stroke in EXPECTED.strokes]
    mix = sounded(blows, len(clean) / RATE, rng)[: len(clean)]
    bleed = through(mix, np.concatenate([np.zeros(round(DELAY * RATE), np.float32), room(rng, 0.4, 0.0)]))
    heard = clean + 0.1 * bleed / active_level(bleed) * 10 ** (-12 / 20)
    judgement = judge_sound(EXPECTED, heard.astype(np.float32), PassHints(AlongMix(mix, LEAD)))
    written = [stroke for stroke in judgement.strokes if stroke.state is not StrokeState.EXTRA]
    missed = [s for s, moment in zip(written, played.moments, strict=True) if moment is None]
    struck = [s for s, moment in zip(written, played.moments, strict=True) if moment is not None]
    assert len(missed) >= 5
    assert sum(s.state.is_timed for s in missed) <= 1
    assert StrokeState.MISSED not in {s.state for s in struck}
    assert sum(s.state is StrokeState.UNSURE for s in struck) <= 0.05 * len(struck)
    assert any("headphones" in remark for remark in judgement.remarks)


def test_a_silent_player_is_credited_with_nothing() -> None:
    rng = np.random.default_rng(106)
    frames = int((LEAD + EXPECTED.seconds + 1) * RATE)
    others = performed(EXPECTED, 106, 0.002)
    blows = [b._replace(seconds=b.seconds + LEAD, pitch=b.pitch - 5) for b in others.blows]
    mix = sounded(blows, frames / RATE, rng)
    bleed = through(mix, np.concatenate([np.zeros(round(DELAY * RATE), np.float32), room(rng, 0.4, 0.0)]))
    heard = 0.1 * (bleed / active_level(bleed) * 0.25 + noise(rng, frames) * 10 ** (-30 / 20))
    judgement = judge_sound(EXPECTED, heard.astype(np.float32), PassHints(AlongMix(mix, LEAD)))
    claimed = sum(stroke.state.is_timed for stroke in judgement.strokes)
    assert claimed <= 0.03 * len(EXPECTED.strokes)


def test_a_player_alone_in_free_time_is_followed_by_pitch() -> None:
    rng = np.random.default_rng(107)
    played = performed(EXPECTED, 107, 0.012, Errors(0.03, 0.03, 0.03))

    def free(seconds: float) -> float:
        return 0.8 + 1.15 * seconds + 0.03 * math.sin(1.5 * seconds)

    blows = [blow._replace(seconds=free(blow.seconds)) for blow in played.blows]
    sound = sounded(blows, free(EXPECTED.seconds) + 1.0, rng)
    heard = 0.1 * (sound / active_level(sound) + noise(rng, len(sound)) * 10 ** (-30 / 20))
    judgement = judge_sound(EXPECTED, heard.astype(np.float32))
    assert judgement.judged
    assert judgement.mean_ms is None
    assert any("free time" in remark for remark in judgement.remarks)
    written = [stroke for stroke in judgement.strokes if stroke.state is not StrokeState.EXTRA]
    right = [
        stroke.seconds is not None and abs(stroke.seconds - free(moment)) <= 0.015
        for stroke, moment in zip(written, played.moments, strict=True)
        if moment is not None
    ]
    assert sum(right) >= 0.95 * len(right)


def test_what_is_due_after_the_recording_ends_was_not_missed() -> None:
    played = performed(EXPECTED, 108)
    whole_pass = recorded(EXPECTED, played, 108)
    ends = LEAD + DELAY + 0.7 * EXPECTED.seconds
    judgement = judge_sound(EXPECTED, whole_pass[: int(ends * RATE)])
    states = [s.state for s in judgement.strokes if s.expected is not None and s.expected > ends]
    assert states
    assert set(states) == {StrokeState.UNSURE}
    assert StrokeState.MISSED not in [stroke.state for stroke in judgement.strokes]


def test_a_recording_that_begins_in_the_middle_is_placed_by_its_pitches() -> None:
    """The rhythm of these bars comes again two bars later; only the notes tell where the recording begins."""
    expected = expected_pass(QUARTET, bars(QUARTET, list(range(16, 24))), 1)
    played = performed(expected, 110, 0.012, Errors(missed=0.05))
    begins = LEAD + DELAY + expected.seconds / 3
    sound = recorded(expected, played, 110)[round(begins * RATE) :]
    judgement = judge_sound(expected, sound)
    assert judgement.judged
    assert judgement.mean_ms is None
    written = [stroke for stroke in judgement.strokes if stroke.state is not StrokeState.EXTRA]
    for stroke, due, moment in zip(written, expected.strokes, played.moments, strict=True):
        if due.seconds + LEAD + DELAY < begins - 0.03:
            assert stroke.state is StrokeState.UNSURE
        elif due.seconds + LEAD + DELAY > begins + 0.05:
            assert (stroke.state is StrokeState.MISSED) == (moment is None)
            assert stroke.seconds is None or abs(stroke.seconds + begins - (moment or 0.0) - LEAD - DELAY) < 0.01


def test_places_are_written_ones() -> None:
    assert (EXPECTED.strokes[0].bar, EXPECTED.strokes[0].at) == (16, Fraction(0))
    assert [stroke.bar for stroke in EXPECTED.strokes] == sorted(stroke.bar for stroke in EXPECTED.strokes)
