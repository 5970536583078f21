"""Whose rhythm is chosen: brute force over whole small pieces, what always holds, and drawn scenes."""

from collections.abc import Callable
from itertools import groupby, product
from pathlib import Path
from typing import Any

import music21
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from score.activity.who_moves import activity
from score.cues.cue_choice import choice_task, choose_cues
from score.cues.cue_evidence import player_evidence
from score.cues.from_group import Orders, orders
from score.cues.rules import RULES
from score.cues.sheet import CueSheet, Level
from score.errors import GroupFileError, RequestError
from score.group.group_file import CueWish
from score.piece import Piece, Stroke
from score.reading import read_score

MakePiece = Callable[..., Piece]
CHOSEN = (Level.SPARSE, Level.USUAL)

BAR = st.sampled_from(
    ["....", "....", "....", "x...", "x---", "----", "r---", "xxxx", "..xx", ".x..", "0246", "6420", "g..."]
)


@st.composite
def drawn_players(draw: st.DrawFn, players: int = 3, most: int = 5) -> list[str]:
    bars = draw(st.integers(1, most))
    lines = []
    for _ in range(players):
        chosen = [draw(BAR) for _ in range(bars)]
        fixed = ["...." if bar == "----" and set(before[-1:]) <= {".", "g"} else bar for before, bar in _pairs(chosen)]
        lines.append("|".join(fixed))
    return lines


def _pairs(chosen: list[str]) -> list[tuple[str, str]]:
    """Each bar with what sounds before it (a held bar goes on with what the bar before ended in)."""
    ended, pairs = ".", []
    for bar in chosen:
        pairs.append((ended, bar))
        ended = ended if bar == "----" else bar[-1]
    return pairs


@st.composite
def wish_lists(draw: st.DrawFn) -> list[tuple[int, str, int]]:
    """Bars from 1 to 5, show or hide, a source (2, 3; 0 is everybody): for player 1."""
    one = st.tuples(st.integers(0, 4), st.sampled_from(["show", "hide"]), st.sampled_from([0, 2, 3]))
    made = draw(st.lists(one, max_size=3, unique_by=lambda wish: wish[0]))
    return [(bar, kind, source or 2 if kind == "show" else source) for bar, kind, source in made]


def wishes_for(piece: Piece, made: list[tuple[int, str, int]]) -> list[CueWish]:
    return [CueWish(1, str(bar + 1), **{kind: source}) for bar, kind, source in made if bar < len(piece.bars)]


def strikes(piece: Piece, number: int) -> set[int]:
    return {stroke.bar for stroke in piece.player(number).strokes}


def shown(sheet: CueSheet) -> dict[int, int]:
    return {bar: cue.source for cue in sheet.cues for bar in cue.bars}


def entries(piece: Piece, number: int) -> list[range]:
    """The bars without a stroke, two or more, before each entry."""
    own, runs = strikes(piece, number), []
    for silent, group in groupby(range(len(piece.bars)), key=lambda bar: bar not in own):
        bars = list(group)
        if silent and len(bars) >= 2 and bars[-1] + 1 < len(piece.bars):
            runs.append(range(bars[0], bars[-1] + 1))
    return runs


@settings(max_examples=80, deadline=None)
@given(drawn_players(), wish_lists(), st.sampled_from(CHOSEN))
def test_no_choice_is_better_with_wishes_too(
    make_piece: MakePiece, lines: list[str], made: list[Any], level: Level
) -> None:
    piece = make_piece(*lines)
    wishes = wishes_for(piece, made)
    sheet = choose_cues(piece, 1, level, wishes)
    evidence = player_evidence(activity(piece), tuple(bar.length for bar in piece.bars), 0)
    task = choice_task(evidence, level, orders(piece, 1, wishes))
    chosen = shown(sheet)
    found = tuple(chosen[bar] - 1 if bar in chosen else None for bar in range(len(piece.bars)))
    best = max(_value(task, sequence) for sequence in product(*task.allowed))
    assert _value(task, found) == best


def _value(task, sequence) -> int:
    """Bar by bar from the words of the rules: points, starts, changes, cues of one bar."""
    assert all(source in allowed for source, allowed in zip(sequence, task.allowed, strict=True))
    total, padded = 0, (None, *sequence, None)
    for bar, (before, source, after) in enumerate(zip(padded, sequence, padded[2:], strict=False)):
        if source is None:
            continue
        total += task.points[bar][source]
        if before != source:
            change = task.costs.change + (task.costs.inside if before is not None and task.inside[bar][before] else 0)
            total -= task.costs.start if before is None else change
            total -= task.costs.single if after != source and task.goes_on[bar][source] else 0
    return total


