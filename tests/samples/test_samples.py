"""The samples: valid, made again byte for byte, read alike by three readers, and holding what they promise."""

import os
import subprocess
import sys
import warnings
from fractions import Fraction
from functools import cache
from pathlib import Path

import music21
import musicxml.generate_classes
import pytest
import xmlschema
from lxml import etree

from score.piece import MarkKind, Piece, StrokeKind
from score.reading import read_score

FOLDER = Path(__file__).parents[2] / "samples"
FILES = sorted(FOLDER.glob("*.musicxml"))
TRIOS = [FOLDER / f"trio-{name}.musicxml" for name in ("ids", "plain", "noteheads")]
F = Fraction
Heard = tuple[Fraction, int | None]
"""Onset in quarters from the start; written MIDI pitch, None when unpitched."""


@cache
def piece(path: Path) -> Piece:
    return read_score(path).piece


@pytest.fixture(scope="module")
def quartet() -> Piece:
    return piece(FOLDER / "quartet.musicxml")


class _Local(etree.Resolver):
    def resolve(self, system_url: str, public_id: str, context: object) -> object:  # type: ignore[override]
        folder = {"xml.xsd": "XML", "xlink.xsd": "XLINK"}.get(Path(system_url).name)
        if folder is None:
            return None
        path = Path(xmlschema.__file__).parent / "schemas" / folder / Path(system_url).name
        return self.resolve_filename(str(path), context)  # type: ignore[attr-defined]


@pytest.fixture(scope="module")
def schema() -> etree.XMLSchema:
    """MusicXML 4.0 as the W3C community group publishes it."""
    parser = etree.XMLParser(no_network=True)
    parser.resolvers.add(_Local())
    package = Path(musicxml.generate_classes.__file__ or "").parent
    return etree.XMLSchema(etree.parse(str(package / "musicxml_4_0.xsd"), parser))


def test_there_are_five() -> None:
    assert [path.stem for path in FILES] == ["quartet", "study", "trio-ids", "trio-noteheads", "trio-plain"]


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_valid_against_the_w3c_schema(path: Path, schema: etree.XMLSchema) -> None:
    schema.assertValid(etree.parse(str(path)))


def test_made_again_they_are_the_same(tmp_path: Path) -> None:
    environment = {**os.environ, "PYTHONDONTWRITEBYTECODE": "1"}
    script = [sys.executable, str(FOLDER / "source" / "make_samples.py"), "--out", str(tmp_path)]
    subprocess.run(script, check=True, env=environment)
    for path in FILES:
        assert (tmp_path / path.name).read_bytes() == path.read_bytes(), path.name


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_read_without_a_warning(path: Path) -> None:
    assert piece(path).warnings == ()


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_music21_hears_the_same_onsets_and_pitches(path: Path) -> None:
    # Outside: music21's own offsets and written pitches, part by part, grace notes left out. (Its sounding pitches
    # take a transposition inside a bar back to the bar's beginning; MusicXML's holds from where it stands.)
    heard: dict[int, set[Heard]] = {}
    names: list[str] = []
    for part in music21.converter.parse(path).parts:
        if part.partName not in names:  # music21 makes two parts of a grand staff, with one name
            names.append(part.partName)
        heard.setdefault(names.index(part.partName), set()).update(
            (F(note.getOffsetInHierarchy(part)).limit_denominator(1000), pitch)
            for note in part.recurse().notes
            if not note.duration.isGrace and (note.tie is None or note.tie.type in ("start", "let-ring"))
            for pitch in [p.midi for p in note.pitches] or [None]
        )
    assert len(heard) == sum(len(player.parts) for player in piece(path).players)
    if "noteheads" in path.stem:  # there the pitches are places on the staff, and Inbreath says so
        heard = {index: {(at, None) for at, _ in notes} for index, notes in heard.items()}
    assert heard == {index: heard_by_us(piece(path), index) for index in heard}


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_partitura_hears_the_same_onsets_and_pitches(path: Path, tmp_path: Path) -> None:
    # Outside: partitura's quarter positions and pitches; its ties are joined with note_array's own rule.
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import partitura

        score = partitura.load_musicxml(without_letter_fingerings(path, tmp_path))
        for index, part in enumerate(score.parts):
            theirs = {
                (F(float(part.quarter_map(note.start.t))).limit_denominator(1000), pitch)
                for kind in (partitura.score.Note, partitura.score.UnpitchedNote)
                for note in part.iter_all(kind)
                if note.tie_prev is None and not isinstance(note, partitura.score.GraceNote)
                for pitch in [None if isinstance(note, partitura.score.UnpitchedNote) else note.midi_pitch]
            }
            if "noteheads" in path.stem:
                theirs = {(at, None) for at, _ in theirs}
            assert from_the_first(theirs) == from_the_first(heard_by_us(piece(path), index))


