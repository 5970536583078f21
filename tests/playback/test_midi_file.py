"""MIDI files read back by pretty_midi and mido."""

import io
import warnings
from pathlib import Path

import mido
import music21
import pytest

from score.piece import Piece
from score.playback.click import Thinning
from score.playback.general_midi import patch_of
from score.playback.midi_file import midi_file
from score.playback.sound_events import BREATH, Timeline
from score.playback.timeline import PlayOptions, timeline
from score.reading import read_score
from score.time.route import Route, bars, whole

SAMPLES = Path(__file__).parents[2] / "samples"
CORPUS = Path(music21.__file__).parent / "corpus"
FILES = [
    SAMPLES / "quartet.musicxml",
    SAMPLES / "study.musicxml",
    SAMPLES / "trio-ids.musicxml",
    CORPUS / "mozart" / "k155" / "movement2.mxl",
]
HALF, TWENTIETH = 5e-4, 5e-5
"""Seconds that a whole piece's onsets and a chunk's may be off."""


def onsets(timeline_: Timeline, player: int) -> list[tuple[float, int, int]]:
    notes = []
    for strike in timeline_.strikes:
        patch = patch_of(strike.voice, strike.pitch, strike.variant)
        if strike.player == player and not patch.is_silent:
            note = patch.number if patch.is_drum else round(strike.pitch) if strike.pitch is not None else patch.note
            notes.append((strike.seconds, note, strike.velocity))
    return sorted(notes)


def read_back(data: bytes) -> dict[str, list[tuple[float, int, int]]]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import pretty_midi

        file = pretty_midi.PrettyMIDI(io.BytesIO(data))
    notes: dict[str, list[tuple[float, int, int]]] = {}
    for instrument in file.instruments:
        notes.setdefault(instrument.name, []).extend((n.start, n.pitch, n.velocity) for n in instrument.notes)
    return {name: sorted(played) for name, played in notes.items()}


def check_back(piece: Piece, route: Route, sounds: Timeline, within: float) -> None:
    """The file as pretty_midi reads it, as it comes: it refuses files of more than ten million ticks."""
    by_name = read_back(midi_file(piece, route, sounds, piece.title))
    names = {player.number: player.name for player in piece.players} | {0: "Click"}
    for number, name in names.items():
        wanted = onsets(sounds, number)
        if not wanted:
            continue
        assert len(by_name[name]) == len(wanted)
        pairs = zip(by_name[name], wanted, strict=True)
        assert max(abs(read[0] - asked[0]) for read, asked in pairs) < within
        assert sorted(n[1:] for n in by_name[name]) == sorted(n[1:] for n in wanted)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_pretty_midi_reads_every_sound_of_a_piece_back(path: Path) -> None:
    piece = read_score(path).piece
    check_back(piece, whole(piece), timeline(piece, whole(piece)), HALF)


def test_a_chunk_is_within_a_twentieth_of_a_millisecond() -> None:
    piece = read_score(FILES[0]).piece
    route = bars(piece, range(64, 80))
    check_back(piece, route, timeline(piece, route), TWENTIETH)


def test_an_hour_is_read_as_it_comes() -> None:
    piece = read_score(FILES[0]).piece
    route = bars(piece, [*range(16, 56)] * 44)
    sounds = timeline(piece, route, PlayOptions(players=frozenset({3}), click=Thinning.DOWNBEATS))
    assert sounds.seconds > 3600
    check_back(piece, route, sounds, 6e-4)


def test_meters_tempi_markers_and_names_stand_in_the_file() -> None:
    piece = read_score(FILES[0]).piece
    route = whole(piece)
    sounds = timeline(piece, route)
    file = mido.MidiFile(
        file=io.BytesIO(midi_file(piece, route, sounds, piece.title, [(16, "B"), (40, "C")])), charset="utf-8"
    )
    assert file.type == 1
    conductor = file.tracks[0]
    assert conductor.name == piece.title
    meters = [(m.numerator, m.denominator) for m in conductor if m.type == "time_signature"]
    assert meters == [(4, 4), (7, 8), (3, 4), (5, 4), (4, 4)]
    assert [m.text for m in conductor if m.type == "marker"] == ["B", "C"]
    assert [track.name for track in file.tracks[1:]] == ["Player 1", "Player 2", "Player 3", "Player 4", "Click"]
    assert file.length == pytest.approx(sounds.seconds, abs=3.0)


def test_no_note_is_left_sounding() -> None:
    piece = read_score(FILES[2]).piece
    route = whole(piece)
    for track in mido.MidiFile(file=io.BytesIO(midi_file(piece, route, timeline(piece, route), "t"))).tracks:
        open_notes: set[tuple[int, int]] = set()
        for message in track:
            if message.type == "note_on" and message.velocity:
                assert (message.channel, message.note) not in open_notes
                open_notes.add((message.channel, message.note))
            elif message.type == "note_off":
                open_notes.discard((message.channel, message.note))
        assert not open_notes


def test_chunks_begin_at_their_count_in_and_keep_the_tempo() -> None:
    piece = read_score(FILES[0]).piece
    route = bars(piece, range(40, 48))
    sounds = timeline(piece, route, PlayOptions(click=Thinning.EVERY_BEAT, count_in=1))
    file = mido.MidiFile(file=io.BytesIO(midi_file(piece, route, sounds, "C")))
    first = next(m for m in file.tracks[0] if m.type == "set_tempo")
    assert mido.tempo2bpm(first.tempo) == pytest.approx(116, abs=0.01)


def test_general_midi_numbers_are_the_standards() -> None:
    # General MIDI level 1: vibraphone 12, marimba 13, xylophone 14, tubular bells 15 counted from 1;
    # acoustic bass drum 35, open triangle 81 on channel 10.
    programs = {"vibraphone": 12, "marimba": 13, "xylophone": 14, "chimes": 15, "glockenspiel": 10, "timpani": 48}
    assert {key: patch_of(key, 60).number + 1 for key in programs} == programs
    assert patch_of("triangle", None) == patch_of("triangle", None)
    assert (patch_of("triangle", None).number, patch_of("triangle", None).is_drum) == (81, True)
    assert patch_of(BREATH, None).is_silent
    assert patch_of("crotales", 84).stands_for
    assert patch_of("a thing nobody knows", None).stands_for
