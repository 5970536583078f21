"""The table of percussion instruments against music21's names, MusicXML's sounds and General MIDI."""

from pathlib import Path

import pytest
from music21 import instrument
from music21.languageExcerpts import instrumentLookup

from score.instruments.percussion import all_percussion, fold, named, named_in, of_midi_unpitched, of_sound

LOOKUPS = {
    "english": instrumentLookup.englishToClassName,
    "german": instrumentLookup.germanToClassName,
    "french": instrumentLookup.frenchToClassName,
    "italian": instrumentLookup.italianToClassName,
    "abbreviation": instrumentLookup.abbreviationToClassName,
}
# Where music21 means something else by a name, and why we keep ours (common practice, no source).
OURS = {
    "chimes": "orchestral chimes are tubular bells",
    "rattle": "a rattle is shaken, a ratchet cranked",
    "herdenglocken": "tuned, as almglocken are",
    "timbale": "in a percussion score the Latin drums; kettledrums in French orchestral scores",
    "timbales": "in a percussion score the Latin drums; kettledrums in French orchestral scores",
    "cimbalini": "small antique cymbals",
    "metallofono": "an instrument of its own",
    "tamtam": "not a gong",
}


def _percussion(names: dict[str, str]) -> dict[str, str]:
    """music21's names of percussion, with the standard sound it gives each."""
    found = {}
    for name, called in names.items():
        kind = getattr(instrument, called)
        if issubclass(kind, instrument.Percussion) and of_sound(kind().instrumentSound or ""):
            found[name] = kind().instrumentSound
    return found


@pytest.mark.parametrize("language", LOOKUPS)
def test_names_mean_what_music21_means_by_them(language: str) -> None:
    names = _percussion(LOOKUPS[language])
    known = {name: found for name in names if (found := named(name)) is not None}
    other = {name for name, found in known.items() if found is not of_sound(names[name])}
    assert other <= set(OURS)
    # music21's tables hold rare and machine-translated names too; most of them have to be known.
    assert len(known) >= 0.7 * len(names)


def test_every_sound_is_a_standard_one() -> None:
    """W3C, MusicXML 4.0, sounds.xml (the ids of percussion are listed in the file beside this test)."""
    standard = set((Path(__file__).parent / "data" / "percussion-sounds.txt").read_text().split())
    assert {row.sound for row in all_percussion().values() if row.sound} <= standard
    # Sounds with a further word mean the instrument they are a kind of.
    assert of_sound("drum.bass-drum.concert") is all_percussion()["bass-drum"]
    assert of_sound("brass.trumpet") is None


def test_names_are_folded_and_mean_one_thing() -> None:
    rows = all_percussion().values()
    names = [name for row in rows for name in row.names]
    assert len(names) == len(set(names))
    assert all(fold(name) == name for name in names)


# General MIDI level 1 percussion map, as printed by the MIDI Association (key: name), from memory.
GENERAL_MIDI = {
    35: "Acoustic Bass Drum", 38: "Acoustic Snare", 39: "Hand Clap", 46: "Open Hi-Hat", 49: "Crash Cymbal 1",
    51: "Ride Cymbal 1", 52: "Chinese Cymbal", 54: "Tambourine", 55: "Splash Cymbal", 56: "Cowbell", 58: "Vibraslap",
    60: "Hi Bongo", 64: "Low Conga", 65: "High Timbale", 67: "High Agogo", 69: "Cabasa", 70: "Maracas",
    73: "Short Guiro", 75: "Claves", 76: "Hi Wood Block", 79: "Open Cuica", 81: "Open Triangle",
}  # fmt: skip


@pytest.mark.parametrize("key", GENERAL_MIDI)
def test_general_midi_keys(key: int) -> None:
    percussion = of_midi_unpitched(key)
    assert percussion is not None
    words = fold(GENERAL_MIDI[key]).removeprefix("acoustic ").removeprefix("open ").removeprefix("short ")
    assert named_in(words) is percussion


def test_table_keys_agree_with_the_map() -> None:
    for row in all_percussion().values():
        if row.midi_unpitched is not None:
            assert of_midi_unpitched(row.midi_unpitched) is row
            assert not row.pitched


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("susp. cym.", "suspended-cymbal"), ("S.D.", "snare-drum"), ("B.D.", "bass-drum"), ("T.-t.", "tam-tam"),
        ("Glsp.", "glockenspiel"), ("Vib.", "vibraphone"), ("Mar.", "marimba"), ("Xyl.", "xylophone"),
        ("Crot.", "crotales"), ("4 large Tom-toms", "tom-toms"), ("Marimba II", "marimba"), ("Gr. Tr.", "bass-drum"),
        ("R\u00f6hrenglocken", "chimes"), ("cymbale suspendue", "suspended-cymbal"),
        ("Piatto sospeso", "suspended-cymbal"),
    ],
)  # fmt: skip
def test_names_as_parts_print_them(text: str, key: str) -> None:
    """Common practice, no source."""
    found = named(text)
    assert found is not None
    assert found.key == key


@pytest.mark.parametrize("text", ["", "Violin I", "Player 1", "Percussion", "solo", "1", "tutti"])
def test_names_of_no_percussion(text: str) -> None:
    assert named_in(text) is None


def test_octaves() -> None:
    """Encyclopaedias: the xylophone sounds an octave above the written pitch, the glockenspiel two."""
    rows = all_percussion()
    assert [rows[key].octaves for key in ("marimba", "vibraphone", "xylophone", "glockenspiel")] == [0, 0, 1, 2]