def from_the_first(notes: set[Heard]) -> set[Heard]:
    """partitura counts quarters from the first beat; the samples have no upbeat, so only the origin may differ."""
    first = min((at for at, _ in notes), default=F(0))
    return {(at - first, pitch) for at, pitch in notes}


def without_letter_fingerings(path: Path, folder: Path) -> str:
    """partitura 1.9 stops at a sticking ("R"): it reads every fingering as a number."""
    tree = etree.parse(str(path))
    for fingering in list(tree.iter("fingering")):
        fingering.getparent().remove(fingering)
    tree.write(str(folder / path.name), encoding="UTF-8", xml_declaration=True)
    return str(folder / path.name)


def heard_by_us(read: Piece, part: int) -> set[Heard]:
    """Onset and written pitch of every stroke of a part but grace strokes; crotales are written two octaves below."""
    return {
        (read.offset(stroke.place), pitch and pitch - 24 * (key == "crotales"))
        for player in read.players
        for stroke in player.strokes
        for key in [player.instruments[stroke.instrument].key]
        for pitch in stroke.pitches or [None]
        if stroke.part == part and stroke.kind is not StrokeKind.GRACE
    }


def test_three_encodings_are_one_rhythm() -> None:
    rhythms = [
        [[(s.bar, s.at, s.length, s.kind, s.places or s.noteheads) for s in p.strokes] for p in piece(path).players]
        for path in TRIOS
    ]
    assert [[s[:4] for s in player] for player in rhythms[0]] == [[s[:4] for s in player] for player in rhythms[1]]
    assert [[s[:4] for s in player] for player in rhythms[0]] == [[s[:4] for s in player] for player in rhythms[2]]
    assert rhythms[0] == rhythms[1]


def test_players_and_their_instruments(quartet: Piece) -> None:
    assert [player.number for player in quartet.players] == [1, 2, 3, 4]
    keys = [{instrument.key for instrument in player.instruments} for player in quartet.players]
    assert keys == [{"marimba", "triangle"}, {"marimba", "crotales"}, {"vibraphone", "suspended-cymbal"}, {"marimba"}]
    assert quartet.players[0].parts == (0, 1)


def test_marks_meters_and_the_way_through(quartet: Piece) -> None:
    assert [(bar.rehearsal_mark, bar.label) for bar in quartet.bars if bar.rehearsal_mark] == [
        ("A", "1"), ("B", "17"), ("C", "41"), ("D", "57"), ("E", "81"), ("F", "97"),
    ]  # fmt: skip
    assert quartet.bars[40].meter.groups == (F(1), F(1), F(3, 2))
    assert quartet.bars[80].meter.length == 5
    again = [*range(48), *range(40, 46), *range(48, 116)]
    assert list(quartet.playing_order) == again
    assert (quartet.tempi[0].low, quartet.tempi[0].high) == (60, 66)
    (change,) = quartet.tempo_changes
    assert (change.kind, change.start.bar, change.end.bar, change.extent) == ("rit", 108, 110, "dashes")
    assert {m.bar for p in quartet.players for m in p.marks if m.kind is MarkKind.FERMATA} == {111}


def test_players_enter_one_by_one_on_rolls(quartet: Piece) -> None:
    entries = {player.number: player.strokes[0] for player in quartet.players}
    assert {number: stroke.bar for number, stroke in entries.items()} == {4: 0, 2: 4, 3: 8, 1: 8}
    first = next(s for s in quartet.player(1).strokes if s.pitches)
    assert (first.bar, first.kind) == (12, StrokeKind.ROLL)
    assert quartet.player(4).strokes[0].kind is StrokeKind.ROLL


def test_two_players_share_one_line_of_sixteenths(quartet: Piece) -> None:
    for bar in range(16, 39):
        mine, theirs = (places(quartet, number, bar) for number in (1, 2))
        assert mine
        assert theirs
        assert not mine & theirs


def places(read: Piece, player: int, bar: int) -> set[Fraction]:
    return {s.at for s in read.player(player).strokes if s.bar == bar}


def test_four_in_the_time_of_three(quartet: Piece) -> None:
    assert places(quartet, 1, 72) == {F(0), F(3, 4), F(3, 2), F(9, 4)}
    assert next(s for s in quartet.player(1).strokes if s.bar == 72).tuplet == (4, 3)