@settings(max_examples=120, deadline=None)
@given(drawn_players(players=4, most=9), st.sampled_from(CHOSEN))
def test_every_entry_has_a_cue_before_it(make_piece: MakePiece, lines: list[str], level: Level) -> None:
    piece = make_piece(*lines)
    for player in piece.players:
        cued = shown(choose_cues(piece, player.number, level))
        for run in entries(piece, player.number):
            others = [p.number for p in piece.players if p != player]
            moved = [bar for bar in run if any(bar in strikes(piece, number) for number in others)]
            if moved:
                assert any(bar in cued for bar in run)
            if run[-1] in moved:
                assert run[-1] in strikes(piece, cued[run[-1]])


@settings(max_examples=80, deadline=None)
@given(drawn_players(players=4, most=9), wish_lists(), st.sampled_from(list(Level)))
def test_wishes_hold_at_every_level(make_piece: MakePiece, lines: list[str], made: list[Any], level: Level) -> None:
    piece = make_piece(*lines)
    sheet = choose_cues(piece, 1, level, wishes_for(piece, made))
    for bar, kind, source in made:
        if bar >= len(piece.bars):
            continue
        there = {cue.source for cue in sheet.cues if bar in cue.bars}
        if kind == "show":
            assert source in there
            assert all(cue.forced for cue in sheet.cues if bar in cue.bars and cue.source == source)
        else:
            assert not there & ({source} if source else {2, 3, 4})


@settings(max_examples=60, deadline=None)
@given(drawn_players(players=3, most=9), st.sampled_from(list(Level)))
def test_sheets_are_in_order_and_every_cue_has_a_reason(make_piece: MakePiece, lines: list[str], level: Level) -> None:
    piece = make_piece(*lines)
    for player in piece.players:
        sheet = choose_cues(piece, player.number, level)
        spans = [(cue.first, cue.source) for cue in sheet.cues]
        assert spans == sorted(spans)
        if level is not Level.FULL:
            covered = [bar for cue in sheet.cues for bar in cue.bars]
            assert covered == sorted(set(covered))
        for cue in sheet.cues:
            assert cue.source != player.number
            assert cue.reasons
            assert all(reason.bar in cue.bars for reason in cue.reasons)
            assert cue.next_mover != cue.source


@settings(max_examples=60, deadline=None)
@given(drawn_players(players=3, most=9))
def test_full_shows_every_stroke_of_the_others(make_piece: MakePiece, lines: list[str]) -> None:
    piece = make_piece(*lines)
    sheet = choose_cues(piece, 2, Level.FULL)
    for number in (1, 3):
        covered = [bar for cue in sheet.cues if cue.source == number for bar in cue.bars]
        assert len(covered) == len(set(covered))
        assert strikes(piece, number) <= set(covered)
        assert set(covered) == {bar for stroke in piece.player(number).strokes for bar in stroke.bars or (stroke.bar,)}


def cues(sheet: CueSheet) -> list[tuple[int, int, int]]:
    return [(cue.source, cue.first, cue.last) for cue in sheet.cues]


BUSY = "xxxx|" * 8


def test_busy_bars_in_which_nothing_special_happens_have_no_cue(make_piece: MakePiece) -> None:
    piece = make_piece(BUSY[:-1], ("x.xx|" * 8)[:-1], ("xx.x|" * 8)[:-1])
    assert all(choose_cues(piece, number).cues == () for number in (1, 2, 3))


def test_one_source_is_kept_through_a_rest_though_others_are_a_little_better_now_and_then(
    make_piece: MakePiece,
) -> None:
    piece = make_piece(
        "xxxx|....|....|....|....|xxxx", "x.xx|x.xx|x.xx|x.xx|x.xx|x.xx", "x..x|xxxx|x..x|xxxx|x..x|xxxx"
    )
    assert [cue.source for cue in choose_cues(piece, 1).cues] == [2]


def test_no_row_of_one_bar_cues_with_changing_sources_where_one_would_serve() -> None:
    # Outside: music21's corpus; bars 110 to 112, where two players alternate but each plays in two bars of the three.
    piece = read_score(Path(music21.__file__).parent / "corpus" / "beethoven" / "opus18no1" / "movement3.mxl").piece
    for player in (1, 2):
        cues = choose_cues(piece, player).cues
        assert len(cues) > 5
        single = {cue.first: cue.source for cue in cues if cue.first == cue.last}
        assert not [bar for bar in single if single.get(bar + 1, single[bar]) != single[bar]]


