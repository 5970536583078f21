"""Boobams: skins over tuned tubes, built by the group. Names and sizes common practice, no source."""

from pathlib import Path

import mido
import pytest

from score.group.group_file import read_group
from score.instruments.percussion import named, named_in
from score.piece import Piece
from score.playback.general_midi import PROGRAM_NAMES, patch_of
from score.playback.voices.voice_choice import is_modelled
from score.reading import read_score
from score.setup.fittings import fitting, usual_fittings
from score.setup.gear_list import to_build, tubes_hint
from score.setup.setup_check import check
from tui.command import run

NOTE = "<note><pitch><step>{}</step><octave>3</octave></pitch><duration>1</duration><type>quarter</type></note>"
TIME = "<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>"


@pytest.fixture
def score(tmp_path: Path) -> Path:
    path = tmp_path / "kiln.musicxml"
    notes = "".join(NOTE.format(step) for step in "CDEF")
    path.write_text(
        '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Boo-Bams</part-name></score-part>'
        f'</part-list><part id="P1"><measure number="1">{TIME}{notes}</measure></part></score-partwise>'
    )
    return path


@pytest.fixture
def piece(score: Path) -> Piece:
    return read_score(score).piece


@pytest.mark.parametrize("name", ["Boobams", "boo-bams", "Boo Bam", "2 boobams", "Bamboo drums"])
def test_they_are_known_by_their_names(name: str) -> None:
    instrument = named(name) or named_in(name)
    assert instrument is not None
    assert (instrument.key, instrument.pitched, instrument.octaves) == ("boobams", True, 0)


def test_a_part_of_them_has_pitch_and_its_own_sound(piece: Piece) -> None:
    player = piece.players[0]
    assert [(each.key, each.name) for each in player.instruments] == [("boobams", "Boo-Bams")]
    assert [stroke.pitches for stroke in player.strokes] == [(48,), (50,), (52,), (53,)]
    assert is_modelled("boobams")
    assert PROGRAM_NAMES[patch_of("boobams", 48.0).number] == "Melodic Tom"
    assert patch_of("boobams", 48.0).stands_for == "Boobams"
    assert mido.Message("program_change", program=patch_of("boobams", 48.0).number).program == 117


def test_they_are_struck_like_drums_and_stand_on_a_frame() -> None:
    row = fitting(usual_fittings(), "boobams")
    assert (row.how, row.several) == ("frame", True)
    assert {"off the centre", "rim"} <= set(row.struck)
    assert row.rebounds


def test_the_gear_list_leads_to_the_tubes(piece: Piece, score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    gear = check(piece, read_group(score.with_name("none.group.toml"))).gear
    item = to_build(gear)
    assert item is not None
    assert (item.what, item.players) == ("Boo-Bams", (1,))
    assert tubes_hint(gear) == "Boo-Bams can be built: the tubes of player 1 give lengths, cut list and frame."
    assert run(["setup", str(score)]) == 0
    line = next(line for line in capsys.readouterr().out.splitlines() if line.startswith("  inbreath tubes"))
    assert run(["tubes", "--score", str(score), "--player", "1", "--instrument", "Boo-Bams"]) == 0
    assert line == f'  inbreath tubes --score "{score}" --player 1 --instrument "Boo-Bams"'


def test_what_somebody_owns_need_not_be_built(piece: Piece, score: Path) -> None:
    path = score.with_name("kiln.group.toml")
    path.write_text('owned = ["boobams"]\n')
    assert to_build(check(piece, read_group(path)).gear) is None
