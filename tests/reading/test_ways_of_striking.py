"""Words that say how to strike are no change of mallets. Common practice, no source."""

from collections.abc import Callable

import pytest

from score.group.group_file import Group
from score.piece import MarkKind, Piece
from score.setup.finding import FindingKind
from score.setup.setup_check import check

Read = Callable[..., Piece]
Make = Callable[..., str]


def _words(text: str) -> str:
    return f"<direction><direction-type><words>{text}</words></direction-type></direction>"


@pytest.fixture
def sticks(read: Read, score_xml: Make, attributes: Make, note: Make) -> Callable[..., list[str]]:
    """The changes of mallets that words over quick notes on a snare drum make, and none of them is a finding."""

    def make(*texts: str) -> list[str]:
        bar = "".join(_words(text) + note("u:C5", 1) for text in texts)
        piece = read(score_xml([attributes() + bar], names=("Snare drum",)))
        assert not [f for f in check(piece, Group()).findings if f.kind is FindingKind.MALLETS] or "yarn" in str(texts)
        return [mark.text for mark in piece.players[0].marks if mark.kind is MarkKind.STICKS]

    return make


@pytest.mark.parametrize(
    "texts",
    [
        ("stick", "rim", "stick"),
        ("side stick", "stick"),
        ("click", "stick"),
        ("rim", "on the rim"),
        ("stick on stick",),
    ],
)
def test_ways_of_striking_change_no_mallets(sticks: Callable[..., list[str]], texts: tuple[str, ...]) -> None:
    assert sticks(*texts) == []


def test_a_stick_after_other_mallets_is_a_change(sticks: Callable[..., list[str]]) -> None:
    assert sticks("yarn mallets", "rim", "stick", "stick") == ["yarn mallets", "stick"]
    assert sticks("sticks") == ["sticks"]
