"""Mallets named in the part are heard: the words, and the spectrum of what is struck with them."""

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from score.piece import Mark, MarkKind
from score.playback.click import Thinning
from score.playback.mallet_hardness import hardness_of
from score.playback.mixing import render
from score.playback.timeline import PlayOptions, timeline
from score.reading import read_score
from score.time.pulse import PulseOptions
from score.time.route import bars

PIECE = read_score(Path(__file__).parents[2] / "samples" / "quartet.musicxml").piece
RATE = 48_000


def test_words_order_mallets_as_players_do() -> None:
    # Common practice, no source: each harder than the one before.
    words = ["very soft yarn", "soft yarn", "medium yarn", "hard yarn", "hard rubber", "brass"]
    values = [hardness_of(text) for text in words]
    assert values == sorted(set(values))  # type: ignore[type-var]
    assert hardness_of("yarn mallets") == hardness_of("medium yarn")
    assert hardness_of("softly") is None
    assert hardness_of("to vibraphone") is None


@pytest.mark.parametrize("words", ["soft yarn", "hard yarn"])
def test_every_stroke_after_the_words_has_them(words: str) -> None:
    sounds = timeline(_with(words), bars(PIECE, range(16, 18)), _only())
    assert {strike.hardness for strike in sounds.strikes} == {hardness_of(words)}


def test_hard_yarn_is_brighter_than_soft() -> None:
    # Two thousand hertz lie three octaves above the middle of these notes; 3 dB in that band are heard (common
    # practice, no source).
    assert _upper_decibels("hard yarn") > _upper_decibels("medium yarn") + 2
    assert _upper_decibels("hard yarn") > _upper_decibels("soft yarn") + 6


def _upper_decibels(words: str) -> float:
    """What lies above 2 kHz in two bars, against the whole."""
    sounds = timeline(_with(words), bars(PIECE, range(16, 18)), _only())
    sound = np.concatenate(list(render(sounds, None, RATE))).mean(axis=1)
    power = np.abs(np.fft.rfft(sound)) ** 2
    upper = np.fft.rfftfreq(sound.size, 1 / RATE) > 2000
    return float(10 * np.log10(power[upper].sum() / power.sum()))


def _with(words: str):
    """The piece with these mallets in the first player's hands from the beginning, and no others."""
    first = PIECE.players[0]
    marks = tuple(mark for mark in first.marks if mark.kind is not MarkKind.STICKS)
    first = first._replace(marks=(Mark(MarkKind.STICKS, 0, Fraction(0), text=words), *marks))
    return replace(PIECE, players=(first, *PIECE.players[1:]))


def _only() -> PlayOptions:
    return PlayOptions(PulseOptions(steady=104), frozenset({1}), Thinning.NONE, count_in=0)
