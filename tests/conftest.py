"""Small pieces drawn as text: one line a player, bars between upright strokes."""

import os
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from score.piece import Bar, Instrument, Meter, Piece, Player, Segment, Stroke, StrokeKind, Tempo

MakePiece = Callable[..., Piece]
METER = Meter("4/4", (Fraction(1),) * 4, Fraction(1))


def _player(number: int, line: str) -> Player:
    """A bar of n characters is a grid of n equal steps: "x" a stroke (0 to 9: its pitch over C4), "r" a roll,
    "g" a lone grace note, "-" the last one held on, "." nothing."""
    strokes: list[Stroke] = []
    for bar, drawn in enumerate(text.strip() for text in line.strip("|").split("|")):
        step = Fraction(4, len(drawn))
        for index, sign in enumerate(drawn):
            here = Segment(bar, index * step, step)
            if sign == "-":
                last = strokes[-1]
                strokes[-1] = last._replace(length=last.length + step, segments=_longer(last.segments, here))
            elif sign == "g":
                strokes.append(Stroke(bar, here.at, Fraction(0), (60,), StrokeKind.GRACE, 0))
            elif sign != ".":
                kind = StrokeKind.ROLL if sign == "r" else StrokeKind.STROKE
                pitch = 60 + int(sign) if sign.isdigit() else 60
                strokes.append(Stroke(bar, here.at, step, (pitch,), kind, 0, (here,)))
    instrument = Instrument("marimba", "Marimba")
    return Player(number, f"Player {number}", str(number), (number - 1,), ("",), (instrument,), tuple(strokes))


def _longer(segments: tuple[Segment, ...], here: Segment) -> tuple[Segment, ...]:
    if segments[-1].bar != here.bar:
        return (*segments, here)
    return (*segments[:-1], segments[-1]._replace(length=segments[-1].length + here.length))


@pytest.fixture(scope="session")
def make_piece() -> MakePiece:
    """A piece from drawn players; rehearsal marks by bar index."""

    def make(*lines: str, marks: dict[int, str] | None = None, **changes: Any) -> Piece:
        players = tuple(_player(number, line) for number, line in enumerate(lines, 1))
        count = len(lines[0].strip("|").split("|"))
        assert all(len(line.strip("|").split("|")) == count for line in lines)
        bars = tuple(
            Bar(i, str(i + 1), Fraction(4 * i), Fraction(4), METER, rehearsal_mark=(marks or {}).get(i, ""))
            for i in range(count)
        )
        tempi = (Tempo(0, Fraction(0), 120.0, 120.0, 120.0),)
        return replace(Piece("Drawn", players, bars, tuple(range(count)), tempi), **changes)

    return make


@pytest.fixture(scope="session")
def change() -> Callable[..., Piece]:
    """The piece with fields of one player changed."""

    def changed(piece: Piece, number: int, **changes: Any) -> Piece:
        players = (player._replace(**changes) if player.number == number else player for player in piece.players)
        return replace(piece, players=tuple(players))

    return changed


@pytest.fixture(scope="session")
def dynamics(change: Callable[..., Piece]) -> Callable[..., Piece]:
    """The piece with one dynamic for each player in turn."""

    def with_marks(piece: Piece, *marks: str) -> Piece:
        for player, mark in zip(piece.players, marks, strict=True):
            strokes = tuple(stroke._replace(dynamic=mark) for stroke in player.strokes)
            piece = change(piece, player.number, strokes=strokes)
        return piece

    return with_marks


@pytest.fixture(scope="session", autouse=True)
def own_store_of_readings(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Readings are kept in a folder of the run's own: nothing of the user's is taken or left."""
    os.environ["INBREATH_READINGS"] = str(tmp_path_factory.mktemp("readings"))
