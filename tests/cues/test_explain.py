"""Cues in words and as JSON."""

import json
from collections.abc import Callable

import pytest

from score.cues.cue_choice import choose_cues
from score.cues.explain import cues_json, explain_text
from score.cues.rules import RULES
from score.cues.sheet import Level
from score.group.group_file import CueWish
from score.piece import Piece


@pytest.fixture
def piece(make_piece: Callable[..., Piece]) -> Piece:
    return make_piece("....|....|....|xxxx|xxxx", "x.xx|xx.x|x.xx|xxxx|xxxx", "....|....|....|xxxx|xxxx")


def test_text_has_a_heading_and_a_line_a_cue(piece: Piece) -> None:
    assert explain_text(piece, choose_cues(piece, 1)).splitlines() == [
        "Player 1 (1): 1 cue in 3 of 5 bars, usual",
        "  1-3  2  leads you in at bar 4; moves while you rest; moves alone. Then you",
    ]


def test_text_of_no_cues_is_the_heading(make_piece: Callable[..., Piece]) -> None:
    piece = make_piece("xxxx")
    assert explain_text(piece, choose_cues(piece, 1)) == "Player 1 (1): 0 cues in 0 of 1 bars, usual"


def test_text_says_where_a_reason_holds_if_not_everywhere(make_piece: Callable[..., Piece]) -> None:
    piece = make_piece("....|....|....|....|xxxx", "xxxx|xxxx|xxxx|xxxx|xxxx", "....|x...|....|x...|xxxx")
    assert "moves alone (1, 3)" in explain_text(piece, choose_cues(piece, 1))


def test_text_names_bars_as_printed(make_piece: Callable[..., Piece]) -> None:
    piece = make_piece("....|....|xxxx", "x.xx|xx.x|xxxx")
    from dataclasses import replace

    bars = tuple(replace(bar, label=label) for bar, label in zip(piece.bars, ("12a", "", "13"), strict=True))
    text = explain_text(replace(piece, bars=bars), choose_cues(replace(piece, bars=bars), 1))
    assert "12a-(2)" in text
    assert "at bar 13" in text


def test_json_keys_are_stable(piece: Piece) -> None:
    made = json.loads(json.dumps(cues_json(piece, choose_cues(piece, 1, wishes=[CueWish(1, "5", show=3)]))))
    assert list(made) == ["player", "level", "cues"]
    assert (made["player"], made["level"]) == (1, "usual")
    first, last = made["cues"]
    assert list(first) == ["source", "first", "last", "bars", "forced", "reasons", "next"]
    assert (first["source"], first["first"], first["last"], first["bars"]) == (2, 0, 2, "1-3")
    assert (first["forced"], last["forced"]) == (False, True)
    assert all(list(reason) == ["rule", "bar", "text", "points"] for reason in first["reasons"])
    assert {reason["rule"] for reason in first["reasons"]} <= {rule.name for rule in RULES}
    assert (first["next"], last["next"]) == (1, None)


def test_json_of_every_line(piece: Piece) -> None:
    made = cues_json(piece, choose_cues(piece, 1, Level.FULL))
    assert [(cue["source"], cue["bars"]) for cue in made["cues"]] == [(2, "1-5"), (3, "4-5")]  # type: ignore[attr-defined]
