"""`inbreath recording` as a user meets it: what is documented, what is kept, one line for what cannot be used."""

import csv
import json
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
import soundfile

from score.reading import read_score
from tests.recording.performances import Performance, perform
from tests.recording.synthesis import RATE, claps, render, speech
from tui.command import run

STUDY = Path(__file__).parents[2] / "samples" / "study.musicxml"
SEED = 100
TALK = 4.0


@pytest.fixture(scope="module")
def played() -> Performance:
    return perform(read_score(STUDY).piece, SEED)


@pytest.fixture(scope="module")
def recording(played: Performance, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Talk, then the study: as FLAC."""
    path = tmp_path_factory.mktemp("recording") / "study.flac"
    music = render(played.sounds, played.seconds, cents=12)
    music = 0.7 * music / np.abs(music).max()
    soundfile.write(path, np.concatenate([speech(TALK), music]), RATE)
    return path


def _json(recording: Path, capsys: pytest.CaptureFixture[str]) -> dict[str, list[dict[str, object]]]:
    assert run(["recording", str(STUDY), str(recording), "--json"]) == 0
    said: dict[str, list[dict[str, object]]] = json.loads(capsys.readouterr().out)
    return said


def test_json_has_the_documented_keys_and_every_onset_its_second(
    played: Performance, recording: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    said = _json(recording, capsys)
    assert set(said) == {"begins", "ends", "tuning_cents", "order", "bars", "onsets", "players"}
    assert all(set(bar) == {"index", "pass", "start", "sure", "doubt"} for bar in said["bars"])
    assert all(set(onset) == {"bar", "pass", "at", "seconds"} for onset in said["onsets"])
    assert said["order"] == [bar.bar for bar in played.bars]
    assert said["tuning_cents"] == pytest.approx(12, abs=5)
    heard = {(onset["bar"], Fraction(str(onset["at"]))): onset["seconds"] for onset in said["onsets"]}
    errors = [abs(heard[moment.bar, moment.at] - moment.seconds - TALK) for moment in played.moments]  # type: ignore[operator]
    assert np.median(errors) <= 0.015
    assert np.mean(np.array(errors) > 0.05) <= 0.15


def test_a_second_opening_gives_the_same_from_what_was_kept(
    recording: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    first = _json(recording, capsys)
    monkeypatch.setattr("score.recording.finding_process._listening", None)
    assert _json(recording, capsys) == first
    assert run(["recording", str(STUDY), str(recording), "--csv"]) == 0
    rows = list(csv.DictReader(capsys.readouterr().out.splitlines()))
    assert [int(row["index"]) for row in rows] == first["order"]
    assert run(["recording", str(STUDY), str(recording)]) == 0
    assert "bars 1 to 16" in capsys.readouterr().out


def test_a_recording_goes_into_tracks_only_where_it_is_the_groups_own(
    recording: Path, played: Performance, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = ["tracks", str(STUDY), "--player", "1", "--recording", str(recording), "--out", str(tmp_path)]
    asked += ["--bars", "9-12", "--click", "none", "--count-in", "0", "--as", "flac"]
    assert run(asked) == 2
    assert "add --ours" in capsys.readouterr().err
    assert not list(tmp_path.iterdir())
    assert run([*asked, "--ours", "--as", "mid"]) == 2
    assert not list(tmp_path.iterdir())
    assert run([*asked, "--ours", "--tempo", "80%"]) == 0
    (track,) = tmp_path.glob("*.flac")
    seconds = (played.bars[11].end - played.bars[8].start) / 0.8
    # Tracks ring on for a second and a half.
    assert soundfile.info(track).duration == pytest.approx(seconds + 1.5, abs=0.3)


def test_a_recording_is_set_beside_others(recording: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["recording", str(STUDY), str(recording), "--beside", str(recording), "--json"]) == 0
    (other,) = json.loads(capsys.readouterr().out)["beside"]
    assert set(other) == {"file", "different", "bars"}
    assert other["different"] == []
    assert all(bar["tempo"] == bar["beside"] for bar in other["bars"])


@pytest.mark.parametrize(
    "sort", ["missing", "text", "film", "silence", "short", pytest.param("talk", marks=pytest.mark.campaign)]
)
def test_what_is_no_recording_of_the_piece_is_one_line_and_nothing_is_kept(
    sort: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("INBREATH_READINGS", str(tmp_path / "kept"))
    path = tmp_path / ("take.mp4" if sort == "film" else "take.wav")
    sounds = {
        "silence": np.zeros(RATE * 8),
        "talk": np.concatenate([speech(12.0), claps(4, 90)]),
        "short": np.ones(100),
    }
    if sort in sounds:
        soundfile.write(path, sounds[sort], RATE)
    elif sort != "missing":
        path.write_bytes(b"no sound at all" * 500)
    assert run(["recording", str(STUDY), str(path)]) == 2
    said = [line for line in capsys.readouterr().err.splitlines() if not line.endswith("...")]
    assert len(said) == 1
    assert not list((tmp_path / "kept").rglob("*.heard"))
