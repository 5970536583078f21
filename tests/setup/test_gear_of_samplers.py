"""A sampler's list of one kit in the gear list: what is carried, once. General MIDI's names of its percussion keys."""

from pathlib import Path

import pretty_midi
import pytest

from score.group.group_file import Group
from score.reading import read_score
from score.setup.setup_check import check

KEYS = (38, 37, 40, 39, 42, 46, 44, 36, 45, 50)
TIME = "<attributes><divisions>1</divisions><clef><sign>percussion</sign></clef></attributes>"


def _score(folder: Path, with_keys: bool) -> Path:
    listed = midi = notes = ""
    for key in KEYS:
        name = pretty_midi.note_number_to_drum_name(key)
        listed += f'<score-instrument id="I{key}"><instrument-name>{name}</instrument-name></score-instrument>'
        midi += f'<midi-instrument id="I{key}"><midi-unpitched>{key + 1}</midi-unpitched></midi-instrument>'
        notes += f'<note><unpitched/><duration>1</duration><instrument id="I{key}"/></note>'
    path = folder / "kit.musicxml"
    path.write_text(
        '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Drums</part-name>'
        f"{listed}{midi if with_keys else ''}</score-part></part-list>"
        f'<part id="P1"><measure number="1">{TIME}{notes}</measure></part>'
        "</score-partwise>"
    )
    return path


@pytest.mark.parametrize("with_keys", [True, False])
def test_one_drum_and_a_pair_of_hands(tmp_path: Path, with_keys: bool) -> None:
    report = check(read_score(_score(tmp_path, with_keys)).piece, Group())
    gear = report.gear
    things = {item.what: item.note for item in gear if item.kind == "instrument"}
    assert list(things) == ["Snare drum", "Hand clap", "Hi-hat", "Bass drum", "Low Tom, high Tom"]
    assert things["Hand clap"] == "hands only, nothing to carry"
    assert "hand-claps" not in {box.key for box in report.plan.boxes}
