"""Meters and endings as each player reads them, on small scores of our own."""

from pathlib import Path
from typing import Any

import pytest
from lxml import etree

from score.parts.drawn_boxes import drawn_boxes
from score.parts.drawn_staves import HREF, SVG
from score.parts.engraver import in_systems
from score.parts.system_marks import set_systems


def time(*fractions: tuple[int, int], symbol: str = "") -> str:
    pairs = "".join(f"<beats>{beats}</beats><beat-type>{unit}</beat-type>" for beats, unit in fractions)
    said = f' symbol="{symbol}"' if symbol else ""
    return f"<attributes><time{said}>{pairs}</time></attributes>"


def eighth(small: Any) -> str:
    return str(small.note().replace("<duration>4<", "<duration>2<").replace("quarter", "eighth"))


def meters(small: Any, reading: Any, player: int) -> list[list[str]]:
    """The signs of each meter, from left to right, by their SMuFL codes."""
    signs = [group for group in small.groups(reading, "meterSig", player) if len(group)]
    return [[(use.get(HREF) or "")[1:5] for use in sign.iter(SVG + "use")] for sign in signs]


def test_a_player_with_a_meter_of_their_own_reads_it(small: Any, tmp_path: Path) -> None:
    # SMuFL 1.4: timeSig3 U+E083, timeSig4 U+E084, timeSig6 U+E086, timeSig8 U+E088.
    word = '<direction placement="above"><direction-type><words>here</words></direction-type></direction>'
    three = [small.note() * 4, time((3, 4)) + small.note() * 3, small.note() * 3]
    six = [
        small.note() * 4,
        time((6, 8)) + eighth(small) * 3 + word + eighth(small) * 3,
        eighth(small) * 6,
    ]
    reading = small.score(tmp_path, three, six)
    for player, wanted in ((1, ["E083", "E084"]), (2, ["E086", "E088"])):
        assert small.pages(reading, player).unprinted == ()
        assert meters(small, reading, player) == [["E084", "E084"], wanted]
    tree = etree.fromstring(small.systems(reading, 2)[0].svg)
    groups = list(tree.iter(SVG + "g"))
    lefts = sorted(drawn_boxes(group)[0].left for group in groups if (group.get("id") or "").startswith("own-"))
    (words,) = (
        group for group in groups if group.get("class") == "dir" and "here" in "".join(map(str, group.itertext()))
    )
    assert lefts[6] < drawn_boxes(words)[0].left + 100 < lefts[8]


@pytest.mark.parametrize(("symbol", "code"), [("cut", "E08B"), ("common", "E08A")])
def test_a_meter_written_as_a_symbol_stays_one_where_it_changes(
    small: Any, tmp_path: Path, symbol: str, code: str
) -> None:
    # SMuFL 1.4: timeSigCommon, timeSigCutCommon.
    meter = time((2, 2) if symbol == "cut" else (4, 4), symbol=symbol)
    bars = [small.note() * 4, time((3, 4)) + small.note() * 3, meter + small.note() * 4, small.note() * 4]
    reading = small.score(tmp_path, bars, bars)
    assert small.pages(reading, 1).unprinted == ()
    assert meters(small, reading, 1)[-1] == [code]


@pytest.mark.parametrize("at", [0, 1])
def test_a_meter_of_two_fractions_shows_both(small: Any, tmp_path: Path, at: int) -> None:
    # 2/4 + 3/8; it was printed as "2/4+3" over 8.
    mixed = time((2, 4), (3, 8)) + small.note() * 2 + eighth(small) * 3
    bars = [small.note() * 4, mixed] if at else [mixed, time((4, 4)) + small.note() * 4]
    reading = small.score(tmp_path, bars, bars)
    assert small.pages(reading, 1).unprinted == ()
    signs = meters(small, reading, 1)
    assert ["E082", "E084"] in signs
    assert ["E083", "E088"] in signs


def test_an_ending_with_a_new_key_at_the_beginning_of_a_system_is_drawn_whole(small: Any, tmp_path: Path) -> None:
    ending = '<barline location="{}"><ending number="{}" type="{}"/>{}</barline>'
    key = "<attributes><key><fifths>2</fifths></key><clef><sign>G</sign><line>2</line></clef></attributes>"
    first = ending.format("left", 1, "start", "") + small.note(4)
    first += ending.format("right", 1, "stop", '<repeat direction="backward"/>')
    second = key + ending.format("left", 2, "start", "") + small.note(4) + ending.format("right", 2, "discontinue", "")
    bars = [small.note(4), first, second, small.note(4)]
    document = small.document(small.score(tmp_path, bars, bars), 1)
    set_systems(document, [range(2), range(2, 4)], [0])
    mei = etree.tostring(document.root, encoding="unicode")
    numbers = []
    for system in in_systems(mei, 170.0, 7.0):
        groups = etree.fromstring(system.svg).iter(SVG + "g")
        numbers.append(
            ["".join(map(str, group.itertext())) for group in groups if group.get("class") == "voltaBracket"]
        )
    # Not "(2)", as the rest of an ending that began before is numbered.
    assert numbers == [["1"], ["2"]]


def test_endings_without_an_end_are_drawn(small: Any, tmp_path: Path) -> None:
    # A published quartet ends its first ending under no number; another file never ends it.
    ending = '<barline location="{}"><ending number="{}" type="{}"/>{}</barline>'
    repeat = '<repeat direction="backward"/>'
    start = [ending.format("left", number, "start", "") for number in (1, 2)]
    for first in (ending.format("right", "", "stop", repeat), f'<barline location="right">{repeat}</barline>'):
        bars = [small.note(4), start[0] + small.note(4), small.note(4) + first, start[1] + small.note(4), small.note(4)]
        reading = small.score(tmp_path, bars, bars)
        assert small.pages(reading, 1).unprinted == ()
        drawn = "".join(system.svg for system in small.systems(reading, 1))
        assert drawn.count('class="voltaBracket"') == 2
