"""A group recorded with a microphone each, in a tempo of its own, its leads and lags known."""

import json
import math
import re
from fractions import Fraction
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import soundfile

from score.reading.read_file import read_score
from score.takes.expected_strokes import ExpectedPass, expected_pass
from score.takes.group_hearing import GroupHeard, PlayerHeard, hear_group
from score.takes.group_timing import LEAST_BARS, pair_timings
from score.takes.group_words import group_words
from score.time.route import bars, whole
from tests.conftest import MakePiece
from tests.strokes.struck_sounds import Sound, noise, sounded
from tests.takes.performed_passes import performed
from tui.command import run

SCORE = Path(__file__).parents[2] / "samples/trio-plain.musicxml"
TRIO = read_score(SCORE).piece
BARS = list(range(8))
ROUTE = bars(TRIO, BARS)
NUMBERS = [player.number for player in TRIO.players]
LEAK = 10 ** (-15 / 20)
LATE = {NUMBERS[0]: 0.0, NUMBERS[1]: 0.018, NUMBERS[2]: -0.006}


def tempo(seconds: float) -> float:
    """A group a little slower than written that breathes."""
    return 1.0 + 1.04 * seconds + 0.02 * math.sin(seconds * 1.4)


@cache
def rehearsed() -> tuple[list[ExpectedPass], list[list[float | None]], list[Sound]]:
    """What is written, when it was played, and each microphone."""
    rng = np.random.default_rng(170)
    written = [expected_pass(TRIO, ROUTE, number) for number in NUMBERS]
    truth, own = [], []
    for number, part in zip(NUMBERS, written, strict=True):
        played = performed(part, 170 + number, 0.012, mean=LATE[number], voice="tom")
        truth.append([None if moment is None else tempo(moment) for moment in played.moments])
        blows = [b._replace(seconds=tempo(b.seconds), pitch=50 + 7 * number) for b in played.blows]
        own.append(sounded(blows, tempo(part.seconds) + 1.0, rng))
    heard = [
        0.2 * sum(sound if i == j else LEAK * sound for j, sound in enumerate(own)) + 0.002 * noise(rng, len(own[0]))
        for i in range(len(own))
    ]
    return written, truth, [np.asarray(sound, np.float32) for sound in heard]


def test_each_players_strokes_are_found_in_a_free_tempo() -> None:
    _, truth, microphones = rehearsed()
    group = hear_group(TRIO, ROUTE, NUMBERS, microphones)
    assert group.can_be_told
    for player, moments in zip(group.players, truth, strict=True):
        both = [(a, b) for a, b in zip(player.moments, moments, strict=True) if a is not None and b is not None]
        assert len(both) >= 0.95 * len(moments)
        assert sum(abs(a - b) <= 0.01 for a, b in both) >= 0.97 * len(both)


def test_one_microphone_for_all_says_what_cannot_be_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, _, microphones = rehearsed()
    rng = np.random.default_rng(171)
    paths = []
    for number in range(len(NUMBERS)):
        path = tmp_path / f"{number}.wav"
        soundfile.write(path, (0.8 + 0.1 * number) * microphones[0] + 1e-4 * noise(rng, len(microphones[0])), 48_000)
        paths.append(str(path))
    assert run(["takes", str(SCORE), "--bars", "1-8", "--together", *paths]) == 0
    assert "nobody can say whose stroke is whose" in capsys.readouterr().out
    assert run(["takes", str(SCORE), "--together", *paths[:2]]) == 2
    assert "2 recordings for 3 players" in capsys.readouterr().err


def test_a_file_with_a_channel_each_is_told_pair_by_pair(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    written, truth, microphones = rehearsed()
    path = tmp_path / "all.wav"
    soundfile.write(path, np.stack(microphones, axis=1), 48_000)
    assert run(["takes", str(SCORE), "--bars", "1-8", "--together", str(path), "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["judged"] is True
    for pair in said["pairs"]:
        a, b = (NUMBERS.index(number) for number in pair["players"])
        first = dict(zip([s.offset for s in written[a].strokes], truth[a], strict=True))
        second = dict(zip([s.offset for s in written[b].strokes], truth[b], strict=True))
        apart = [1000 * (y - x) for k, x in first.items() if (y := second.get(k)) is not None and x is not None]
        if pair["asynchrony_ms"] is not None:
            assert pair["asynchrony_ms"] == pytest.approx(np.std(apart), abs=3.5)
        if pair["mean_ms"] is not None:
            assert pair["mean_ms"] == pytest.approx(np.mean(apart), abs=3)
    run(["takes", "--help"])
    words = set(re.findall(r"\w+", capsys.readouterr().out))
    assert {key.removesuffix("_interval") for key in (*said, *said["players"][0], *said["pairs"][0])} <= words


def test_who_takes_up_the_others_pace_a_bar_later_is_led(make_piece: MakePiece) -> None:
    count = 2 * LEAST_BARS
    piece = make_piece("|".join(["x.x."] * count), "|".join(["x.x."] * count))
    rng = np.random.default_rng(172)
    first_pace = 0.05 * rng.standard_normal(count)
    second_pace = np.concatenate([[0.0], first_pace[:-1]]) + 0.01 * rng.standard_normal(count)
    players = []
    for number, pace in ((1, first_pace), (2, second_pace)):
        expected = expected_pass(piece, whole(piece), number)
        starts = np.concatenate([[0.0], np.cumsum(2.0 * (1 + pace))])
        moments = [
            float(starts[s.bar] + float(s.at) / 4 * (starts[s.bar + 1] - starts[s.bar])) for s in expected.strokes
        ]
        players.append(PlayerHeard(number, expected, tuple(moments)))
    group = GroupHeard(tuple(players), 1.0)
    (pair,) = pair_timings(group)
    assert pair.leader == 1
    assert pair.shared == 2 * count
    assert players[0].expected.strokes[1].at == Fraction(2)
    # Rasch (1979): trios of winds and strings; Timmers and others (2014): who went with whom in a string quartet.
    published = [line for line in group_words(piece, group, [pair]) if "For comparison" in line]
    assert ["Rasch, 1979" in line or "Timmers and others, 2014" in line for line in published] == [True, True]
    assert len(list(group_words(piece, group, [pair._replace(leader=None)]))) == 4
