"""`inbreath takes` as it is typed: keys of the JSON, rows, chart, and one line for whatever cannot be judged."""

import csv
import io
import json
import os
import re
import struct
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pretty_midi
import pypdfium2
import pytest
import soundfile

from score.chunks.division import divide
from score.reading.read_file import read_score
from score.takes.expected_strokes import expected_pass
from score.takes.kept_takes import KeptTake, TakeOf
from score.takes.pass_json import takes_csv
from score.takes.played_pass import judge_played
from score.takes.takes_chart import ChartPass, takes_chart
from score.takes.takes_list import takes_json
from score.time.pulse import PulseOptions
from score.time.route import bars
from tests.takes.performed_passes import Errors, Performed, performed
from tui.command import run

SCORE = Path(__file__).parents[2] / "samples/quartet.musicxml"
PIECE = read_score(SCORE).piece
EXPECTED = expected_pass(PIECE, bars(PIECE, list(range(16, 24))), 1, PulseOptions(0.7))
ASKED = ["--player", "1", "--bars", "17-24", "--tempo", "70%"]
LEAD = EXPECTED.counts[1].seconds


@pytest.fixture(scope="module")
def take(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Performed]:
    """A pass at 70 % as a MIDI file, on the machine's own clock behind a bar of count-in that is not in it."""
    played = performed(EXPECTED, 130, 0.012, Errors(0.05, 0.05, 0.05), mean=-0.008)
    file = pretty_midi.PrettyMIDI(resolution=960)
    notes = pretty_midi.Instrument(12)
    for blow in played.blows:
        start = LEAD + blow.seconds
        notes.notes.append(pretty_midi.Note(round(127 * blow.strength), round(blow.pitch), start, start + 0.05))
    file.instruments.append(notes)
    path = tmp_path_factory.mktemp("take") / "take.mid"
    file.write(str(path))
    return path, played


