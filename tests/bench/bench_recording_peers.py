"""A recording found beside what others measure and make: by hand, ``pytest tests/bench/bench_recording_peers.py -s``.

Metrics of alignment and separation are those of mir_eval (Raffel et al., Proc. ISMIR, 2014). The peer is chroma and
dynamic time warping as librosa has them; where the music begins and ends and which bars were played is told to it, as
it finds neither. It is skipped where librosa is not installed: extra `bench`.
"""

import time
from pathlib import Path

import mir_eval
import numpy as np
import pytest
from numpy.typing import NDArray

from score.piece import Piece
from score.reading import read_score
from score.recording.find_bars import find_recording
from score.recording.own_part import SoundedNote, lowered
from score.time.pulse import tempo_map
from tests.recording.heard_against_truth import Measured, measured
from tests.recording.performances import Performance, perform
from tests.recording.rooms import in_a_room
from tests.recording.synthesis import RATE, render

SAMPLES = Path(__file__).parents[2] / "samples"
# What both say of their own future is not about ours: the versions are pinned.
pytestmark = pytest.mark.filterwarnings("ignore::FutureWarning", "ignore::DeprecationWarning", "ignore::UserWarning")
PEER_RATE, PEER_HOP = 22_050, 512


@pytest.mark.parametrize(("name", "seed"), [("quartet", 110), ("study", 111)])
def test_beside_chroma_and_warping(name: str, seed: int, tmp_path: Path) -> None:
    piece = read_score(SAMPLES / f"{name}.musicxml").piece
    played = perform(piece, seed)
    begins = in_a_room(tmp_path / "take.mp3", played, seed)
    clock = time.process_time()
    heard = find_recording(piece, tmp_path / "take.mp3")
    ours = time.process_time() - clock
    mine = measured(heard, played, begins)
    print(f"{name} {seed}: ours, nothing told: {mine.words}, {100 * ours / heard.seconds:.1f} % of the length")
    print(f"   mir_eval.alignment: {_alignment(mine)}")
    clock = time.process_time()
    theirs = _warped(piece, played, tmp_path / "take.mp3", begins)
    cost = time.process_time() - clock
    print(f"   chroma and warping, ends and order told: {theirs.words}, {100 * cost / heard.seconds:.1f} %")
    print(f"   mir_eval.alignment: {_alignment(theirs)}")
    assert np.median(np.abs(mine.errors)) < np.median(np.abs(theirs.errors))


def _alignment(times: Measured) -> str:
    """The metrics over moments whose times rise, as they demand."""
    rising = np.maximum.accumulate(times.estimated)
    keep = np.diff(rising, prepend=-9.0) > 1e-4
    later = 1.0  # the first may be played before its bar begins, and no time may be below zero
    scores = mir_eval.alignment.evaluate(times.true[keep] + later, rising[keep] + later)
    return ", ".join(f"{key} {value:.3f}" for key, value in scores.items())


def _warped(piece: Piece, played: Performance, path: Path, begins: float) -> Measured:
    """Chroma of the recording against that of the notes in playing order, by full dynamic time warping."""
    librosa = pytest.importorskip("librosa")
    seconds = played.bars[-1].end
    sound, _ = librosa.load(path, sr=PEER_RATE, offset=begins, duration=seconds)
    heard = librosa.feature.chroma_cqt(y=sound, sr=PEER_RATE, hop_length=PEER_HOP)
    written, places = _written(piece, played, heard.shape[1])
    _, way = librosa.sequence.dtw(X=written + 1e-3, Y=heard + 1e-3, metric="cosine")
    order = way[::-1]
    frames = np.interp(places, order[:, 0], order[:, 1])
    true = np.array([moment.seconds for moment in played.moments])
    return Measured(true, frames * PEER_HOP / PEER_RATE, 0.0)


def _written(piece: Piece, played: Performance, frames: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Chroma of the notes in the order of the bars, stretched to as many frames, and the frame of each moment."""
    times, starts, total = tempo_map(piece), [], 0.0
    for passed in played.bars:
        bar = piece.bars[passed.bar]
        starts.append(total - times.seconds(bar.start))
        total += times.seconds(bar.start + bar.length) - times.seconds(bar.start)
    scale = frames / total
    chroma = np.zeros((12, frames))
    for visit, passed in enumerate(played.bars):
        for stroke in (each for player in piece.players for each in player.strokes if each.bar == passed.bar):
            place = piece.offset_of(stroke.bar, stroke.at)
            first = int((starts[visit] + times.seconds(place)) * scale)
            last = int((starts[visit] + times.seconds(place + stroke.length)) * scale)
            for pitch in stroke.pitches:
                chroma[pitch % 12, first : max(first + 1, last)] += 1
    places = [
        (starts[moment.visit] + times.seconds(piece.offset_of(moment.bar, moment.at))) * scale
        for moment in played.moments
    ]
    return chroma, np.array(places)


@pytest.mark.parametrize("number", [1, 2, 3, 4])
def test_own_part_lower_by_the_measures_of_separation(number: int) -> None:
    """SDR of the others before and after, stems known; places of the notes off by 15 ms as an alignment would be."""
    piece, seconds = read_score(SAMPLES / "quartet.musicxml").piece, 10.0
    played = perform(piece, 112)
    first = next(bar.start for bar in played.bars if bar.bar == 20)
    sounds = [
        sound._replace(seconds=sound.seconds - first)
        for sound in played.sounds
        if first <= sound.seconds < first + seconds
    ]
    stems = [render([s for s in sounds if s.player == player.number], seconds) for player in piece.players]
    rng = np.random.default_rng(112)
    moments = {(moment.bar, moment.at): moment.seconds for moment in played.moments}
    notes = [
        SoundedNote(
            moments[stroke.bar, stroke.at] - first + rng.normal(0, 0.015),
            float(stroke.length) / 2,
            stroke,
            player=player,
        )
        for player in piece.players
        for stroke in player.strokes
        if first <= moments.get((stroke.bar, stroke.at), -1.0) < first + seconds
    ]
    mix, mine = np.sum(stems, axis=0), stems[number - 1]
    rest = mix - mine
    if not np.any(mine):
        pytest.fail("choose a passage in which everybody plays")
    left = lowered(mix.astype(np.float32), RATE, notes, number)
    gains = []
    for estimate in (mix, left):
        sdr, *_ = mir_eval.separation.bss_eval_sources(
            np.stack([rest, mine]), np.stack([estimate, mix - left + 1e-6]), False
        )
        gains.append(float(sdr[0]))
    parts, *_ = np.linalg.lstsq(np.stack([rest, mine], axis=1), left, rcond=None)
    down = -20 * np.log10(abs(float(parts[1])) + 1e-9)
    print(f"player {number}: own part {down:.1f} dB down, the rest {gains[0]:.1f} to {gains[1]:.1f} dB SDR")
    assert down >= 8
