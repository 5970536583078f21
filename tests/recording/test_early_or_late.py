"""Who is early or late in a recording of everybody: figures of made-up strokes, and of a rendered performance."""

from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from score.piece import Piece
from score.recording.early_or_late import (
    LEAST_SAID_MS,
    PlayerWhen,
    early_or_late,
    early_or_late_json,
    early_or_late_lines,
)
from score.recording.find_bars import find_recording
from score.recording.heard_bars import HeardBar, HeardRecording, StrokeApart
from tests.recording.performances import Performance, perform
from tests.recording.random_pieces import random_piece
from tests.recording.rooms import in_a_room

SPREAD = 0.021
"""Seconds by which single strokes of a player vary, as in `tests.recording.performances`."""


@pytest.fixture(scope="module")
def trio() -> Piece:
    return random_piece(1)


def _heard(late: Mapping[int, float], moments: int) -> HeardRecording:
    """Moments half a second apart that everybody strikes, each player late by some seconds and by chance."""
    rng = np.random.default_rng(17)
    strokes = [
        StrokeApart(0, 1, Fraction(moment), player=player, seconds=moment / 2 + later + rng.normal(0, SPREAD))
        for moment in range(moments)
        for player, later in late.items()
    ]
    bar = HeardBar(0, 1, 0.0, end=moments / 2, sure=1.0, doubt="", run=0)
    return HeardRecording(moments / 2, 0.0, (bar,), onsets=(), apart=tuple(strokes))


def _of(players: tuple[PlayerWhen, ...], number: int) -> PlayerWhen:
    return next(each for each in players if each.player == number)


def test_only_the_late_player_is_called_late_and_nobody_early_for_it(trio: Piece) -> None:
    players = early_or_late(trio, _heard({1: 0.0, 2: 0.03, 3: 0.0}, 200))
    assert [each.player for each in players if each.is_off] == [2]
    second = _of(players, 2)
    assert second.later is not None
    # Three standard errors of a mean of 200 differences to two others.
    assert second.later.mean == pytest.approx(30, abs=3 * 1000 * SPREAD * np.sqrt(1.5 / 200))
    (line,) = (line for line in early_or_late_lines(trio, players) if "behind" in line)
    assert "Player 2" in line
    assert "over 200 strokes" in line


def test_too_few_strokes_say_nothing(trio: Piece) -> None:
    heard = _heard({1: 0.0, 2: 0.05}, 29)
    players = early_or_late(trio, heard)
    assert [each.later for each in players] == [None, None, None]
    assert [row["later_ms"] for row in early_or_late_json(players)] == [None, None, None]
    lines = early_or_late_lines(trio, players)
    assert all("cannot be told" in line for line in lines)
    assert "none of theirs" in lines[2]
    assert len(lines) == 3


def _later(played: Performance, player: int, seconds: float) -> Performance:
    """The same performance with one player late throughout."""
    moved = (
        sound._replace(seconds=sound.seconds + seconds) if sound.player == player else sound for sound in played.sounds
    )
    return Performance(tuple(sorted(moved)), played.moments, played.bars)


@pytest.mark.campaign
@pytest.mark.parametrize(("seed", "player", "late"), [(120, 2, 0.025), (121, 3, -0.025)])
def test_a_player_who_is_late_in_a_room_is_heard_to_be(seed: int, player: int, late: float, tmp_path: Path) -> None:
    """Truth is when each stroke was made; the synthesizer is that of the tests."""
    piece = random_piece(seed)
    played = _later(perform(piece, seed), player, late)
    begins = in_a_room(tmp_path / "take.mp3", played, seed)
    heard = find_recording(piece, tmp_path / "take.mp3")
    errors = []
    for stroke in heard.apart:
        made = np.array([sound.seconds for sound in played.sounds if sound.player == stroke.player]) + begins
        errors.append(float(np.abs(made - stroke.seconds).min()))
    assert np.median(errors) <= 0.006
    players = early_or_late(piece, heard)
    assert [each.player for each in players if each.is_off] == [player]
    figure = _of(players, player).later
    assert figure is not None
    assert figure.mean == pytest.approx(1000 * late, abs=figure.half + LEAST_SAID_MS)
