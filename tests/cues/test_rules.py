"""Each rule on a drawn piece in which it, and what it says, can be read off the page.

What a cue is for (leading in, moving during rests, named sources, stopping at the entry): common practice,
no source.
"""

from collections.abc import Callable
from fractions import Fraction

import pytest

from score.activity.who_moves import activity
from score.beats import Place
from score.cues.cue_evidence import Evidence, player_evidence
from score.cues.rules import BUSY_MOST, IDLE_BAR, IDLE_EACH, RULES
from score.piece import Mark, MarkKind, Piece, Tempo

RULE = {rule.name: rule for rule in RULES}


def known(piece: Piece, player: int) -> Evidence:
    return player_evidence(activity(piece), tuple(bar.length for bar in piece.bars), player - 1)


def said(piece: Piece, player: int, source: int, name: str) -> dict[int, int]:
    """Bar index to points, where a rule has something to say."""
    facts = known(piece, player)
    given = {bar: RULE[name].points(facts, source - 1, bar) for bar in range(len(piece.bars))}
    return {bar: points for bar, points in given.items() if points}


def words(piece: Piece, player: int, source: int, name: str, bar: int) -> str:
    return RULE[name].words(known(piece, player), source - 1, bar)


def test_names_are_unique_and_every_rule_is_documented() -> None:
    assert len(RULE) == len(RULES)
    assert all(rule.points.__doc__ for rule in RULES)


def test_leads_in_over_the_last_four_bars_and_more_the_nearer(make_piece: Callable[..., Piece]) -> None:
    piece = make_piece("....|....|....|....|....|....|x...", "xx..|xx..|xx..|xx..|xx..|xx..|x...")
    points = said(piece, 1, 2, "leads in")
    assert list(points) == [2, 3, 4, 5]
    assert sorted(points.values()) == list(points.values())
    assert RULE["leads in"].target is not None
    assert RULE["leads in"].target(known(piece, 1), 1, 5) == 6


def test_a_player_who_stops_before_the_entry_does_not_lead_in(make_piece: Callable[..., Piece]) -> None:
    piece = make_piece("....|....|....|x...", "xx..|xx..|....|x...", "....|....|xx..|x...")
    assert said(piece, 1, 2, "leads in") == {}
    assert list(said(piece, 1, 3, "leads in")) == [2]


def test_a_silence_of_all_before_the_entry_is_bridged(make_piece: Callable[..., Piece]) -> None:
    piece = make_piece("....|....|....|x...", "xx..|xx..|....|x...")
    assert list(said(piece, 1, 2, "leads in")) == [0, 1]


def test_strokes_before_the_entry_in_its_own_bar_lead_in(make_piece: Callable[..., Piece]) -> None:
    piece = make_piece("....|....|..xx", "xxxx|xxxx|xx..")
    assert 2 in said(piece, 1, 2, "leads in")
    assert 2 not in said(make_piece("....|....|xx..", "xxxx|xxxx|..xx"), 1, 2, "leads in")


def test_a_held_note_leads_in_less_and_says_so(make_piece: Callable[..., Piece]) -> None:
    piece = make_piece(
        "....|....|....|....|....|x...", "r---|----|----|----|----|....", "....|....|x...|x...|x...|...."
    )
    assert said(piece, 1, 2, "leads in")[4] < said(piece, 1, 3, "leads in")[4]
    assert words(piece, 1, 2, "leads in", 4) == "holds until you come in at bar"
    assert words(piece, 1, 3, "leads in", 4) == "leads you in at bar"


@pytest.mark.parametrize(
    ("line", "doing"),
    [("x...|....|x...", "rest"), ("x---|----|x...", "hold"), ("r---|----|x...", "roll")],
)
def test_moves_while_you_do_not(make_piece: Callable[..., Piece], line: str, doing: str) -> None:
    piece = make_piece(line, "xxxx|xxxx|xxxx")
    assert said(piece, 1, 2, "moves meanwhile")[1] == IDLE_BAR + 4 * IDLE_EACH
    assert words(piece, 1, 2, "moves meanwhile", 1) == f"moves while you {doing}"


def test_a_stroke_then_a_long_hold_counts_and_half_a_bar_does_not(make_piece: Callable[..., Piece]) -> None:
    assert 0 in said(make_piece("x---", ".xxx"), 1, 2, "moves meanwhile")
    assert 0 not in said(make_piece("x-x-", ".xxx"), 1, 2, "moves meanwhile")
    assert 0 not in said(make_piece("x---", "x..x"), 1, 2, "moves meanwhile")


def test_holding_counts_for_more_than_resting_after_a_stroke(make_piece: Callable[..., Piece]) -> None:
    rest, hold, roll = (said(make_piece(line, ".xxx"), 1, 2, "moves meanwhile")[0] for line in ("x...", "x---", "r---"))
    assert rest < hold < roll


def test_a_rest_between_two_strokes_is_not_a_hold(make_piece: Callable[..., Piece]) -> None:
    piece = make_piece("x......x|x-------", ".xxxxxx.|.xxxxxx.")
    assert words(piece, 1, 2, "moves meanwhile", 0) == "moves while you rest"
    assert words(piece, 1, 2, "moves meanwhile", 1) == "moves while you hold"


