"""Texts of a score that a terminal would obey, or that stand in another encoding than the file says.

Against the Unicode Character Database and against Python's own codecs.
"""

import unicodedata
from collections.abc import Callable

import pytest

from score.piece import Piece
from score.reading.clean_texts import readable
from score.reading.score_summary import piece_json, piece_summary

HARMFUL = "\x9b31m\u202e\u2066\u200f"


def _texts(value: object) -> list[str]:
    if isinstance(value, dict):
        return [text for each in value.values() for text in _texts(each)]
    if isinstance(value, list | tuple):
        return [text for each in value for text in _texts(each)]
    return [str(value)]


def _controls(text: str) -> list[str]:
    turns = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}
    return [
        letter
        for letter in text
        if (unicodedata.category(letter) == "Cc" and letter != "\n") or unicodedata.bidirectional(letter) in turns
    ]


Read = Callable[..., Piece]


def test_no_text_of_a_score_holds_what_a_terminal_obeys(
    read: Read, score_xml: Callable[..., str], note: Callable[..., str], attributes: Callable[..., str]
) -> None:
    words = "".join(
        f"<direction><direction-type>{each}</direction-type></direction>"
        for each in (f"<words>hard {HARMFUL}yarn</words>", f"<rehearsal>A{HARMFUL}</rehearsal>")
    )
    tempo = (
        "<direction><direction-type><metronome><beat-unit>quarter</beat-unit>"
        f"<per-minute>c. {HARMFUL}60</per-minute></metronome></direction-type></direction>"
    )
    sticking = f"<notations><technical><fingering>R{HARMFUL}</fingering></technical></notations>"
    bars = [attributes() + words + tempo + note("C4", 16, sticking), note("D4", 16)]
    xml = score_xml(
        bars, names=(f"Marimba{HARMFUL} 1",), listed=(f"<part-abbreviation>M{HARMFUL}</part-abbreviation>",)
    )
    xml = xml.replace("<part-list>", f"<work><work-title>Kiln{HARMFUL} Yard</work-title></work><part-list>")
    xml = xml.replace('number="2"', 'number="2&#x9d;&#8238;"')
    piece = read(xml)
    assert _controls("".join([*_texts(piece_json(piece)), piece_summary(piece), *_texts(piece.players)])) == []
    assert piece.title == "Kiln31m Yard"
    assert [bar.label for bar in piece.bars] == ["1", "2"]
    assert any("control characters" in warning.what for warning in piece.warnings)


def test_a_harmless_score_gets_no_warning(
    read: Read, score_xml: Callable[..., str], note: Callable[..., str], attributes: Callable[..., str]
) -> None:
    xml = score_xml([attributes() + note("C4", 16)], names=("Gro&#xdf;e Trommel \u2013 \u30c9\u30e9\u30e0",))
    assert read(xml).warnings == ()


@pytest.mark.parametrize("meant", ["サイドスティック", "ハンドクラップ 2", "スネア", "大太鼓(バスドラム)"])
def test_japanese_taken_for_latin_1_is_read_as_meant(meant: str) -> None:
    assert readable(meant.encode("cp932").decode("latin-1")) == meant


# An apostrophe of Windows-1252 before a letter is a kanji in cp932.
@pytest.mark.parametrize(
    "meant", ["don\u2019t rush", "\u201csolo\u201d", "4 toms \u2013 high", "\u0152uvre\u2026", "l\u2019\u00e9t\u00e9"]
)
def test_windows_letters_taken_for_latin_1_are_read_as_meant(meant: str) -> None:
    assert readable(meant.encode("cp1252").decode("latin-1")) == meant


@pytest.mark.parametrize("text", ["Große Trommel", "Pièce à deux", "ドラム", "Ä\u0100\x9b"])
def test_other_letters_stay(text: str) -> None:
    assert readable(text) == text
