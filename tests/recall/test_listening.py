"""Questions to listen to: the music stops before the answer, two pure tones, silence, and the answer sounds."""

import json
from math import inf
from pathlib import Path

import numpy as np
import pytest
import soundfile

from score.activity.lanes import spelled_pitch
from score.memory.question_round import question_round
from score.piece import Piece, Player
from score.playback.sound_events import Strike
from score.reading import read_score
from score.recall.listening import HEARD, HeardQuestion, Listening, listening
from score.recall.listening_file import TONES
from score.time.pulse import PulseOptions
from tui.command import run

SAMPLE = Path(__file__).parents[2] / "samples" / "quartet.musicxml"


@pytest.fixture(scope="module")
def piece() -> Piece:
    return read_score(SAMPLE).piece


def heard(piece: Piece, number: int) -> tuple[Player, Listening]:
    player = piece.player(number)
    questions = [each for each in question_round(piece, player, 500) if each.kind in HEARD]
    return player, listening(piece, player, questions, PulseOptions())


def after(sounds: Listening, question: HeardQuestion) -> list[Strike]:
    return [strike for strike in sounds.sounds.strikes if question.goes_on <= strike.seconds < question.ends]


@pytest.mark.parametrize("number", [1, 2, 3, 4])
def test_nothing_sounds_while_one_thinks_and_what_comes_is_the_answer(piece: Piece, number: int) -> None:
    player, sounds = heard(piece, number)
    assert len(sounds.questions) >= 10
    numbers = {each.name: each.number for each in piece.players}
    for each in sounds.questions:
        assert each.goes_on - each.stops >= 4
        for strike in sounds.sounds.strikes:
            assert not each.stops <= strike.seconds < each.goes_on
            if each.begins <= strike.seconds < each.stops:
                assert strike.seconds + strike.length <= each.stops + 1e-6
            assert strike.length < inf
        coming = after(sounds, each)
        if each.question.kind == "moves":
            # Whoever rolls meanwhile goes on rolling.
            first = next(strike for strike in coming if strike.player == numbers[each.question.answer])
            assert first.seconds - each.goes_on < 0.1
        if each.question.kind in ("enters", "goes on", "fork"):
            own = next(strike for strike in coming if strike.player == number)
            key = piece.bars[each.question.bar].key
            name = spelled_pitch(round(own.pitch or 0), key)
            said = each.question.answer.partition(" on ")[0]
            assert (
                own.seconds - each.goes_on > 0.5
                if said == "rest"
                else name in said or any(instrument.name in said for instrument in player.instruments)
            )


def test_the_file_holds_two_pure_tones_in_silence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "listen.wav"
    asked = ["memory", str(SAMPLE), "--player", "2", "--questions", "3", "--listen", str(path), "--json"]
    assert run(asked) == 0
    ((values),) = json.loads(capsys.readouterr().out)
    sound, rate = soundfile.read(path, dtype="float32")
    assert len(sound) == pytest.approx(values["seconds"] * rate, abs=rate)
    assert len(values["questions"]) == 3
    for question in values["questions"]:
        first, last = (round((question["stops"] + at) * rate) for at in (0.5, 1.16))
        both = sound[first:last, 0]
        spectrum = np.abs(np.fft.rfft(both * np.hanning(len(both))))
        hertz = np.fft.rfftfreq(len(both), 1 / rate)
        loud = {round(float(hertz[place]) / 20) * 20 for place in np.nonzero(spectrum > 0.4 * spectrum.max())[0]}
        assert loud == set(TONES)
        think = sound[last + rate // 10 : round(question["goes_on"] * rate) - rate // 50]
        assert float(np.abs(think).max()) < 1e-3
        going_on = sound[round(question["goes_on"] * rate) : round((question["goes_on"] + 1.5) * rate)]
        assert float(np.abs(going_on).max()) > 0.02


def test_no_sound_file_of_ours_is_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["memory", str(SAMPLE), "--player", "2", "--listen", str(tmp_path / "listen.txt")]) == 2
    assert "No such sound format" in capsys.readouterr().err
    assert not list(tmp_path.iterdir())
