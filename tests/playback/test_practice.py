"""Steps of tempo, passages by the words a player uses, tracks."""

import io
from pathlib import Path

import mido
import pytest

from score.errors import RequestError
from score.group.group_file import Group
from score.playback.passage_finding import find_passage, parse_tempo
from score.playback.tempo_steps import Steps
from score.playback.tracks import TrackOptions, missing_voices, track_timeline, write_tracks
from score.reading import read_score

PIECE = read_score(Path(__file__).parents[2] / "samples" / "quartet.musicxml").piece


def test_steps_go_up_after_good_passes_and_back_after_one_that_was_not() -> None:
    steps = Steps(tempo=0.6, up=0.1, passes=2)
    for was_good, tempo in ((True, 0.6), (True, 0.7), (False, 0.6), (True, 0.6), (True, 0.7)):
        steps = steps.rated(was_good)
        assert steps.tempo == pytest.approx(tempo)
    for _ in range(20):
        steps = steps.rated(True)
    assert steps.tempo == 1.0
    assert Steps(tempo=0.1).rated(False).tempo == 0.1


@pytest.mark.parametrize(("text", "wanted"), [("80%", (0.8, None)), ("72", (1.0, 72.0)), (" 50 % ", (0.5, None))])
def test_tempo_as_percentage_or_figure(text: str, wanted: tuple[float, float | None]) -> None:
    assert parse_tempo(text) == wanted


@pytest.mark.parametrize("text", ["", "fast", "0%", "999%", "5", "-80%"])
def test_a_tempo_that_cannot_be_is_one_line(text: str) -> None:
    with pytest.raises(RequestError):
        parse_tempo(text)


def test_passages_by_name() -> None:
    group = Group()
    assert [v.bar for v in find_passage(PIECE, group).route.visits] == list(PIECE.playing_order)
    assert [v.bar for v in find_passage(PIECE, group, chunk="c").route.visits] == list(range(40, 48))
    assert [v.bar for v in find_passage(PIECE, group, bars="17-18").route.visits] == [16, 17]
    assert [v.bar for v in find_passage(PIECE, group, chunk="B|C").route.visits] == [36, 37, 38, 39, 40, 41, 42, 43]


def test_ones_own_part_is_off_soft_or_on() -> None:
    passage = find_passage(PIECE, Group(), bars="17-20")
    mine = {
        own: [s.velocity for s in track_timeline(PIECE, passage, TrackOptions(1, own)).strikes if s.player == 1]
        for own in ("off", "soft", "on")
    }
    assert mine["off"] == []
    assert len(mine["soft"]) == len(mine["on"]) > 0
    assert max(mine["soft"]) < min(mine["on"])


def test_files_are_whole_named_and_as_long_as_the_timeline(tmp_path: Path) -> None:
    import soundfile

    passage = find_passage(PIECE, Group(), chunk="F+16")
    options = TrackOptions(3, kinds=("mid", "wav"))
    steps: list[str] = []
    files = write_tracks(PIECE, (passage,), tmp_path, "quartet", options, lambda step, done: steps.append(step))
    assert [path.name for path in files] == ["quartet-player-3-F-plus-16.mid", "quartet-player-3-F-plus-16.wav"]
    seconds = track_timeline(PIECE, passage, options).seconds
    assert soundfile.info(files[1]).duration == pytest.approx(seconds + 1.5, abs=0.01)
    file = mido.MidiFile(file=io.BytesIO(files[0].read_bytes()), charset="utf-8")
    assert "Player 3" not in [track.name for track in file.tracks]
    assert steps


def test_every_instrument_of_the_sample_has_a_voice() -> None:
    assert list(missing_voices(PIECE)) == []