def test_strikes_with_you_after_a_silence_at_a_join_or_at_an_entry(make_piece: Callable[..., Piece]) -> None:
    silence = make_piece("xxxx|....|x...", "xxxx|....|x...")
    assert list(said(silence, 1, 2, "strikes with you")) == [2]
    assert words(silence, 1, 2, "strikes with you", 2) == "strikes with you after the silence"
    mark = make_piece("xxxx|xxxx", "xxxx|x...", marks={1: "C"})
    assert words(mark, 1, 2, "strikes with you", 1) == "strikes with you at C"
    entry = make_piece("....|....|.x..", "xxxx|xxxx|.x..", "....|....|x...")
    assert words(entry, 1, 2, "strikes with you", 2) == "strikes with you where you come in"
    assert said(entry, 1, 3, "strikes with you") == {}


def test_a_new_tempo_and_a_fermata_count_for_more_than_a_mark(make_piece: Callable[..., Piece]) -> None:
    lines = ("xxxx|xxxx", "xxxx|x...")
    mark = make_piece(*lines, marks={1: "C"})
    first, second = mark.tempi[0], Tempo(1, mark.bars[0].start, 60.0, 60.0, 60.0)
    tempo = make_piece(*lines, tempi=(first, second))
    assert said(tempo, 1, 2, "strikes with you")[1] > said(mark, 1, 2, "strikes with you")[1]
    assert words(tempo, 1, 2, "strikes with you", 1) == "strikes with you in the new tempo"
    same = make_piece(*lines, tempi=(first, Tempo(1, first.at, 120.0, 120.0, 120.0)))
    assert said(same, 1, 2, "strikes with you") == {}


def test_after_a_fermata(make_piece: Callable[..., Piece], change: Callable[..., Piece]) -> None:
    piece = make_piece("xxxx|xxxx", "xxxx|x...")
    held = change(piece, 2, marks=(Mark(MarkKind.FERMATA, 0, piece.bars[0].start),))
    assert words(held, 1, 2, "strikes with you", 1) == "strikes with you after the fermata"


def test_the_line_is_handed_over_and_taken(make_piece: Callable[..., Piece]) -> None:
    piece = make_piece("0...|0...|0246|6420|0...|0...", "0246|6420|0...|0...|0246|6420")
    assert list(said(piece, 1, 2, "hands over")) == [1]
    assert list(said(piece, 1, 2, "takes over")) == [4]
    assert RULE["hands over"].target is not None
    assert RULE["hands over"].target(known(piece, 1), 1, 1) == 2


def test_a_single_bar_of_tune_is_no_hand_over(make_piece: Callable[..., Piece]) -> None:
    piece = make_piece("0...|0246|0...|0...", "0246|0...|0246|6420")
    assert said(piece, 1, 2, "hands over") == {}


def test_alone_among_the_others(make_piece: Callable[..., Piece]) -> None:
    piece = make_piece("....|xxxx|....|....", "xx..|xx..|xx..|x...", "....|....|x...|....")
    assert list(said(piece, 1, 2, "alone")) == [0, 1]
    assert said(make_piece("....", "xx.."), 1, 2, "alone") == {}


@pytest.mark.parametrize(("loud", "soft", "stands_out"), [("f", "p", True), ("f", "mf", False), ("f", "", False)])
def test_louder_by_two_steps(
    make_piece: Callable[..., Piece], dynamics: Callable[..., Piece], loud: str, soft: str, stands_out: bool
) -> None:
    piece = dynamics(make_piece("xx..", "xx..", "xx.."), soft, loud, soft)
    assert bool(said(piece, 1, 2, "louder")) is stands_out
    assert said(piece, 1, 3, "louder") == {}


def test_against_your_own_strokes(make_piece: Callable[..., Piece]) -> None:
    points = said(make_piece("....|x...|xxxx|xxxxxxxxxxxxxxxx", "xxxx|xxxx|xxxx|xxxx"), 1, 2, "you are busy")
    assert 0 not in points
    assert points[1] > points[2] > points[3] == -BUSY_MOST


def test_against_a_dense_rhythm(make_piece: Callable[..., Piece]) -> None:
    piece = make_piece("....|....", "xxxxxxxx|xxxxxxxxxxxxxxxx")
    assert said(piece, 1, 2, "dense") == {1: -16}


def test_against_your_own_rhythm(make_piece: Callable[..., Piece]) -> None:
    piece = make_piece("x.xx|x.x.|....", "x.xx|xx..|....")
    assert list(said(piece, 1, 2, "same rhythm")) == [0]


def test_against_nothing_to_show(make_piece: Callable[..., Piece]) -> None:
    points = said(make_piece("x...|....|....", "xxxx|....|....", "xxxx|....|xxxx"), 1, 2, "strikes nothing")
    assert list(points) == [1, 2]
    assert points[2] < points[1] < 0


def test_next_strokes_by_bar(make_piece: Callable[..., Piece]) -> None:
    facts = activity(make_piece("....|.x..|....|x...|...."))
    assert facts.next_strike[0] == (
        Place(1, Fraction(1)),
        Place(1, Fraction(1)),
        Place(3, Fraction(0)),
        Place(3, Fraction(0)),
        None,
        None,
    )
