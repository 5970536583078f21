"""A whole pass that leaves the repeats out: its notes are those music21 has in the written bars, each once."""

from pathlib import Path

import music21
import pretty_midi
import pytest

from score.reading.read_file import read_score
from score.takes.heard_files import ONCE, PassFile, judge_file
from score.time.pulse import PulseOptions
from score.time.route import whole, without_repeats

SCORE = Path(music21.__file__).parent / "corpus/haydn/opus74no1/movement3.mxl"
PIECE = read_score(SCORE).piece
TEMPO = PIECE.tempi[0].quarters_per_minute


def _take(path: Path, times: int) -> Path:
    """Player 4's written notes in music21's own seconds, from 3 s on; all of it so many times."""
    file = pretty_midi.PrettyMIDI(resolution=960)
    notes = pretty_midi.Instrument(12)
    part = music21.converter.parse(SCORE).parts[3]
    for turn in range(times):
        for note in part.flatten().notes:
            if note.duration.isGrace or (note.tie is not None and note.tie.type != "start"):
                continue
            start = 3.0 + (float(note.offset) + turn * float(part.duration.quarterLength)) * 60 / TEMPO
            notes.notes += [pretty_midi.Note(80, pitch.midi, start, start + 0.05) for pitch in note.pitches]
    file.instruments.append(notes)
    file.write(str(path))
    return path


def test_each_bar_comes_once() -> None:
    assert [visit.bar for visit in without_repeats(PIECE).visits] == list(range(len(PIECE.bars)))
    assert len(whole(PIECE).visits) > len(PIECE.bars)


@pytest.mark.filterwarnings("ignore")
def test_a_pass_without_the_repeats_is_told(tmp_path: Path) -> None:
    judgement = judge_file(PIECE, whole(PIECE), 4, PulseOptions(), file=PassFile(_take(tmp_path / "once.mid", 1)))
    states = [stroke.state.is_timed for stroke in judgement.strokes]
    assert judgement.judged
    assert ONCE in judgement.remarks
    assert sum(states) > 0.97 * len(states)
