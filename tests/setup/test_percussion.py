"""Players who have no percussion are named and left alone."""

from dataclasses import replace
from pathlib import Path

import pytest

from score.group.group_file import Group
from score.piece import Instrument, Piece
from score.reading import read_score
from score.setup.percussion_players import is_percussion
from score.setup.setup_check import check, suggested_stickings
from score.setup.setup_texts import setup_json, setup_text, write_setup
from score.setup.suggested_stickings import stickings_text

SAMPLES = Path(__file__).parents[2] / "samples"
VIOLIN = (Instrument("", "Violin"),)


@pytest.fixture(scope="module")
def piece() -> Piece:
    return read_score(SAMPLES / "quartet.musicxml").piece


def on_violins(piece: Piece, *numbers: int) -> Piece:
    return replace(
        piece,
        players=tuple(
            p._replace(instruments=VIOLIN, strokes=tuple(s._replace(instrument=0) for s in p.strokes), marks=())
            if p.number in numbers
            else p
            for p in piece.players
        ),
    )


@pytest.mark.parametrize(
    ("instrument", "known"),
    [
        (Instrument("", "Violin 2"), False),
        (Instrument("", "Lead", sound="wind.flutes.flute"), False),
        (Instrument("", "Zorb"), True),
        (Instrument("", "Horn", pitched=False), True),
        (Instrument("celesta", "Celesta", sound="keyboard.celesta"), True),
    ],
)
def test_what_is_percussion(instrument: Instrument, known: bool) -> None:
    assert is_percussion(instrument) == known


def test_one_violin_is_named_once_and_has_no_place(piece: Piece) -> None:
    made = on_violins(piece, 3)
    report = check(made, Group())
    text = setup_text(made, report)
    assert text.count("violin: not a percussion instrument, not checked") == 1
    assert text.lower().count("violin") == 1
    assert {each.player for each in report.plan.standing} == {1, 2, 4}
    assert not [f for f in report.findings if f.player == 3]
    assert not [g for g in report.gear if 3 in g.players]
    assert stickings_text(made, made.player(3), suggested_stickings(made, Group(), made.player(3))).startswith("violin")


def test_nothing_but_violins_is_no_all_clear(piece: Piece, tmp_path: Path) -> None:
    made = on_violins(piece, 1, 2, 3, 4)
    report = check(made, Group())
    assert setup_text(made, report) == "violin: not a percussion instrument, not checked"
    assert setup_json(made, report)["unchecked"] == ["violin: not a percussion instrument, not checked"]
    assert all(path.stat().st_size for path in write_setup(made, report, tmp_path, "violins"))
