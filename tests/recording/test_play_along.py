"""Playing along with a recording: slower at its own pitch with its own attacks, one's own part lower."""

import errno
import os
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray

from score.errors import RequestError, WritingError
from score.piece import Piece
from score.playback.click import Thinning
from score.playback.mixing import render
from score.playback.recorded_cuts import FILE_RATE
from score.playback.slowing import slowed
from score.playback.sound_events import CLICK_PLAYER, RECORDING_PLAYER
from score.playback.timeline import PlayOptions
from score.reading import read_score
from score.recording.heard_bars import HeardBar, HeardOnset, HeardRecording
from score.recording.own_part import SoundedNote, lowered
from score.recording.passage_times import doubtful_bars, route_beats
from score.recording.play_along import along
from score.recording.prepared_sounds import RecordedPartner, is_prepared, partner_for, stretches_of
from score.recording.sound_pieces import sound_facts, sound_stretch
from score.time.route import bars
from tests.recording.performances import Performance, Played, perform
from tests.recording.rooms import FORMATS
from tests.recording.synthesis import RATE
from tests.recording.synthesis import render as sounded

STUDY = Path(__file__).parents[2] / "samples" / "study.musicxml"
ATTACKS = (0.5, 1.2, 1.9, 2.6)


def _rise(sound: NDArray[np.float32], attack: float) -> float:
    """Milliseconds from 10 to 90 % of the first peak of an attack."""
    level = np.convolve(np.abs(sound), np.ones(22) / 22, "same")
    first = round((attack - 0.01) * RATE)
    near = level[first : first + round(0.05 * RATE)]
    high = int(np.argmax(near > 0.9 * near.max()))
    low = high - int(np.argmax(near[high::-1] < 0.1 * near.max()))
    return 1000 * (high - low) / RATE


def _pitch(sound: NDArray[np.float32], start: float) -> float:
    frames = sound[round(start * RATE) :][:16_384]
    size = np.abs(np.fft.rfft(frames * np.hanning(len(frames)), 8 * len(frames)))
    peak = int(size.argmax())
    left, middle, right = np.log(size[peak - 1 : peak + 2])
    return float((peak + 0.5 * (left - right) / (left - 2 * middle + right)) * RATE / (8 * len(frames)))


@pytest.mark.parametrize("pitch", [48, 69, 81])
@pytest.mark.parametrize("tempo", [0.7, 0.5, 0.4])
def test_slower_keeps_pitch_attacks_and_their_places(pitch: int, tempo: float) -> None:
    blows = [Played(second, 0.5, "marimba", pitch=pitch, velocity=100, player=1) for second in ATTACKS]
    sound = sounded(blows, 3.5)
    slow = slowed(sound, RATE, 1 / tempo, ATTACKS)
    assert len(slow) == pytest.approx(len(sound) / tempo, abs=2)
    for attack in ATTACKS[1:]:
        assert _rise(slow, attack / tempo) <= 5.0
        before = slow[round((attack / tempo - 0.012) * RATE) : round((attack / tempo - 0.004) * RATE)]
        after = slow[round(attack / tempo * RATE) : round((attack / tempo + 0.02) * RATE)]
        assert np.abs(after).max() > 4 * np.abs(before).max()
    cents = 1200 * np.log2(_pitch(slow, ATTACKS[1] / tempo + 0.06) / _pitch(sound, ATTACKS[1] + 0.06))
    assert abs(cents) <= 1.0


@pytest.fixture(scope="module")
def study() -> Piece:
    return read_score(STUDY).piece


@pytest.fixture(scope="module")
def played(study: Piece) -> Performance:
    return perform(study, 101)


@pytest.fixture(scope="module")
def heard(study: Piece, played: Performance) -> HeardRecording:
    """What is to be heard, without listening."""
    passed = [HeardBar(bar.bar, 1, bar.start, end=bar.end, sure=1.0, doubt="", run=0) for bar in played.bars]
    onsets = [HeardOnset(moment.bar, 1, moment.at, seconds=moment.seconds) for moment in played.moments]
    return HeardRecording(played.seconds, 0.0, tuple(passed), onsets=tuple(onsets))


@pytest.fixture(scope="module")
def partner(
    study: Piece, played: Performance, heard: HeardRecording, tmp_path_factory: pytest.TempPathFactory
) -> RecordedPartner:
    folder = tmp_path_factory.mktemp("along")
    sound = sounded(played.sounds, played.seconds)
    soundfile.write(folder / "take.wav", 0.6 * sound / np.abs(sound).max(), RATE)
    return partner_for(study, heard, folder / "take.wav", bars(study, range(8, 12)), folder)


@pytest.mark.parametrize("tempo", [1.0, 0.5])
def test_the_click_falls_where_the_recording_has_its_beats(
    study: Piece, played: Performance, partner: RecordedPartner, tempo: float
) -> None:
    route = bars(study, range(8, 12))
    sounds = along(study, route, partner, PlayOptions(players=frozenset(), click=Thinning.EVERY_BEAT), tempo)
    moments = {(moment.bar, moment.at): moment.seconds for moment in played.moments}
    first = moments[8, Fraction(0)]
    clicks = {round(s.offset, 3): s.seconds - sounds.starts for s in sounds.strikes if s.player == CLICK_PLAYER}
    for bar in range(8, 12):
        offset = float(study.bars[bar].start - study.bars[8].start)
        assert clicks[round(offset, 3)] * tempo == pytest.approx(moments[bar, Fraction(0)] - first, abs=0.06)
    assert {s.player for s in sounds.strikes} == {CLICK_PLAYER, RECORDING_PLAYER}