@pytest.fixture(autouse=True)
def no_history(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing was practised before, wherever the tests run."""
    monkeypatch.setattr("tui.settings.history_path", lambda: tmp_path / "none.sqlite")


def asked(capsys: pytest.CaptureFixture[str], *more: str) -> str:
    """What the command prints."""
    assert run(["takes", str(SCORE), *ASKED, *more]) == 0
    return capsys.readouterr().out


def test_json_has_the_documented_keys_and_what_was_played(
    capsys: pytest.CaptureFixture[str], take: tuple[Path, Performed]
) -> None:
    path, played = take
    said: dict[str, Any] = json.loads(asked(capsys, "--hear", str(path), "--json"))
    assert said["judged"] is True
    assert said["why"] == ""
    low, high = said["mean_ms_interval"]
    assert low < said["mean_ms"] < high
    strokes = [stroke for stroke in said["strokes"] if stroke["state"] != "extra"]
    assert [(s["bar"], Fraction(s["at"])) for s in strokes] == [(e.bar, e.at) for e in EXPECTED.strokes]
    for index, (stroke, moment) in enumerate(zip(strokes, played.moments, strict=True)):
        if moment is None:
            assert (stroke["state"], stroke["offset_ms"], stroke["seconds"]) == ("missed", None, None)
        else:
            assert (stroke["state"] == "wrong") == (index in played.wrong)
            assert stroke["seconds"] == pytest.approx(LEAD + moment, abs=0.003)
            assert stroke["offset_ms"] == pytest.approx(1000 * (moment - EXPECTED.strokes[index].seconds), abs=3)
    truth = [m - e.seconds for m, e in zip(played.moments, EXPECTED.strokes, strict=True) if m is not None]
    assert said["mean_ms"] == pytest.approx(1000 * np.mean(truth), abs=2)
    assert said["delay_ms"] == 0


def test_findings_are_those_of_what_was_played(
    capsys: pytest.CaptureFixture[str], take: tuple[Path, Performed]
) -> None:
    path, played = take
    said: dict[str, Any] = json.loads(asked(capsys, "--hear", str(path), "--json"))
    findings = said["findings"]
    assert findings.keys() == {"tempo", "hands", "places", "partners", "lost_strokes"}
    pairs = zip(played.moments, EXPECTED.strokes, strict=True)
    truth = [1000 * (m - e.seconds) for k, (m, e) in enumerate(pairs) if m is not None and k not in played.wrong]
    third = len(truth) // 3
    moved = float(np.mean(truth[-third:]) - np.mean(truth[:third]))
    assert findings["tempo"]["moved_ms"] == pytest.approx(moved, abs=1.5)
    low, high = findings["tempo"]["moved_ms_interval"]
    assert low < findings["tempo"]["moved_ms"] < high
    lost = {e.bar for m, e in zip(played.moments, EXPECTED.strokes, strict=True) if m is None}
    assert {place["bar"] for place in findings["lost_strokes"]} == lost
    assert said["mean_why"] == ""
    run(["takes", "--help"])
    help_text = " ".join(capsys.readouterr().out.split())
    keys = {*said, *said["strokes"][0], *findings, *findings["tempo"]}
    assert {key for key in keys if key.removesuffix("_interval") not in help_text} == set()


def test_why_there_is_no_mean_is_said(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """The file begins somewhere, at the player's own first stroke: spread, and no mean; few strokes: neither."""
    played = performed(EXPECTED, 131, 0.012)
    file = pretty_midi.PrettyMIDI(resolution=960)
    notes = pretty_midi.Instrument(12)
    for blow in played.blows:
        notes.notes.append(pretty_midi.Note(90, round(blow.pitch), blow.seconds + 0.73, blow.seconds + 0.78))
    file.instruments.append(notes)
    path = tmp_path / "take.mid"
    file.write(str(path))
    said: dict[str, Any] = json.loads(asked(capsys, "--hear", str(path), "--json"))
    assert (said["mean_ms"], said["mean_ms_interval"], said["delay_from"]) == (None, None, "strokes")
    assert said["spread_ms"] == pytest.approx(12, rel=0.3)
    assert said["mean_why"].startswith("nothing tells the delay")
    assert any(line.startswith("Nothing tells the delay") for line in asked(capsys, "--hear", str(path)).splitlines())


def test_csv_has_a_row_a_stroke_and_the_chart_a_page(
    capsys: pytest.CaptureFixture[str], take: tuple[Path, Performed], tmp_path: Path
) -> None:
    chart = tmp_path / "chart.pdf"
    rows = list(csv.DictReader(io.StringIO(asked(capsys, "--hear", str(take[0]), "--csv", "--chart", str(chart)))))
    assert {row["state"] for row in rows} <= {"early", "together", "late", "missed", "wrong", "extra", "unsure"}
    assert len([row for row in rows if row["state"] != "extra"]) == len(EXPECTED.strokes)
    document = pypdfium2.PdfDocument(chart)
    assert len(document) == 1
    text = document[0].get_textpage().get_text_range()
    assert "17-40" in text
    assert "missed" in text


def test_the_chart_shows_all_weeks_and_the_latest_dozen_of_each_chunk(tmp_path: Path) -> None:
    """Ten weeks of one chunk, then a day of two dozen passes of another: neither takes the other's place."""
    chunks = [chunk for chunk in divide(PIECE) if chunk.bars[0] in (16, 40)]
    first = datetime(2026, 3, 2, 18, tzinfo=UTC)
    days = [(chunks[0], first + timedelta(weeks=week), 0.5 + 0.05 * week) for week in range(10)]
    days += [(chunks[1], first + timedelta(weeks=10, minutes=5 * number), 0.8) for number in range(24)]
    passes = []
    for number, (chunk, at, tempo) in enumerate(days):
        expected = expected_pass(PIECE, bars(PIECE, list(chunk.bars)), 1, PulseOptions(tempo))
        notes = performed(expected, 140 + number, 0.015).notes
        passes.append(ChartPass(at, tempo, judge_played(expected, notes, start=0.0)))
    document = pypdfium2.PdfDocument(takes_chart(PIECE, 1, chunks, passes))
    before, after = (page.get_textpage().get_text_range() for page in document)
    assert all(words in before for words in ("9 passes before", "2026-03-02", "2026-05-04", "50", "95"))
    assert all(words in after for words in ("11 passes before", "2026-05-11", "80"))


def test_rows_of_kept_passes_have_the_number_of_their_pass() -> None:
    judged = judge_played(EXPECTED, performed(EXPECTED, 139, 0.01).notes, start=0.0)
    rows = list(csv.DictReader(io.StringIO(takes_csv([(7, judged), (12, judged)]))))
    assert [row["pass"] for row in rows] == ["7"] * len(judged.strokes) + ["12"] * len(judged.strokes)


def test_the_list_has_the_keys_that_the_help_names(capsys: pytest.CaptureFixture[str]) -> None:
    judged = judge_played(EXPECTED, performed(EXPECTED, 139, 0.01).notes, start=0.0)
    take = KeptTake(7, datetime(2026, 3, 2, 18, tzinfo=UTC), TakeOf("d", 1, range(16, 24), 0.7, "key"), judged=judged)
    run(["takes", "--help"])
    words = set(re.findall(r"\w+", capsys.readouterr().out))
    (said,) = takes_json([take])
    assert {key.removesuffix("_interval") for key in said} <= words


@pytest.mark.parametrize("delay", ["99999", "-99999"])
def test_a_delay_longer_than_the_file_is_one_line(
    capsys: pytest.CaptureFixture[str], take: tuple[Path, Performed], tmp_path: Path, delay: str
) -> None:
    sound = tmp_path / "pass.wav"
    soundfile.write(sound, np.zeros(48_000), 48_000)
    for path in (take[0], sound):
        assert run(["takes", str(SCORE), *ASKED, "--hear", str(path), "--delay", delay]) == 2
        (line,) = [line for line in capsys.readouterr().err.splitlines() if "Delay too long" in line]
        assert path.name in line


def test_words_say_what_became_of_the_strokes(capsys: pytest.CaptureFixture[str], take: tuple[Path, Performed]) -> None:
    lines = asked(capsys, "--hear", str(take[0])).splitlines()
    assert lines[0].startswith(f"{len(EXPECTED.strokes)} strokes: ")
    assert any(line.startswith("On average ") and " ± " in line for line in lines)
    assert any(line.startswith("Missed: bar ") for line in lines)


@pytest.mark.parametrize(
    ("name", "rate", "said"),
    [
        ("silent.wav", 48_000, "silent"),
        ("coarse.wav", 8_000, "record at 44,100 or 48,000"),
        ("none.wav", 0, "not there"),
    ],
)
def test_what_cannot_be_judged_is_one_line(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, name: str, rate: int, said: str
) -> None:
    path = tmp_path / name
    if rate:
        soundfile.write(path, np.zeros(5 * rate), rate)
    code = run(["takes", str(SCORE), *ASKED, "--hear", str(path)])
    printed = capsys.readouterr()
    lines = [line for line in (printed.out + printed.err).splitlines() if said in line]
    assert len(lines) == 1
    assert code == (0 if name == "silent.wav" else 2)
    assert "Traceback" not in printed.err


def test_three_hours_and_a_text_are_refused_before_they_are_read(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    long = tmp_path / "long.wav"
    # Three hours of silence: a header, and a file with nothing in it but holes.
    frames = 3 * 3600 * 16_000
    sound = struct.pack("<4sIHHIIHH", b"fmt ", 16, 1, 1, 16_000, 16_000, 1, 8)
    head = struct.pack("<4sI4s", b"RIFF", frames + 36, b"WAVE") + sound + struct.pack("<4sI", b"data", frames)
    long.write_bytes(head)
    os.truncate(long, len(head) + frames)
    assert run(["takes", str(SCORE), *ASKED, "--hear", str(long)]) == 2
    assert "180 minutes" in capsys.readouterr().err
    text = tmp_path / "text.wav"
    text.write_text("no sound")
    assert run(["takes", str(SCORE), *ASKED, "--hear", str(text)]) == 2
    assert "cannot be read as sound" in capsys.readouterr().err