def test_the_planted_problems_are_there(quartet: Piece) -> None:
    second = quartet.player(2)
    to_crotales = next(s for s in second.strokes if second.instruments[s.instrument].key == "crotales")
    before = [s for s in second.strokes if s.place < to_crotales.place][-1]
    gap = quartet.offset(to_crotales.place) - quartet.offset(before.place) - before.length
    assert (to_crotales.bar, gap) == (87, 1)
    struck = [{(s.at, p) for s in quartet.player(n).strokes if s.bar == 91 for p in s.pitches} for n in (1, 2)]
    assert sorted(struck[0] & struck[1]) == [(0, 69), (1, 69), (3, 69)]
    # Written E5, D5, A5; crotales sound two octaves higher (encyclopaedias).
    bells = [s.pitches for s in second.strokes if second.instruments[s.instrument].key == "crotales"]
    assert bells == [(100,), (98,), (105,)]


def test_the_shared_marimba_has_no_other_clash(quartet: Piece) -> None:
    # Brute force over every pair of strokes: one bar of the marimba struck by both less than a sixteenth apart, or
    # rolled by one while the other strikes it. Common practice, no source.
    one, two = (marimba(quartet, number) for number in (1, 2))
    clashes = {
        bar
        for start, end, pitches, bar in one
        for other_start, other_end, others, _ in two
        if pitches & others and start < other_end and other_start < end
    }
    assert clashes == {91}


def test_the_upper_player_stays_above(quartet: Piece) -> None:
    # Two players at one keyboard do not cross, the planted bar apart. Common practice, no source.
    lower = {start: max(pitches) for start, _, pitches, bar in marimba(quartet, 2) if bar != 91}
    for start, _, pitches, _ in marimba(quartet, 1):
        assert min(pitches) > lower.get(start, 0)


def marimba(read: Piece, number: int) -> list[tuple[Fraction, Fraction, frozenset[int], int]]:
    """Start and end of the time a bar is in use, the bars struck, the bar of music."""
    player = read.player(number)
    return [
        (start, start + (stroke.length if stroke.kind is StrokeKind.ROLL else F(1, 4)), frozenset(stroke.pitches), at)
        for stroke in player.strokes
        for start, at in [(read.offset(stroke.place), stroke.bar)]
        if player.instruments[stroke.instrument].key == "marimba"
    ]


def test_new_mallets_only_in_free_hands(quartet: Piece) -> None:
    # Two beats or more without a stroke before every change of mallets. Common practice, no source.
    for player in quartet.players:
        changes = [quartet.bars[mark.bar].start + mark.at for mark in player.marks if mark.kind is MarkKind.STICKS]
        ends = [quartet.offset(s.place) + min(s.length, F(1)) for s in player.strokes if s.kind is not StrokeKind.ROLL]
        ends += [quartet.offset(s.place) + s.length for s in player.strokes if s.kind is StrokeKind.ROLL]
        for change in sorted(changes)[1:]:
            assert change - max(end for end in ends if end <= change) >= 2


def test_hands_can_play_it(quartet: Piece) -> None:
    # Four mallets, two a hand; a hand spans an octave with ease. Ranges from encyclopaedias: marimba of 4.3 octaves
    # from A2 (45), of five from C2 (36), to C7 (96); vibraphone F3 (53) to F6 (89). Common practice for the hands.
    lowest = {(1, "marimba"): 36, (2, "marimba"): 36, (4, "marimba"): 45, (3, "vibraphone"): 53}
    for player in quartet.players:
        together: dict[Fraction, set[int]] = {}
        for stroke in player.strokes:
            if stroke.pitches and (key := (player.number, player.instruments[stroke.instrument].key)) in lowest:
                assert lowest[key] <= min(stroke.pitches) <= max(stroke.pitches) <= (89 if player.number == 3 else 96)
                together.setdefault(quartet.offset(stroke.place), set()).update(stroke.pitches)
        assert all(in_two_hands(sorted(pitches)) for pitches in together.values())


def in_two_hands(pitches: list[int]) -> bool:
    """Whether the notes part into two hands of at most two notes, each within an octave."""
    return any(
        all(len(hand) <= 2 and (not hand or hand[-1] - hand[0] <= 12) for hand in (pitches[:cut], pitches[cut:]))
        for cut in range(len(pitches) + 1)
    )


def test_notation_a_percussionist_expects(quartet: Piece) -> None:
    strokes = [stroke for player in quartet.players for stroke in player.strokes]
    assert any(stroke.let_ring for stroke in strokes)
    assert any(stroke.kind is StrokeKind.GRACE for stroke in strokes)
    assert any(stroke.stickings for stroke in strokes)
    assert sum(m.kind is MarkKind.DAMP for p in quartet.players for m in p.marks) == 3
    assert {m.text for p in quartet.players for m in p.marks if m.kind is MarkKind.STICKS} >= {"hard yarn", "soft yarn"}
