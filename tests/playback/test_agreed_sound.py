"""What the group agrees on is heard: breaths and who gives them, tries in words, and tracks that line up."""

from itertools import combinations
from pathlib import Path

import numpy as np
import pytest

from score.activity.breath import Breath
from score.activity.from_group import group_breaths
from score.errors import GroupFileError, RequestError
from score.group.group_file import Group, read_group
from score.playback.click import Thinning
from score.playback.mixing import render
from score.playback.sound_events import BREATH
from score.playback.timeline import PlayOptions, timeline
from score.playback.tracks import Passage, TrackOptions, track_timeline
from score.playback.voices.voice_templates import Templates
from score.reading import read_score
from score.time.pulse import PulseOptions
from score.time.route import bars
from score.time.tempo_map import Hold
from score.time.tried_tempo import bent
from score.time.tries import Word
from score.time.try_words import parse_try

PIECE = read_score(Path(__file__).parents[2] / "samples" / "quartet.musicxml").piece
RATE = 22_050
ENTRY = PIECE.bars[18].start


def group(folder: Path, text: str) -> Group:
    path = folder / "quartet.group.toml"
    path.write_text(text, encoding="utf-8")
    return read_group(path)


def test_a_breath_is_heard_and_seen_before_its_beat(tmp_path: Path) -> None:
    said = group(
        tmp_path, '[[breath]]\nbar = "19"\nplayer = 3\nseconds = 0.5\n[[breath]]\nbar = "20"\nstate = "dropped"\n'
    )
    breaths = group_breaths(said, PIECE)
    assert [(b.entry, b.giver, b.seconds) for b in breaths] == [(ENTRY, 3, 0.5)]
    sounds = timeline(PIECE, bars(PIECE, range(17, 20)), PlayOptions(PulseOptions(0.5), count_in=0, breaths=breaths))
    (seen,) = sounds.breaths
    (heard,) = (strike for strike in sounds.strikes if strike.voice == BREATH)
    bar = next(time for time in sounds.bars if time.bar == 18)
    # At half the tempo twice as long, and it ends where they come in.
    assert (seen.until, seen.until - seen.seconds, seen.giver) == pytest.approx((bar.seconds, 1.0, 3))
    assert (heard.seconds, heard.length) == pytest.approx((seen.seconds, 1.0))


def test_ones_own_breath_is_seen_and_left_to_oneself() -> None:
    options = TrackOptions(2, breaths=(Breath(ENTRY, PIECE.bars[18].meter.beat, 2),))
    sounds = track_timeline(PIECE, Passage("", bars(PIECE, range(17, 20))), options)
    assert len(sounds.breaths) == 1
    assert not [strike for strike in sounds.strikes if strike.voice == BREATH]


def test_the_groups_breath_takes_the_place_of_one_that_offers_itself() -> None:
    route = bars(PIECE, range(38, 42))
    plain = timeline(PIECE, route, PlayOptions(breath=True))
    (entry,) = {b.offset for b in plain.breaths if b.offset > 4}
    given = Breath(PIECE.offset(route.at(ENTRY * 0 + int(entry))[1]), PIECE.bars[18].meter.beat, 3)
    both = timeline(PIECE, route, PlayOptions(breath=True, breaths=(given,)))
    assert [b.offset for b in both.breaths] == [b.offset for b in plain.breaths]
    assert [b.giver for b in both.breaths if b.offset == entry] == [3]


@pytest.mark.parametrize(
    ("text", "said"),
    [('bar = "999"\n', "999"), ('bar = "19"\nbeat = 1.1\n', "nobody plays there"), ('bar = "19"\nplayer = 9\n', "9")],
)
def test_a_breath_that_cannot_be_is_one_line(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(GroupFileError, match=said):
        group_breaths(group(tmp_path, f"[[breath]]\n{text}"), PIECE)


@pytest.mark.parametrize(
    ("text", "word", "amount"),
    [
        ("57-64 hold back 12 %", Word.BACK, 12.0),
        ("57-64 lean forward", Word.FORWARD, 8.0),
        ("C-C+8 end 30", Word.END, 30.0),
        ("57 wait 0.75 s", Word.WAIT, 0.75),
        ("57-64 Back 99", Word.BACK, 60.0),
    ],
)
def test_tries_are_understood_in_words(text: str, word: Word, amount: float) -> None:
    trial = parse_try(PIECE, text)
    assert (trial.word, trial.amount) == (word, amount)


@pytest.mark.parametrize("text", ["", "57-64", "57-64 wobble", "57-64 back much"])
def test_what_is_no_try_is_one_line(text: str) -> None:
    with pytest.raises(RequestError, match="is not understood"):
        parse_try(PIECE, text)


def test_four_tracks_of_four_players_line_up_within_one_sample() -> None:
    pulse = PulseOptions(holds=(Hold(PIECE.bars[19].start, 0.7),))
    for text in ("17-19 lean forward 20", "18-20 end 35"):
        pulse = bent(PIECE, pulse, parse_try(PIECE, text))
    passage = Passage("try", bars(PIECE, range(16, 20)))
    sounds, templates = [], Templates(RATE)
    for player in PIECE.players:
        options = TrackOptions(player.number, pulse=pulse, click=Thinning.EVERY_BEAT)
        blocks = render(track_timeline(PIECE, passage, options), rate=RATE, templates=templates)
        sounds.append(np.concatenate(list(blocks)).mean(axis=1))
    assert len({sound.size for sound in sounds}) == 1
    size = 2 * sounds[0].size
    spectra = [np.fft.rfft(sound, size) for sound in sounds]
    for one, other in combinations(spectra, 2):
        # The click and two of the others are in both: what they share is where cross-correlation peaks.
        likeness = np.fft.irfft(one * np.conj(other), size)
        lag = int(np.argmax(likeness))
        assert min(lag, size - lag) <= 1
