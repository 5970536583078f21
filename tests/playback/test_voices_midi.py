"""General MIDI numbers against the published sound set and percussion map."""

import pretty_midi
import pytest

from score.instruments.percussion import all_percussion
from score.playback.general_midi import KEY_NAMES, PROGRAM_NAMES, patch_of

# pretty_midi carries the lists of General MIDI level 1 on its own; it calls two programs by other words.
OTHER_WORDS = {11: {"Vibraphone"}, 98: {"FX 3 (crystal)"}}


def test_program_names_are_the_standards() -> None:
    for program, name in PROGRAM_NAMES.items():
        assert name in {pretty_midi.program_to_instrument_name(program), *OTHER_WORDS.get(program, ())}


def test_key_names_are_the_standards() -> None:
    # Keys 82 to 87 are level 2, which pretty_midi does not list.
    for key, name in KEY_NAMES.items():
        if key < 82:
            ours, theirs = (
                text.lower().replace("-", " ") for text in (name, pretty_midi.note_number_to_drum_name(key))
            )
            assert ours == theirs


def test_every_instrument_has_a_patch_and_the_nearest_are_listed() -> None:
    for key, row in all_percussion().items():
        patch = patch_of(key, 60.0 if row.pitched else None)
        assert patch.name
        assert row.pitched <= (not patch.is_drum)
        if row.midi_unpitched is not None and key != "tom-toms":
            assert not patch.stands_for


@pytest.mark.parametrize(
    ("key", "variant", "number"),
    [
        ("tom-toms", "F4", 41),
        ("tom-toms", "high", 50),
        ("bongos", "high", 60),
        ("bongos", "low", 61),
        ("wood-block", "low", 77),
        ("wood-block", "high", 76),
        ("timbales", "low", 66),
        ("triangle", "", 81),
        ("bell-tree", "", 84),
    ],
)
def test_sizes_take_the_key_of_their_own(key: str, variant: str, number: int) -> None:
    # General MIDI percussion map.
    assert (patch_of(key, None, variant).is_drum, patch_of(key, None, variant).number) == (True, number)


def test_what_is_not_there_is_named() -> None:
    assert (patch_of("crotales", 84.0).stands_for, patch_of("crotales", 84.0).name) == ("Crotales", "Glockenspiel")
    assert patch_of("Glass marbles", None).stands_for == "Glass marbles"
    assert patch_of("marimba", 60.0).stands_for == ""
