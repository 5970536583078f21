"""A pass played back with the others in step: onsets measured in the sound that comes out, against when they belong.

Matched as mir_eval matches onsets (Raffel et al., 2014), with a window of five milliseconds.
"""

import json
from dataclasses import replace
from datetime import UTC, datetime
from math import cos, pi
from pathlib import Path
from typing import Any

import mir_eval
import numpy as np
import pretty_midi
import pytest
import soundfile

from score.errors import RequestError
from score.group.group_file import read_group
from score.playback.mixing import render
from score.playback.sound_events import RECORDING_PLAYER, Timeline
from score.playback.timeline import PlayOptions, timeline
from score.reading.read_file import read_score
from score.strokes.onsets import LIKELY, onsets
from score.strokes.spectral_rise import RATE, loudness, rises, spectra
from score.takes.history import History
from score.takes.in_step import PassOver, in_step
from score.takes.judged_pass import Delay, DelayFrom
from score.takes.kept_audio import KeptAudio
from score.takes.kept_takes import KeptTake, KeptTakes, TakeOf
from score.takes.pass_judging import unjudged
from score.takes.played_back import take_over, take_with_others
from score.takes.played_pass import judge_played
from score.takes.sound_pass import AlongMix, PassHints, judge_sound
from score.time.pulse import PulseOptions
from score.time.route import bars
from tests.strokes.struck_sounds import Sound, active_level, noise, sounded
from tests.takes.performed_passes import Errors, Performed, performed
from tui.command import run

SCORE = Path(__file__).parents[2] / "samples/quartet.musicxml"
PIECE = read_score(SCORE).piece
ROUTE = bars(PIECE, list(range(16, 24)))
PULSE = PulseOptions(0.7)
OVER = PassOver(ROUTE, 1, PULSE)
EXPECTED = OVER.expected(PIECE)
OTHERS = timeline(PIECE, ROUTE, PlayOptions(PULSE, frozenset({2, 3, 4})))
DELAY, DRIFT = 0.0837, 8e-5
ASKED = ["--player", "1", "--bars", "17-24", "--tempo", "70%"]


def mixed(sounds: Timeline) -> Sound:
    return np.concatenate([block.mean(axis=1) for block in render(sounds)]).astype(np.float32)


def recording(played: Performed, seed: int) -> Sound:
    """The player, and the loudspeakers later and softer, by a clock of its own."""
    rng = np.random.default_rng(seed)
    sent = mixed(OTHERS)
    start = OTHERS.starts + DELAY
    own = sounded([blow._replace(seconds=blow.seconds + start) for blow in played.blows], len(sent) / RATE + 1, rng)
    bleed = np.zeros_like(own)
    late = round(DELAY * RATE)
    bleed[late : late + len(sent)] = sent[: len(own) - late]
    sound = own / active_level(own) + 0.25 * bleed / active_level(bleed) + 0.03 * noise(rng, len(own))
    places = np.arange(int(len(sound) * (1 + DRIFT)) - 2) / (1 + DRIFT)
    return np.asarray(0.1 * np.interp(places, np.arange(len(sound)), sound), np.float32)


def heard_in(sound: Sound) -> np.ndarray:
    bands = spectra(sound)
    return np.array([onset.seconds for onset in onsets(rises(bands, loudness(bands)), LIKELY)])


def moments(sounds: Timeline, players: set[int]) -> list[float]:
    """When somebody strikes, strokes at one moment counted once."""
    seconds = sorted(strike.seconds for strike in sounds.strikes if strike.player in players)
    return [second for before, second in zip([-1.0, *seconds], seconds, strict=False) if second - before > 0.03]


