"""MIDI files read back by pretty_midi and mido."""

import io
import warnings
from pathlib import Path

import mido
import music21
import pytest

from score.playback.click import Thinning
from score.playback.general_midi import patch_of
from score.playback.midi_file import midi_file
from score.playback.sound_events import BREATH, Timeline
from score.playback.timeline import PlayOptions, timeline
from score.reading import read_score
from score.time.route import bars, whole

SAMPLES = Path(__file__).parents[2] / "samples"
CORPUS = Path(music21.__file__).parent / "corpus"
FILES = [
    SAMPLES / "quartet.musicxml",
    SAMPLES / "study.musicxml",
    SAMPLES / "trio-ids.musicxml",
    CORPUS / "mozart" / "k155" / "movement2.mxl",
]
TENTH = 1e-4


def onsets(timeline_: Timeline, player: int) -> list[tuple[float, int, int]]:
    found = []
    for strike in timeline_.strikes:
        patch = patch_of(strike.voice, strike.pitch, strike.variant)
        if strike.player == player and not patch.is_silent:
            note = patch.number if patch.is_drum else round(strike.pitch) if strike.pitch is not None else patch.note
            found.append((strike.seconds, note, strike.velocity))
    return sorted(found)


def read_back(data: bytes) -> dict[str, list[tuple[float, int, int]]]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import pretty_midi

        pretty_midi.pretty_midi.MAX_TICK = 1e10  # its guard against corrupt files knows no fine grids
        file = pretty_midi.PrettyMIDI(io.BytesIO(data))
    found: dict[str, list[tuple[float, int, int]]] = {}
    for instrument in file.instruments:
        found.setdefault(instrument.name, []).extend((n.start, n.pitch, n.velocity) for n in instrument.notes)
    return {name: sorted(notes) for name, notes in found.items()}


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_pretty_midi_reads_every_sound_back_within_a_tenth_of_a_millisecond(path: Path) -> None:
    piece = read_score(path).piece
    route = whole(piece)
    made = timeline(piece, route)
    found = read_back(midi_file(piece, route, made, piece.title))
    names = {player.number: player.name for player in piece.players} | {0: "Click"}
    for number, name in names.items():
        wanted = onsets(made, number)
        assert len(found[name]) == len(wanted)
        pairs = zip(sorted(found[name]), sorted(wanted), strict=True)
        assert max(abs(one[0] - two[0]) for one, two in pairs) < TENTH
        assert sorted(n[1:] for n in found[name]) == sorted(n[1:] for n in wanted)


def test_meters_tempi_markers_and_names_stand_in_the_file() -> None:
    piece = read_score(FILES[0]).piece
    route = whole(piece)
    made = timeline(piece, route)
    file = mido.MidiFile(
        file=io.BytesIO(midi_file(piece, route, made, piece.title, [(16, "B"), (40, "C")])), charset="utf-8"
    )
    assert file.type == 1
    conductor = file.tracks[0]
    assert conductor.name == piece.title
    meters = [(m.numerator, m.denominator) for m in conductor if m.type == "time_signature"]
    assert meters == [(4, 4), (7, 8), (3, 4), (5, 4), (4, 4)]
    assert [m.text for m in conductor if m.type == "marker"] == ["B", "C"]
    assert [track.name for track in file.tracks[1:]] == ["Player 1", "Player 2", "Player 3", "Player 4", "Click"]
    assert file.length == pytest.approx(made.seconds, abs=3.0)


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
    made = timeline(piece, route, PlayOptions(click=Thinning.EVERY_BEAT, count_in=1))
    file = mido.MidiFile(file=io.BytesIO(midi_file(piece, route, made, "C")))
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
