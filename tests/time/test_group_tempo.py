"""Page turns, chunks, the plan's seconds and the set-up's times are those of the group's tempo."""

from pathlib import Path

import pytest

from score.chunks.division import divide
from score.chunks.from_group import chunk_edits
from score.group.group_file import Group, read_group
from score.parts.page_turns import free_seconds
from score.reading import read_score
from score.setup.check_inputs import check_inputs
from score.time.from_group import pulse_options
from score.time.pulse import tempo_map

PIECE = read_score(Path(__file__).parents[2] / "samples" / "quartet.musicxml").piece


@pytest.fixture
def slower(tmp_path: Path) -> Group:
    """Bars 17 to 40 held back by a third in the middle."""
    path = tmp_path / "quartet.group.toml"
    path.write_text('[[shape]]\nbars = "17-40"\nkind = "back"\npercent = 33\n', encoding="utf-8")
    return read_group(path)


def test_everything_that_counts_seconds_counts_the_groups(slower: Group) -> None:
    pulse = pulse_options(slower, PIECE)
    written, ours = tempo_map(PIECE), tempo_map(PIECE, pulse)
    assert ours.seconds(PIECE.length) > written.seconds(PIECE.length) + 5
    chunks = divide(PIECE, edits=chunk_edits(slower, PIECE))
    assert sum(chunk.seconds for chunk in chunks) == pytest.approx(ours.seconds(PIECE.length))
    assert check_inputs(PIECE, slower).times.seconds(PIECE.length) == pytest.approx(ours.seconds(PIECE.length))


def test_a_page_turn_has_as_long_as_the_group_takes(slower: Group) -> None:
    pulse = pulse_options(slower, PIECE)
    longer = 0
    for player in PIECE.players:
        written, ours = free_seconds(PIECE, player.number), free_seconds(PIECE, player.number, pulse)
        assert all(b >= a - 1e-9 for a, b in zip(written, ours, strict=True))
        longer += sum(b > a + 0.01 for a, b in zip(written[16:40], ours[16:40], strict=True))
        assert written[48:] == pytest.approx(ours[48:])
    assert longer
