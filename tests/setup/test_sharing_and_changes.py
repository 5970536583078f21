"""Octaves in doubt, hands of two players, changes with walking, bows and who is free; figures beside limits."""

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from score.group.group_file import Group, read_group
from score.piece import Instrument, Mark, MarkKind, Piece, Player, Stroke, StrokeKind
from score.reading import read_score
from score.setup.bar_geometry import bar_mm, length_mm
from score.setup.finding import Finding, FindingKind, Weight
from score.setup.limits import Limits
from score.setup.setup_check import SetupReport, check
from score.setup.setup_texts import setup_json, setup_text

LIMITS = Limits()
SAMPLES = Path(__file__).parents[2] / "samples"
MARIMBA = (Instrument("marimba", "Marimba", pitched=True),)


@pytest.fixture(scope="module")
def piece() -> Piece:
    return read_score(SAMPLES / "quartet.musicxml").piece


def with_players(piece: Piece, *players: Player) -> Piece:
    own = {player.number: player for player in players}
    return replace(piece, players=tuple(own.get(p.number, p) for p in piece.players))


def of_kind(report: SetupReport, kind: FindingKind) -> list[Finding]:
    return [found for found in report.findings if found.kind is kind]


def notes(*pitches: int, first: int = 0, instrument: int = 0) -> tuple[Stroke, ...]:
    """One note a quarter, from the first quarter of the piece on."""
    return tuple(
        Stroke(at // 4, Fraction(at % 4), Fraction(1), pitches=(pitch,), kind=StrokeKind.STROKE, instrument=instrument)
        for at, pitch in enumerate(pitches, first)
    )


def test_octave_instruments_written_where_they_sound_are_doubted(piece: Piece) -> None:
    # Published encyclopaedias: the glockenspiel sounds two octaves above the page, G5 to C8.
    glockenspiel = (Instrument("glockenspiel", "Glockenspiel", pitched=True),)
    low = piece.player(3)._replace(instruments=glockenspiel, strokes=notes(60, 72))
    (found,) = of_kind(check(with_players(piece, low), Group()), FindingKind.OCTAVE)
    assert (found.figure, found.weight) == (2, Weight.MENTION)
    right = check(with_players(piece, low._replace(strokes=notes(84, 96))), Group())
    assert not of_kind(right, FindingKind.OCTAVE)
    assert not [f for f in of_kind(right, FindingKind.RANGE) if f.player == 3]


# Common practice, no source: a set of four timpani from D2 to C4.
@pytest.mark.parametrize(("pitch", "fits"), [(38, True), (60, True), (37, False), (61, False)])
def test_what_has_no_bars_has_a_range_too(piece: Piece, pitch: int, fits: bool) -> None:
    timpani = (Instrument("timpani", "Timpani", pitched=True),)
    player = piece.player(3)._replace(instruments=timpani, strokes=notes(pitch))
    found = [f for f in of_kind(check(with_players(piece, player), Group()), FindingKind.RANGE) if f.player == 3]
    assert (not found) == fits


@pytest.mark.parametrize("arrangement", ["facing", "side by side"])
def test_hands_too_near_and_crossing_ranges_name_who_makes_way(piece: Piece, tmp_path: Path, arrangement: str) -> None:
    one = piece.player(1)._replace(instruments=MARIMBA, strokes=notes(72, 74, 76, 77, 60, 72))
    two = piece.player(2)._replace(instruments=MARIMBA, strokes=notes(48, 50, 52, 53, 61))
    path = tmp_path / "g.group.toml"
    path.write_text(f'[[share]]\ninstrument = "marimba"\nplayers = [1, 2]\narrangement = "{arrangement}"\n')
    report = check(with_players(piece, one, two), read_group(path))
    (close,), (crossing,) = of_kind(report, FindingKind.CLOSE), of_kind(report, FindingKind.CROSSING)
    assert (close.bar, close.limit, close.unit) == (1, LIMITS.close_mm, "mm")
    assert close.figure == pytest.approx(bar_mm("marimba", 61) - bar_mm("marimba", 60), abs=1)
    assert crossing.figure == 1
    assert "player 2, who has fewer strokes" in close.helps
    assert "player 2, who has fewer strokes" in crossing.helps


def test_a_shared_instrument_is_known_by_its_name(piece: Piece, tmp_path: Path) -> None:
    path = tmp_path / "g.group.toml"
    path.write_text('[[share]]\ninstrument = "Marimbaphon"\nplayers = [1, 2]\n')
    assert of_kind(check(piece, read_group(path)), FindingKind.CLASH)


def test_a_change_names_who_is_free_and_near(piece: Piece) -> None:
    quiet = (player._replace(strokes=()) for player in piece.players if player.number != 2)
    report = check(with_players(piece, *quiet), Group())
    found = next(f for f in of_kind(report, FindingKind.CHANGE) if f.player == 2)
    assert "with one hand while the other reaches over" in found.helps
    assert "who is free then and stands" in found.helps


def test_walking_takes_time(piece: Piece, tmp_path: Path) -> None:
    # Common practice, a guess: two seconds and one second a metre.
    keys = ("marimba", "vibraphone", "xylophone")
    instruments = tuple(Instrument(key, key.capitalize(), pitched=True) for key in keys)
    strokes = (*notes(72, instrument=1), *notes(72, first=1), *notes(72, first=3, instrument=2))
    player = piece.player(2)._replace(instruments=instruments, strokes=strokes, marks=())
    path = tmp_path / "g.group.toml"
    path.write_text('[[station]]\nplayer = 2\norder = ["marimba", "vibraphone", "xylophone"]\n')
    report = check(with_players(piece, player), read_group(path))
    limits = {f.text.split(": ")[0]: f.limit for f in of_kind(report, FindingKind.CHANGE) if f.player == 2}
    metres = (length_mm("vibraphone") + 100 + 2 * 100) / 1000
    assert limits["marimba to xylophone"] == pytest.approx(1.0 + 2.0 + metres, abs=0.01)
    assert limits.get("vibraphone to marimba", 1.0) == 1.0


def test_taking_a_bow_takes_its_time(piece: Piece) -> None:
    # Common practice, a guess: three seconds.
    bow = Mark(MarkKind.STICKS, 0, Fraction(2), text="arco")
    player = piece.player(2)._replace(instruments=MARIMBA, strokes=notes(72, 74, 76), marks=(bow,))
    report = check(with_players(piece, player), Group())
    (found,) = [f for f in of_kind(report, FindingKind.MALLETS) if f.player == 2]
    assert found.limit == 3.0
    assert [item.kind for item in report.gear if item.what == "arco"] == ["bow"]


def test_a_finding_says_figure_and_limit(piece: Piece) -> None:
    report = check(piece, Group())
    assert "(limit 4.8 strokes a second)" in setup_text(piece, report)
    made = setup_json(piece, report)["findings"]
    assert isinstance(made, list)
    assert (made[0]["label"], made[0]["beat"]) == ("88", 5)