@pytest.mark.campaign
def test_the_others_stand_where_they_belong_in_the_file_that_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Loudspeakers heard, delay and drift not told: strokes of all four in the file, to five milliseconds."""
    played = performed(EXPECTED, 140, 0.0)
    soundfile.write(tmp_path / "pass.wav", recording(played, 140), RATE)
    soundfile.write(tmp_path / "mix.wav", mixed(OTHERS), RATE)
    out = tmp_path / "both.wav"
    asked = ["--hear", str(tmp_path / "pass.wav"), "--accompanied", str(tmp_path / "mix.wav"), "--mixed", str(out)]
    assert run(["takes", str(SCORE), *ASKED, *asked, "--json"]) == 0
    said: dict[str, Any] = json.loads(capsys.readouterr().out)
    assert said["delay_ms"] == pytest.approx(1000 * DELAY, abs=1.5)
    sound, rate = soundfile.read(out, dtype="float32")
    assert rate == RATE
    everybody = [s for s in OTHERS.strikes if s.player] + [
        replace(OTHERS.strikes[0], seconds=OTHERS.starts + stroke.seconds, player=1) for stroke in EXPECTED.strokes
    ]
    all_four = replace(OTHERS, strikes=tuple(sorted(everybody, key=lambda s: s.seconds)))
    truth = (np.array(moments(all_four, {1, 2, 3, 4})) + DELAY) * (1 + DRIFT)
    heard = heard_in(sound.mean(axis=1))
    heard = heard[heard > OTHERS.starts]
    assert mir_eval.onset.f_measure(truth, heard, window=0.005)[2] >= 0.97


def kept(played: Performed, folder: Path, seed: int) -> KeptTake:
    """A pass with its sound as the practice screen keeps it."""
    sound = recording(played, seed)
    judged = judge_sound(EXPECTED, sound, PassHints(AlongMix(mixed(OTHERS), OTHERS.starts)))
    audio = KeptAudio(folder, 100).keep(sound, datetime(2026, 3, 1, 12, tzinfo=UTC)).name
    takes = KeptTakes(History(folder / "history.sqlite"))
    takes.keep(TakeOf(PIECE.digest, 1, range(16, 24), 0.7, "sound", audio=audio, route=ROUTE), judged)
    return takes.of(PIECE.digest, 1)[0]


def with_others(take: KeptTake, folder: Path) -> Timeline:
    return take_with_others(PIECE, take_over(PIECE, read_group(folder / "none.toml"), take), take, folder, folder)


@pytest.mark.campaign
def test_a_kept_pass_is_left_as_it_is_and_each_stroke_of_the_others_stands_in_its_time(tmp_path: Path) -> None:
    take = kept(performed(EXPECTED, 141, 0.015, mean=0.012), tmp_path, 141)
    sounds = with_others(take, tmp_path)
    bent = [strike for strike in sounds.strikes if strike.player != RECORDING_PLAYER]
    written = [strike for strike in OTHERS.strikes if strike.player]
    due = [(strike.seconds + DELAY) * (1 + DRIFT) for strike in written]
    assert [(s.player, s.pitch, s.offset) for s in bent] == [(s.player, s.pitch, s.offset) for s in written]
    np.testing.assert_allclose([strike.seconds for strike in bent], due, atol=0.002)
    own = mixed(replace(sounds, strikes=tuple(s for s in sounds.strikes if s.player == RECORDING_PLAYER)))
    heard, _ = soundfile.read(tmp_path / take.what.audio, dtype="float32")
    scale = float(own[: len(heard)] @ heard / (heard @ heard))
    np.testing.assert_allclose(own[300 : len(heard) - 300], scale * heard[300:-300], atol=1e-4)


def in_free_time(seconds: float) -> float:
    """Slower by a fifth in the middle, and back."""
    return 1.3 + 1.05 * seconds + 0.8 * (1 - cos(2 * pi * seconds / EXPECTED.seconds))


def test_in_free_time_the_others_strike_with_the_player(tmp_path: Path) -> None:
    """A MIDI file without a click: where another strikes with the player, both are one onset."""
    played = performed(EXPECTED, 142, 0.006)
    file = pretty_midi.PrettyMIDI(resolution=960)
    notes = pretty_midi.Instrument(12)
    for blow in played.blows:
        start = in_free_time(blow.seconds)
        notes.notes.append(pretty_midi.Note(90, round(blow.pitch), start, start + 0.05))
    file.instruments.append(notes)
    file.write(str(tmp_path / "free.mid"))
    out = tmp_path / "both.wav"
    assert run(["takes", str(SCORE), *ASKED, "--hear", str(tmp_path / "free.mid"), "--mixed", str(out)]) == 0
    sound, _ = soundfile.read(out, dtype="float32")
    struck = {
        float(s.offset): in_free_time(m) for s, m in zip(EXPECTED.strokes, played.moments, strict=True) if m is not None
    }
    shared = sorted({struck[s.offset] for s in OTHERS.strikes if s.player and s.offset in struck})
    assert len(shared) > 15
    heard = heard_in(sound.mean(axis=1))
    assert mir_eval.onset.f_measure(np.array(shared), heard, window=0.005)[2] >= 0.97


def test_without_a_sound_the_strokes_are_heard_where_they_were_struck(tmp_path: Path) -> None:
    played = performed(EXPECTED, 143, 0.02, Errors(0.1, 0.0, 0.0))
    judged = judge_played(EXPECTED, [n._replace(seconds=n.seconds + 1.0) for n in played.notes], start=1.0)
    takes = KeptTakes(History(tmp_path / "history.sqlite"))
    takes.keep(TakeOf(PIECE.digest, 1, range(16, 24), 0.7, "key", route=ROUTE), judged)
    sounds = with_others(takes.of(PIECE.digest, 1)[0], tmp_path)
    struck = moments(sounds, {1})
    np.testing.assert_allclose(struck, [1.0 + moment for moment in played.moments if moment is not None], atol=0.002)
    others = [s.seconds for s in sounds.strikes if s.player != 1]
    due = [1.0 + s.seconds - OTHERS.starts for s in OTHERS.strikes if s.player]
    np.testing.assert_allclose(others, due, atol=0.002)


def test_a_pass_that_was_not_judged_is_refused_in_one_line() -> None:
    judged = unjudged(EXPECTED, 0.0, Delay(0.0, DelayFrom.NOTHING), "the recording is silent")
    with pytest.raises(RequestError, match="the recording is silent"):
        in_step(EXPECTED, judged)


def test_what_names_no_pass_is_one_line(capsys: pytest.CaptureFixture[str], monkeypatch, tmp_path: Path) -> None:
    monkeypatch.setattr("tui.settings.history_path", lambda: tmp_path / "history.sqlite")
    assert run(["takes", str(SCORE), "--listen"]) == 2
    assert "no pass is named" in capsys.readouterr().err
    assert run(["takes", str(SCORE), "--take", "7", "--listen"]) == 2
    assert "no pass of this piece has number 7" in capsys.readouterr().err
