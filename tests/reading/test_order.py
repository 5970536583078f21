"""The playing order of constructed scores: common practice, and music21's Expander where it can read them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from score.reading.bar_lengths import lengths_of, part_extents
from score.reading.playing_order import order_of, playing_order
from score.reading.read_bars import read_bars
from score.reading.roadmap import BarSigns

PARTS = {
    "|:": '<barline location="left"><repeat direction="forward"/></barline>',
    ":|": '<barline location="right"><repeat direction="backward"/></barline>',
    ":|3": '<barline location="right"><repeat direction="backward" times="3"/></barline>',
    "[1": '<barline location="left"><ending number="1" type="start"/></barline>',
    "[12": '<barline location="left"><ending number="1, 2" type="start"/></barline>',
    "[2": '<barline location="left"><ending number="2" type="start"/></barline>',
    "[3": '<barline location="left"><ending number="3" type="start"/></barline>',
    "1]": '<barline location="right"><ending number="1" type="stop"/><repeat direction="backward"/></barline>',
    "12]": '<barline location="right"><ending number="1, 2" type="stop"/><repeat direction="backward"/></barline>',
    "2]": '<barline location="right"><ending number="2" type="discontinue"/></barline>',
    "3]": '<barline location="right"><ending number="3" type="discontinue"/></barline>',
    "||": '<barline location="right"><bar-style>light-light</bar-style></barline>',
    "[DScoda": "<direction><direction-type><words>D.S. al Coda</words></direction-type></direction>",
    "segno": "<direction><direction-type><segno/></direction-type></direction>",
    "coda": "<direction><direction-type><coda/></direction-type></direction>",
    "fine": "<direction><direction-type><words>Fine</words></direction-type></direction>",
    "toCoda": "<direction><direction-type><words>To Coda</words></direction-type></direction>",
    "DC": "<direction><direction-type><words>D.C.</words></direction-type></direction>",
    "DCfine": "<direction><direction-type><words>D.C. al Fine</words></direction-type></direction>",
    "DCcoda": "<direction><direction-type><words>Da Capo al Coda</words></direction-type></direction>",
    "DSfine": "<direction><direction-type><words>D.S. al Fine</words></direction-type></direction>",
    "DScoda": "<direction><direction-type><words>Dal Segno al Coda</words></direction-type></direction>",
    "s:dc": '<sound dacapo="yes"/>',
    "s:fine": '<sound fine="yes"/>',
    "s:segno": '<sound segno="a"/>',
    "s:ds": '<sound dalsegno="a"/>',
    "s:tocoda": '<sound tocoda="b"/>',
    "s:coda": '<sound coda="b"/>',
}
NOTE = "<note><rest/><duration>4</duration></note>"


def read(*bars: str) -> tuple[list[int], list[str]]:
    """The order and warnings of bars given as their signs; left barlines come before the music."""
    measures = ""
    for index, signs in enumerate(bars):
        names = signs.split()
        before = "".join(
            PARTS[name] for name in names if name[0] in "[|" or name in ("segno", "coda", "s:segno", "s:coda")
        )
        after = "".join(PARTS[name] for name in names if PARTS[name] not in before)
        head = "<attributes><divisions>1</divisions></attributes>" if index == 0 else ""
        measures += f'<measure number="{index}">{head}{before}{NOTE}{after}</measure>'
    root = etree.fromstring(f'<score-partwise><part id="P1">{measures}</part></score-partwise>')
    made, said = playing_order(
        root, read_bars(root, lengths_of([part_extents(part) for part in root.iterchildren("part")]))
    )
    return list(made), [warning.line for warning in said]


@pytest.mark.parametrize(
    ("bars", "order"),
    [
        (("", "", ""), "0 1 2"),
        (("", ":|", ""), "0 1 0 1 2"),
        (("", "|:", ":|", ""), "0 1 2 1 2 3"),
        (("|:", ":|3", ""), "0 1 0 1 0 1 2"),
        (("|:", "[1 1]", "[2 2]", ""), "0 1 0 2 3"),
        (("|:", "[1", "1]", "[2", "2]", ""), "0 1 2 0 3 4 5"),
        (("|:", "[12 12]", "[3 3]", ""), "0 1 0 1 0 2 3"),
        (("|:", "[1 1]", ""), "0 1 0 2"),
        (("|:", ":|", "", ":|", ""), "0 1 0 1 2 3 2 3 4"),
        (("", "|:", "", ""), "0 1 2 3"),
        (("|:", "[1 1]", "[2", "", ""), "0 1 0 2 3 4"),
        (("|:", "[1 1]", "[2 2]", "", ":|", ""), "0 1 0 2 3 4 3 4 5"),
        (("", "fine", "", "DCfine"), "0 1 2 3 0 1"),
        (("", "", "DC"), "0 1 2 0 1 2"),
        (("|:", ":|", "fine", "DCfine"), "0 1 0 1 2 3 0 1 2"),
        (("", "segno", "fine", "DSfine"), "0 1 2 3 1 2"),
        (("", "segno", "toCoda", "DScoda", "coda", ""), "0 1 2 3 1 2 4 5"),
        (("", "toCoda", "DCcoda", "coda"), "0 1 2 0 1 3"),
        (("|:", "[1 1]", "[2 2]", "fine", "DCfine"), "0 1 0 2 3 4 0 2 3"),
        (("", "s:fine", "s:dc"), "0 1 2 0 1"),
        (("", "s:segno", "s:tocoda", "s:ds", "s:coda"), "0 1 2 3 1 2 4"),
    ],
)
def test_played_as_a_player_would(bars: tuple[str, ...], order: str) -> None:
    made, said = read(*bars)
    assert made == [int(text) for text in order.split()]
    assert said == []


# Common practice, no source: signs that can be read in two ways. One is taken, and said where.
@pytest.mark.parametrize(
    ("bars", "order", "bar", "why"),
    [
        (("|:", "|:", ":|", "", ":|", ""), "0 1 2 1 2 3 4 3 4 5", "1", "inside the one from bar 0"),
        (("|:", ":|", "[2 2]", ""), "0 1 0 1 2 3", "2", "ending 2 has no ending 1"),
        (("", "segno", "toCoda", "||", "[DScoda coda", ""), "0 1 2 3 1 2 4 5", "3", "taken at the barline"),
    ],
)
def test_signs_in_doubt_are_said(bars: tuple[str, ...], order: str, bar: str, why: str) -> None:
    indices, said = read(*bars)
    assert indices == [int(text) for text in order.split()]
    assert len(said) == 1
    assert said[0].startswith(f"bar {bar}: ")
    assert why in said[0]


def test_a_jump_at_the_first_beat_of_a_bar_between_double_barlines_stays() -> None:
    indices, said = read("", "segno", "toCoda ||", "[DScoda ||", "coda", "")
    assert indices == [0, 1, 2, 3, 1, 2, 4, 5]
    assert said == []


@pytest.mark.parametrize(
    ("bars", "why"),
    [
        (("", "", "DSfine", "fine"), "segno"),
        (("", "", "DCfine"), "no Fine"),
        (("", "", "DCcoda"), "leave for the coda"),
        (("", "toCoda", "DCcoda"), "no coda"),
        (("", "[2 2]", ""), "no ending 1"),
    ],
)
def test_where_no_order_can_be_made_it_is_straight_and_said(bars: tuple[str, ...], why: str) -> None:
    made, said = read(*bars)
    assert made == list(range(len(bars)))
    assert len(said) == 1
    assert why in said[0]
    assert "straight through" in said[0]


signs = st.builds(
    BarSigns,
    forward=st.booleans(),
    times=st.sampled_from([0, 0, 0, 2, 3]),
    endings=st.sampled_from([(), (), (1,), (2,), (1, 2)]).map(set),
    ending_starts=st.booleans(),
    segnos=st.sampled_from([(), (), ("",)]).map(set),
    codas=st.sampled_from([(), (), ("",)]).map(set),
    to_coda=st.sampled_from([(), (), ("",)]).map(set),
    fine=st.booleans(),
    jump=st.sampled_from(["", "", "D.C.", "D.S."]),
    al=st.sampled_from(["", "fine", "coda"]),
)


@given(st.lists(signs, min_size=1, max_size=12))
def test_any_signs_end_in_an_order_that_begins_at_the_beginning(rows: list[BarSigns]) -> None:
    order, _ = order_of(rows, [str(index) for index in range(len(rows))])
    assert set(order) <= set(range(len(rows)))
    assert len(order) <= 40 * len(rows) + 65
