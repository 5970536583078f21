"""Which worker makes which parts: as even as whole parts allow, against every other way of sharing them."""

from itertools import product
from pathlib import Path

import music21
import pytest
from lxml import etree

from score.parts.engraving_processes import _shares
from score.reading import read_score
from score.reading.reading_result import Outline

CORPUS = Path(music21.__file__).parent / "corpus"


@pytest.mark.parametrize("name", ["haydn/opus74no1/movement3.mxl", "mozart/k155/movement2.mxl"])
@pytest.mark.parametrize("count", [1, 2, 3])
def test_no_share_is_much_longer_than_it_must_be(name: str, count: int) -> None:
    outlines: list[Outline] = []
    piece = read_score(CORPUS / name, outlined=outlines.append).piece
    (outline,) = outlines
    players = [player.number for player in piece.players]
    shares = _shares(outline, players, count)
    assert sorted(player for share in shares for player in share) == players
    assert all(list(share) == sorted(share) for share in shares)

    parts = etree.fromstring(outline.source.xml).findall("part")
    size = {player.number: sum(len(etree.tostring(parts[i])) for i in player.parts) for player in piece.players}

    def longest(shared: list[tuple[int, ...]]) -> int:
        return max(sum(size[player] for player in share) for share in shared)

    ways = product(range(count), repeat=len(players))
    best = min(
        longest([tuple(p for p, w in zip(players, way, strict=True) if w == n) for n in range(count)]) for way in ways
    )
    # Longest first is within a third of the best (Graham, 1969).
    assert longest(shares) <= 4 / 3 * best


def test_a_player_that_the_score_does_not_have_is_given_to_somebody() -> None:
    outlines: list[Outline] = []
    read_score(CORPUS / "mozart" / "k155" / "movement2.mxl", outlined=outlines.append)
    assert sorted(player for share in _shares(outlines[0], [1, 9], 2) for player in share) == [1, 9]