def test_the_source_changes_where_the_other_player_stops(make_piece: MakePiece) -> None:
    piece = make_piece("....|....|....|....|x...", "x.xx|xxx.|....|....|x...", "....|....|x.xx|xxx.|x...")
    assert cues(choose_cues(piece, 1)) == [(2, 0, 1), (3, 2, 3)]


def test_of_two_the_readable_one_is_chosen(make_piece: MakePiece) -> None:
    dense = "xxxxxxxxxxxxxxxx"
    piece = make_piece("....|....|....|x...", f"{dense}|{dense}|{dense}|x...", "xx.x|xx.x|xx.x|x...")
    assert [cue.source for cue in choose_cues(piece, 1).cues] == [3]


def test_a_single_silent_bar_is_cued_with_a_neighbour(make_piece: MakePiece) -> None:
    piece = make_piece("xx..|....|xx..", "x.xx|xxx.|x.xx")
    (cue,) = choose_cues(piece, 1).cues
    assert 1 in cue.bars
    assert cue.last > cue.first


def test_sparse_shows_only_what_leads_in(make_piece: MakePiece) -> None:
    rest = "....|" * 9
    moving = "x.xx|" * 9
    piece = make_piece(f"xxxx|{rest}xxxx|....|xxxx", f"xxxx|{moving}xxxx|x.xx|xxxx")
    assert cues(choose_cues(piece, 1, Level.SPARSE)) == [(2, 6, 9)]
    assert set(range(1, 10)) <= set(shown(choose_cues(piece, 1)))


def test_nobody_else_playing_means_no_cue(make_piece: MakePiece) -> None:
    piece = make_piece("....|....|xxxx", "....|....|....")
    assert choose_cues(piece, 1, Level.SPARSE).cues == choose_cues(piece, 1).cues == ()


def test_a_grand_pause_before_the_entry_is_led_into_by_the_last_who_struck(make_piece: MakePiece) -> None:
    piece = make_piece("x...|....|....|....|....|....|....|x...", "x.xx|xx..|....|....|....|....|....|x...")
    assert 1 in shown(choose_cues(piece, 1, Level.SPARSE))


def test_a_roll_held_up_to_the_entry_is_shown(make_piece: MakePiece) -> None:
    piece = make_piece("....|....|....|....|....|....|x...", "r---|----|----|----|----|----|----")
    assert shown(choose_cues(piece, 1, Level.SPARSE)) == {2: 2, 3: 2, 4: 2, 5: 2}


def test_an_entry_after_a_long_roll_counts(make_piece: MakePiece) -> None:
    piece = make_piece("r---|----|----|x...", "....|x.xx|xx.x|xxxx")
    assert {1, 2} <= set(shown(choose_cues(piece, 1, Level.SPARSE)))


def test_one_player_one_bar_and_no_pitches(make_piece: MakePiece, change: Callable[..., Piece]) -> None:
    for level in Level:
        assert choose_cues(make_piece("x..."), 1, level).cues == ()
    piece = make_piece("....|....|x.x.", "x.xx|xx.x|x...")
    plain = tuple(_unpitched(stroke) for stroke in piece.player(2).strokes)
    assert cues(choose_cues(change(piece, 2, strokes=plain), 1)) == cues(choose_cues(piece, 1))


def _unpitched(stroke: Stroke) -> Stroke:
    return stroke._replace(pitches=(), places=("E4",))


def test_reasons_name_rules_and_bars(make_piece: MakePiece) -> None:
    piece = make_piece("....|....|xxxx", "x.xx|x.xx|xxxx")
    (cue,) = choose_cues(piece, 1).cues
    assert [reason.text for reason in cue.reasons if reason.rule == "leads in"] == ["leads you in at bar 3"]
    assert {reason.rule for reason in cue.reasons} <= {rule.name for rule in RULES}


@pytest.mark.parametrize(
    ("lines", "mover"),
    [
        (("....|....|x...", "x.xx|xx..|....", "....|....|...."), 1),  # your own entry
        (("....|....|x...", "x.xx|xx..|....", "....|....|x..."), 1),  # you before others
        (("....|....|....", "x.xx|xx..|....", "....|....|...."), None),
    ],
)
def test_who_moves_next(make_piece: MakePiece, lines: tuple[str, ...], mover: int | None) -> None:
    assert choose_cues(make_piece(*lines), 1).cues[-1].next_mover == mover


