"""How well a recording is found: by hand, ``pytest tests/bench/bench_recording.py -s``; minutes, not seconds.

Seeds from 100 on, which no threshold was chosen on; the synthesizer is that of the tests, written for them alone:
partials, noise, a room, MP3. Truth is when each note was really struck. No human recording is in it.
"""

import time
from contextlib import suppress
from pathlib import Path

import numpy as np
import pytest

from score.errors import RequestError
from score.piece import Piece
from score.reading import read_score
from score.recording.bar_tempi import bar_tempi
from score.recording.find_bars import find_recording
from score.recording.heard_bars import HeardRecording
from tests.recording.heard_against_truth import caught, measured, wrong_bars
from tests.recording.mishaps import hard_recording
from tests.recording.performances import Performance, perform
from tests.recording.random_pieces import random_piece, without_repeat
from tests.recording.rooms import in_a_room, written
from tests.recording.synthesis import applause, speech

SAMPLES = Path(__file__).parents[2] / "samples"
CENTS = (0, 15, -20, 30)


@pytest.mark.parametrize(("name", "seeds"), [("quartet", (100, 101)), ("trio-ids", (102, 103, 104, 105))])
def test_places_in_a_room(name: str, seeds: tuple[int, ...], tmp_path: Path) -> None:
    piece = read_score(SAMPLES / f"{name}.musicxml").piece
    every: list[float] = []
    for seed in seeds:
        played, cents = perform(piece, seed), CENTS[seed % 4]
        begins = in_a_room(tmp_path / "take.mp3", played, seed, cents)
        clock = time.process_time()
        heard = find_recording(piece, tmp_path / "take.mp3")
        cost = (time.process_time() - clock) / heard.seconds
        off = measured(heard, played, begins)
        every += off.errors.tolist()
        order = heard.order == tuple(bar.bar for bar in played.bars)
        tuned = f"{heard.tuning_cents:.1f} of {cents} cents, " if name == "quartet" else ""
        print(f"{name} {seed}: {off.words}, order {order}, {tuned}{100 * cost:.1f} % of the length")
        _tempo(piece, heard, played, begins)
    assert np.median(np.abs(every)) <= 0.020


def _tempo(piece: Piece, heard: HeardRecording, played: Performance, begins: float) -> None:
    """Bar tempo smoothed over three bars against that of the performance, smoothed over the same bars."""
    truth = []
    for bar in heard.bars:
        near = min((b for b in played.bars if b.bar == bar.bar), key=lambda b: abs(b.start + begins - bar.start))
        truth.append(bar._replace(start=near.start + begins, end=near.end + begins))
    both = zip(bar_tempi(piece, heard), bar_tempi(piece, heard._replace(bars=tuple(truth))), strict=True)
    off = [abs(ours.smooth / true.smooth - 1) for ours, true in both if ours.smooth and true.smooth]
    print(f"   tempo of {len(off)} of {len(heard.bars)} bars, off by {100 * np.median(off):.2f} %, ", end="")
    print(f"95 % within {100 * np.percentile(off, 95):.1f} %")


def _found(piece: Piece, path: Path, name: str) -> HeardRecording | None:
    """What is heard; None, and why, where the piece is not."""
    try:
        return find_recording(piece, path)
    except RequestError as error:
        print(f"{name}: {error}")
        return None


@pytest.mark.parametrize("drums", [False, True])
def test_what_is_wrong_is_said_to_be_in_doubt(drums: bool, tmp_path: Path) -> None:
    """Plain rooms and hard ones, with mishaps, so that there are wrong bars; all bars of all files in one order."""
    scores = [read_score(SAMPLES / f"{'trio-ids' if drums else 'quartet'}.musicxml").piece] * 2
    sure: list[float] = []
    wrong: list[bool] = []
    for seed, piece in enumerate([*scores, *(random_piece(seed, drums=drums) for seed in range(522, 526))], 520):
        played = perform(piece, seed, strong=1.0 if seed < 522 else 0.7)
        if seed % 2:
            begins = hard_recording(tmp_path / "take.mp3", played, seed, CENTS[seed % 4])
        else:
            begins = in_a_room(tmp_path / "take.mp3", played, seed, CENTS[seed % 4])
        heard = _found(piece, tmp_path / "take.mp3", f"{seed}")
        if heard is None:
            continue
        here = wrong_bars(heard, played, begins)
        print(f"{seed}: {sum(here)} of {len(here)} bars wrong, {measured(heard, played, begins).words}")
        sure += [bar.sure for bar in heard.bars]
        wrong += here
    for share in (0.05, 0.1, 0.2):
        print(f"flagging {100 * share:.0f} % of {len(sure)} bars: {caught(sure, wrong, share)} wrong ones caught")


@pytest.mark.parametrize("drums", [False, True])
def test_the_order_with_repeats_taken_and_left_out(drums: bool, tmp_path: Path) -> None:
    right = 0
    for seed in range(200, 215):
        piece = random_piece(seed, drums=drums)
        for order in (piece.playing_order, without_repeat(piece)):
            played = perform(piece, seed, order, strong=0.7)
            begins = in_a_room(tmp_path / "take.ogg", played, seed, CENTS[seed % 4])
            heard = _found(piece, tmp_path / "take.ogg", f"{seed} drums {drums}")
            if heard is None:
                continue
            is_right = heard.order == tuple(order)
            right += is_right
            if not is_right:
                print(f"{seed} drums {drums}: {heard.order}, {measured(heard, played, begins).words}")
    print(f"order right in {right} of 30, drums {drums}")
    assert drums or right == 30


def test_restarts_of_a_rehearsal(tmp_path: Path) -> None:
    near = total = 0
    for seed in range(300, 307):
        piece = random_piece(seed)
        order = [*range(8), *range(4, 12), *range(2, 6), *range(10, 24)]
        gaps = [(8, 4.0), (16, 6.0), (20, 3.5)]
        played = perform(piece, seed, order, gaps, strong=0.7)
        begins = in_a_room(tmp_path / "take.flac", played, seed)
        heard = find_recording(piece, tmp_path / "take.flac")
        for visit, _ in gaps:
            bar = played.bars[visit]
            total += 1
            near += any(
                abs(each.bar - bar.bar) <= 1 and abs(each.start - bar.start - begins) < 3 for each in heard.bars
            )
    print(f"restarts within a bar: {near} of {total}")
    assert near >= total - 1


def test_talk_and_applause_claim_nothing(tmp_path: Path) -> None:
    claims = []
    for seed in range(400, 420):
        sound = np.concatenate([speech(40.0, seed=seed), applause(20.0, seed=seed)])
        written(tmp_path / "talk.wav", sound)
        for piece in (random_piece(seed), random_piece(seed, drums=True)):
            with suppress(RequestError):
                claims.append((seed, len(find_recording(piece, tmp_path / "talk.wav").bars)))
    print(f"claimed in {len(claims)} of 40: {claims}")
    assert not claims
