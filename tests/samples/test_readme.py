"""The read-me stays short, and what it shows of the group's file can be read."""

import re
from pathlib import Path

from score.chunks.from_group import chunk_edits
from score.group.group_file import read_group
from score.plan.from_group import group_concert, group_rehearsals
from score.reading import read_score
from score.setup.setup_check import check
from score.time.from_group import pulse_options

ROOT = Path(__file__).parents[2]


def test_the_read_me_is_read_in_five_minutes() -> None:
    assert len((ROOT / "README.md").read_text().splitlines()) <= 200


def test_every_table_that_is_shown_is_understood(tmp_path: Path) -> None:
    shown = re.search(r"```toml\n(.*?)```", (ROOT / "samples" / "README.md").read_text(), re.DOTALL)
    assert shown is not None
    # The roster shown is another group's; its other tables hold for the quartet.
    text = re.sub(r"\[\[player\]\].*?\n\n", "", shown.group(1), flags=re.DOTALL)
    (tmp_path / "quartet.group.toml").write_text(text)
    group = read_group(tmp_path / "quartet.group.toml")
    piece = read_score(ROOT / "samples" / "quartet.musicxml", group).piece
    assert len(chunk_edits(group, piece).leads) == 1
    assert len(pulse_options(group, piece).shapes) == 1
    assert group_concert(group) is not None
    assert group_rehearsals(group)[0].missing == (3,)
    assert check(piece, group).findings
