"""What instruments are called: nothing of what plays a score back reaches a page.

Against General MIDI level 1 as pretty_midi prints it, and MusicXML 4.0 (instrument-name, instrument-sound,
midi-program counted from 1); names common practice, no source.
"""

from collections.abc import Callable

import pretty_midi
import pytest

from score.instruments.general_midi_names import KEY_TITLES, PROGRAM_TITLES
from score.piece import Piece

Read = Callable[..., Piece]
Make = Callable[..., str]
Listed = tuple[str, str, int, int]
"""Name, sound, unpitched key from 1 and program from 1; 0 for none."""


def _xml(instruments: tuple[Listed, ...]) -> str:
    listed = "".join(
        f'<score-instrument id="I{n}"><instrument-name>{name}</instrument-name>'
        + (f"<instrument-sound>{sound}</instrument-sound>" if sound else "")
        + "</score-instrument>"
        for n, (name, sound, _, _) in enumerate(instruments)
    )
    for n, (_, _, key, program) in enumerate(instruments):
        inside = f"<midi-program>{program}</midi-program>" if program else ""
        inside += f"<midi-unpitched>{key}</midi-unpitched>" if key else ""
        listed += f'<midi-instrument id="I{n}">{inside}</midi-instrument>' if inside else ""
    return listed


@pytest.fixture
def names(read: Read, score_xml: Make, attributes: Make, note: Make) -> Callable[..., list[tuple[str, str]]]:
    """(key, name) of the instruments of the first of parts with these names and listed instruments."""

    def make(*parts: tuple[str, tuple[Listed, ...]], pitch: str = "C4") -> list[tuple[str, str]]:
        def bar(count: int) -> str:
            return attributes() + "".join(note(pitch, 4, f'<instrument id="I{n}"/>') for n in range(max(1, count)))

        bars = [[bar(len(instruments))] for _, instruments in parts]
        xml = score_xml(*bars, names=tuple(p[0] for p in parts), listed=tuple(_xml(p[1]) for p in parts))
        return [(each.key, each.name) for each in read(xml).players[0].instruments]

    return make


Names = Callable[..., list[tuple[str, str]]]


def _listed(name: str, sound: str = "", key: int = 0, program: int = 0) -> Listed:
    return name, sound, key, program


def test_titles_are_those_of_general_midi() -> None:
    for program, title in enumerate(PROGRAM_TITLES):
        said = pretty_midi.program_to_instrument_name(program).casefold()
        if title not in ("Synthesizer", "Sound effect", "Reverse cymbal"):
            assert all(word.rstrip("s") in said for word in title.casefold().split()), (title, said)
    for key, title in KEY_TITLES.items():
        said = pretty_midi.note_number_to_drum_name(key).casefold().replace("-", " ")
        words = title.casefold().replace("high ", "hi ").replace("-", " ").split()
        assert [word for word in words if word not in said] in ([], ["high"], ["drum"]), (title, said)


def test_a_sampler_in_a_marimbas_part_is_a_marimba(names: Names) -> None:
    listed = (_listed("Sampler 5"), _listed("Sampler Player"))
    assert names(("Marimba", listed)) == [("marimba", "Marimba")]
    assert names(("Violin", tuple((n, "strings.violin", 0, 0) for n, *_ in listed))) == [("", "Violin")]


def test_what_parts_of_different_names_share_is_no_instrument(names: Names) -> None:
    listed = (_listed("Grand Hall 5"), _listed("Grand Hall 7"))
    assert names(("Marimba", listed), ("Vibraphone", listed)) == [("marimba", "Marimba")]
    assert names(("Second", (_listed("Grand Hall 5", program=12),)), ("Third", listed)) == [
        ("vibraphone", "Vibraphone")
    ]


@pytest.mark.parametrize(
    ("listed", "name"),
    [
        ("to Tam-Tam", "Tam-Tam"),
        ("T.T.", "Tam-tam"),
        ("Sus Cym", "Suspended cymbal"),
        ("Glock", "Glockenspiel"),
        ("Vibraphone (2)", "Vibraphone"),
        ("Marimba (V2k)", "Marimba"),
        ("celesta real", "Celesta"),
        ("Loudmaker 7 glock", "Glockenspiel"),
        ("Grand Hall Sounds: Tamb", "Tambourine"),
        ("HALL xylo", "Xylophone"),
        ("Hall: Chinese Opera Gong 2", "Chinese Opera Gong 2"),
        ("Snare Drum with snares off", "Snare Drum with snares off"),
        ("Thai gong A3", "Thai gong A3"),
        ("Gro\u00dfe Trommel", "Gro\u00dfe Trommel"),
        ("Low Tom", "Low Tom"),
        ("Acoustic Snare", "Snare drum"),
        ("Acoustic Bass Drum", "Bass drum"),
        ("Tom", "Tom"),
        ("Blue pot", "Blue pot"),
    ],
)
def test_a_listed_name_in_words_for_a_page(names: Names, listed: str, name: str) -> None:
    other = _listed("Triangle", key=82)
    assert names(("Percussion 1", (_listed(listed, key=0 if listed != "Blue pot" else 77), other)))[0][1] == name


def test_words_that_alone_tell_two_instruments_apart_stay(names: Names) -> None:
    both = names(("Percussion 1", (_listed("Tom alpha"), _listed("Tom beta"))))
    assert [name for _, name in both] == ["Tom alpha", "Tom beta"]


def test_japanese_bytes_taken_for_latin_1_are_the_key_they_stand_beside(names: Names) -> None:
    listed = "\u30b5\u30a4\u30c9\u30b9\u30c6\u30a3\u30c3\u30af".encode("cp932").decode("latin-1")
    instruments = names(("Snare 1", (_listed(listed, key=38), _listed("Acoustic Snare", key=39))), pitch="u:E4")
    assert instruments[0] == ("snare-drum", "Side stick")


def test_the_sound_tells_before_the_listed_name(names: Names) -> None:
    assert names(("Second", (_listed("Bells", "metal.crotales"),))) == [("crotales", "Crotales")]


def test_a_program_is_said_with_a_doubt(
    names: Names, read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    assert names(("", (_listed("Midi_69", program=69),))) == [("", "Oboe?")]
    assert names(("", (_listed("Midi_1", program=1),))) == [("", "Piano?")]
    piece = read(score_xml([attributes() + note("C4", 16)], names=("",)))
    assert [each.name for each in piece.players[0].instruments] == ["Instrument?"]
    assert [warning.what for warning in piece.warnings] == ["no name says what this is played on"]


def test_a_drum_by_its_key_alone_with_the_head_of_a_cymbal_is_doubted(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    # MusicXML 4.0, midi-unpitched: keys count from 1, so 65 is General MIDI 64, low conga; off by one it is a timbale.
    listed = _xml((_listed("a", key=65), _listed("b", key=39)))
    crossed = '<instrument id="I0"/><notehead>x</notehead>'
    bar = attributes() + note("G4", 4, crossed) + note("C4", 4, '<instrument id="I1"/>')
    piece = read(score_xml([bar], names=("Drumset",), listed=(listed,)))
    assert next(each.name for each in piece.players[0].instruments).endswith("?")
    assert not any(each.name.endswith("?") for each in piece.players[0].instruments[1:])