def test_the_source_itself_never_moves_next(make_piece: MakePiece) -> None:
    piece = make_piece("....|....|....", "x.xx|xx..|xx..", "....|....|..x.")
    assert choose_cues(piece, 1, wishes=[CueWish(1, "3", hide=2)]).cues[0].next_mover == 3


def test_you_do_not_move_next_where_you_are_moving_already(make_piece: MakePiece) -> None:
    piece = make_piece("xxxx|xxxx|xxxx", "x.xx|xx..|....", "....|....|...x")
    wish = CueWish(1, "1-2", show=2)
    assert choose_cues(piece, 1, wishes=[wish]).cues[0].next_mover == 3


def test_the_next_cues_source_is_named_before_others_who_strike_then(make_piece: MakePiece) -> None:
    piece = make_piece("....|....|....|....", "xx.x|xx..|....|....", "x...|x...|x...|x...", "....|....|0246|6420")
    first, second = choose_cues(piece, 1).cues
    assert (first.source, second.source, first.next_mover) == (2, 4, 4)


def test_a_wish_for_a_silent_player_holds_and_says_so(make_piece: MakePiece) -> None:
    piece = make_piece("x...|x...|x...", "....|....|....")
    (cue,) = choose_cues(piece, 1, wishes=[CueWish(1, "2", show=2)]).cues
    assert (cue.first, cue.last, cue.forced) == (1, 1, True)
    assert cue.reasons[0].text == "your group asks for it, though nothing sounds there"


def test_a_forbidden_source_leaves_the_next_best_and_hide_all_leaves_none(make_piece: MakePiece) -> None:
    piece = make_piece("....|....|....|x...", "x.xx|x.xx|x.xx|....", "x...|x...|x...|....")
    assert shown(choose_cues(piece, 1))[2] == 2
    assert shown(choose_cues(piece, 1, wishes=[CueWish(1, "1-3", hide=2)])) == {0: 3, 1: 3, 2: 3}
    assert choose_cues(piece, 1, wishes=[CueWish(1, "1-4", hide=0)]).cues == ()


def test_wishes_for_other_players_do_not_touch_this_part(make_piece: MakePiece) -> None:
    piece = make_piece("....|....|x...", "x.xx|x.xx|x.xx", "x...|x...|x...")
    assert choose_cues(piece, 1, wishes=[CueWish(2, "1-3", show=3)]) == choose_cues(piece, 1)


@pytest.mark.parametrize(
    ("wishes", "says"),
    [
        ([CueWish(1, "1-2", show=2), CueWish(1, "2-3", show=3)], "in bar 2"),
        ([CueWish(1, "1-2", show=2), CueWish(1, "2", hide=2)], "both to be shown and hidden"),
        ([CueWish(1, "2", hide=0), CueWish(1, "1-2", show=2)], "both to be shown and hidden"),
        ([CueWish(1, "9", show=2)], "no bar is called '9'"),
        ([CueWish(1, "1", show=7)], "no player 7"),
        ([CueWish(1, "1", hide=7)], "no player 7"),
        ([CueWish(7, "1", show=1)], "no player 7"),
        ([CueWish(2, "3-1", show=1)], "ends before it begins"),
        ([CueWish(1, "1", show=1)], "own rhythm is never a cue"),
    ],
)
@pytest.mark.parametrize("level", list(Level))
def test_wishes_that_cannot_hold(make_piece: MakePiece, wishes: list[CueWish], says: str, level: Level) -> None:
    piece = make_piece("....|....|x...", "x.xx|x.xx|x.xx", "x...|x...|x...")
    with pytest.raises(GroupFileError) as caught:
        choose_cues(piece, 1, level, wishes)
    assert says in caught.value.line
    assert "\n" not in caught.value.line
    assert caught.value.remedy


def test_an_unknown_player(make_piece: MakePiece) -> None:
    with pytest.raises(RequestError, match="no player 4"):
        choose_cues(make_piece("x...", "x..."), 4)


def test_facts_are_gathered_once_for_all_players(make_piece: MakePiece) -> None:
    piece, other = make_piece("x...", "x..."), make_piece("x...", "x...")
    assert activity(piece) is activity(piece)
    assert activity(other) is not activity(piece)
    assert orders(piece, 1, ()) == Orders()
