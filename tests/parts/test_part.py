"""The cue-annotated part: the player's own part survives, the cue rhythm is right, the document is valid."""

from collections import Counter
from collections.abc import Callable
from fractions import Fraction
from functools import cache
from pathlib import Path

import music21
import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from score.cues.cue_choice import choose_cues
from score.cues.sheet import Level
from score.parts.cue_rhythm import spelled
from score.parts.cue_sounds import Sound, sounds, strokes_in
from score.parts.cued_part import cue_rows
from score.piece import Bar, Meter, StrokeKind
from score.reading import read_score
from score.reading.reading_result import Reading
from tests.parts.cued_document import part_xml

F = Fraction
SAMPLES = sorted((Path(__file__).parents[2] / "samples").glob("*.musicxml"))
CORPUS = [
    path
    for name in ("haydn/opus74no1/movement3", "mozart/k155/movement2", "bach/bwv66.6", "schoenberg/opus19/movement2")
    for path in [music21.corpus.getWork(name)]
    if Path(path).suffix in (".mxl", ".xml", ".musicxml")
]
Errors = Callable[[etree._Element], Counter[str]]
FILES = [*SAMPLES, *map(Path, CORPUS)]


@cache
def read(path: Path) -> Reading:
    return read_score(path)


def c14n(element: etree._Element) -> bytes:
    return etree.tostring(element, method="c14n")


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.parent.name + "/" + path.stem)
@pytest.mark.parametrize("level", list(Level))
def test_own_part_is_kept_and_nothing_gets_less_valid(path: Path, level: Level, musicxml_errors: Errors) -> None:
    reading = read(path)
    before = etree.fromstring(reading.source.xml)
    old = before.findall("part")
    for player in reading.piece.players:
        sheet = choose_cues(reading.piece, player.number, level)
        after = etree.fromstring(part_xml(reading, sheet))
        parts = {part.get("id"): part for part in after.findall("part")}
        own = [old[index] for index in player.parts]
        for part in own:
            kept = parts[part.get("id")]
            assert Counter(e.tag for e in kept.iter()) == Counter(e.tag for e in part.iter())
            assert c14n(kept) == c14n(part)
        new = musicxml_errors(after) - musicxml_errors(before)
        assert not new, new.most_common(3)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.parent.name + "/" + path.stem)
def test_a_cue_has_the_onsets_of_its_source(path: Path) -> None:
    piece = read(path).piece
    for player in piece.players:
        sheet = choose_cues(piece, player.number)
        (row,) = cue_rows(piece, sheet)
        for cue in sheet.cues:
            strokes = piece.player(cue.source).strokes
            for index in cue.bars:
                expected = {s.at for s in strokes if s.bar == index and s.kind is not StrokeKind.GRACE and s.length > 0}
                shown = {sign.at for sign in row[index].signs if not sign.rest and not sign.tie_in}
                assert shown == expected or not row[index].signs


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.parent.name + "/" + path.stem)
def test_music21_reads_the_cue_staff_as_the_source_plays(path: Path) -> None:
    reading = read(path)
    piece = reading.piece
    player = piece.players[0]
    sheet = choose_cues(piece, player.number)
    stream = music21.converter.parseData(part_xml(reading, sheet), format="musicxml")
    measures = list(stream.parts[0].getElementsByClass("Measure"))
    (row,) = cue_rows(piece, sheet)
    for measure, cue in zip(measures, row, strict=True):
        read_back = [F(note.offset).limit_denominator(5040) for note in measure.recurse().notes]
        assert read_back == [sign.at for sign in cue.signs if not sign.rest]


METERS = [(1, 1, 1, 1), (1, 1, F(3, 2)), (F(3, 2), F(3, 2)), (3, 2), (1, 1, 1)]
lengths = st.sampled_from([F(1, 4), F(1, 2), F(3, 4), F(1), F(1, 3), F(2, 3), F(1, 6), F(3, 2), F(1, 5), F(5, 4)])


@given(st.sampled_from(METERS), st.lists(st.tuples(lengths, st.booleans()), max_size=12))
def test_a_spelled_bar_is_full_and_keeps_every_onset(groups: tuple[F, ...], events: list[tuple[F, bool]]) -> None:
    meter = Meter("", tuple(map(F, groups)), F(1, 2))
    bar = Bar(0, "1", F(0), meter.length, meter)
    row, at = [], F(0)
    for length, plays in events:
        if at + length <= bar.length:
            if plays:
                row.append(Sound(at, at + length))
            at += length
    signs = spelled(row, bar)
    if signs is None:
        return
    assert sum(sign.length for sign in signs) == bar.length
    assert [sign.at for sign in signs if not sign.rest and not sign.tie_in] == [sound.at for sound in row]
    for sign in signs:
        # MusicXML 4.0, note-type-value and time-modification: value x dots x normal / actual is the length.
        ratio = sign.tuplet or (1, 1)
        plain = {"whole": 4, "half": 2, "quarter": 1, "eighth": F(1, 2), "16th": F(1, 4), "32nd": F(1, 8)}
        if sign.value in plain:
            assert plain[sign.value] * (2 - F(1, 2**sign.dots)) * ratio[1] / ratio[0] == sign.length  # type: ignore[operator]


def test_most_bars_of_real_music_can_be_spelled() -> None:
    total = failed = 0
    for path in FILES:
        piece = read(path).piece
        for player in piece.players:
            for bar, strokes in zip(piece.bars, strokes_in(player, len(piece.bars)), strict=True):
                row = sounds(strokes, bar)
                total += 1
                failed += spelled(row, bar) is None
    assert total > 200
    assert failed <= total * 0.005