def test_a_stretch_is_what_reading_from_the_beginning_gives(tmp_path: Path) -> None:
    """Against soundfile reading the whole file, where no other rate is wanted."""
    sound = np.random.default_rng(4).normal(0, 0.1, 6 * FILE_RATE).astype(np.float32)
    for ending in ("wav", "flac", "mp3", "ogg"):
        path = tmp_path / f"take.{ending}"
        with soundfile.SoundFile(path, "w", FILE_RATE, 1, *FORMATS[ending][1:], format=FORMATS[ending][0]) as file:
            file.write(sound)
        whole, _ = soundfile.read(path, dtype="float32")
        heard = sound_stretch(sound_facts(path), 2.5, 4.25, FILE_RATE)
        assert np.abs(heard - whole[round(2.5 * FILE_RATE) : round(4.25 * FILE_RATE)]).max() < 1e-5
        assert len(sound_stretch(sound_facts(path), 5.5, 9.0, FILE_RATE)) == round(3.5 * FILE_RATE)


def test_bars_that_lie_within_what_was_prepared_are_ready(
    study: Piece, heard: HeardRecording, partner: RecordedPartner
) -> None:
    folder = partner.sounds[0].path.parent
    take, inside = folder / "take.wav", bars(study, range(9, 11))
    assert is_prepared(study, heard, take, inside, folder)
    assert not is_prepared(study, heard, take, inside, folder, my_part=1)
    assert not is_prepared(study, heard, take, bars(study, range(4)), folder)
    again = partner_for(study, heard, take, inside, folder)
    assert {sound.path for sound in again.sounds} == {sound.path for sound in partner.sounds}


def test_without_room_on_the_disk_it_is_said_where_and_nothing_is_left(
    study: Piece, heard: HeardRecording, partner: RecordedPartner, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("score.writing.os.fsync", full)
    with pytest.raises(WritingError) as caught:
        partner_for(study, heard, partner.sounds[0].path.parent / "take.wav", bars(study, range(8, 12)), tmp_path)
    assert os.strerror(errno.ENOSPC) in caught.value.line
    assert caught.value.line.endswith(f"it would go into {tmp_path}")
    assert not list(tmp_path.iterdir())


def test_of_several_times_the_surest_is_taken_and_the_last_of_equal_ones(study: Piece) -> None:
    """Bars 1 to 4 three times, the second one in doubt; bar 3 alone after that; what lies far apart is not read."""
    played, now = [], 0.0
    for turn, sure in enumerate((0.9, 0.3, 0.9), 1):
        doubt = "" if sure > 0.5 else "faint"
        for bar in range(4):
            played.append(HeardBar(bar, turn, now, end=now + 2, sure=sure, doubt=doubt, run=turn))
            now += 2
        now += 600
    played.append(HeardBar(2, 4, now, end=now + 2, sure=1.0, doubt="", run=4))
    heard = HeardRecording(now + 10, 0.0, tuple(played), onsets=())
    beats = route_beats(study, heard, bars(study, range(4)))
    assert beats[0].start == played[8].start
    assert not doubtful_bars(study, heard, bars(study, range(4)))
    assert sum(end - start for start, end in stretches_of(beats, heard.seconds)) == pytest.approx(8 + 3, abs=0.1)


def test_cuts_join_to_the_recording_itself(study: Piece, partner: RecordedPartner) -> None:
    route = bars(study, range(8, 12))
    sounds = along(study, route, partner, PlayOptions(players=frozenset(), click=Thinning.NONE, count_in=0))
    heard = np.concatenate(list(render(sounds, rate=FILE_RATE)))[:, 0]
    start = partner.beats[0].start - partner.sounds[0].start
    source = np.load(partner.sounds[0].path)[round(start * FILE_RATE) :][: len(heard)]
    heard = heard[: len(source)]
    gain = float(heard @ source / (source @ source))
    rest = heard - gain * source
    assert 10 * np.log10((rest**2).mean() / ((gain * source) ** 2).mean()) < -20


def test_a_recording_goes_no_slower_than_it_can_and_plays_only_what_was_played(
    study: Piece, heard: HeardRecording, partner: RecordedPartner, tmp_path: Path
) -> None:
    with pytest.raises(RequestError, match="30 % of its own; choose from 40 to 150 %"):
        along(study, bars(study, range(8, 12)), partner, PlayOptions(), 0.3)
    short = heard._replace(bars=heard.bars[:4])
    with pytest.raises(RequestError, match="bar 9 was not played"):
        partner_for(study, short, tmp_path / "none.wav", bars(study, range(8, 12)), tmp_path)


@pytest.mark.parametrize("player", [1, pytest.param(2, marks=pytest.mark.campaign)])
def test_ones_own_part_is_lower_and_the_others_come_forward(study: Piece, played: Performance, player: int) -> None:
    """The stems are known: how much of each is left by least squares, and how much else (as in BSS Eval)."""
    seconds = 14.0
    stems = {
        number: sounded([sound for sound in played.sounds if sound.player == number], played.seconds)[
            : round(seconds * RATE)
        ]
        for number in (1, 2)
    }
    moments = {(moment.bar, moment.at): moment.seconds for moment in played.moments}
    notes = [
        SoundedNote(moments[stroke.bar, stroke.at], float(stroke.length) * 0.65, stroke, player=each)
        for each in study.players
        for stroke in each.strokes
        if moments.get((stroke.bar, stroke.at), 99.0) < seconds
    ]
    mix = stems[1] + stems[2]
    left = lowered(mix, RATE, notes, player)
    both = np.stack([stems[1], stems[2]], axis=1)
    parts, *_ = np.linalg.lstsq(both, left, rcond=None)
    mine, others = (parts[0], parts[1]) if player == 1 else (parts[1], parts[0])
    assert 20 * np.log10(abs(mine) + 1e-9) <= -8
    assert others > 0.7
