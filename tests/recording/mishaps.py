"""What goes wrong in rehearsals, laid over a performance: bars of other music, players silent or a beat late, talk.

The truth of the moments stays; bars that were other music have none that could be heard.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import numpy as np

from tests.recording.performances import Performance, Played, perform
from tests.recording.random_pieces import random_piece
from tests.recording.rooms import written
from tests.recording.synthesis import RATE, applause, noisy, render, room, speech

BARS = 4
"""Bars each mishap lasts."""


class Stretch(NamedTuple):
    """Seconds of the music from and before which something happens."""

    begins: float
    ends: float

    def holds(self, second: float) -> bool:
        return self.begins <= second < self.ends


class Mishaps(NamedTuple):
    """Where each happens; none where the piece is too short."""

    other: Stretch | None
    silent: Stretch | None
    late: Stretch | None
    talk: Stretch | None


def mishaps_of(played: Performance, seed: int) -> Mishaps:
    """Four stretches apart from each other, in an order of chance."""
    rng = np.random.default_rng(seed + 7000)
    places = [int(len(played.bars) * share) for share in (0.12, 0.34, 0.56, 0.78)]
    chosen: list[Stretch | None] = []
    for place in rng.permutation(places):
        last = min(len(played.bars) - 1, int(place) + BARS - 1)
        apart = len(played.bars) >= 6 * BARS
        chosen.append(Stretch(played.bars[int(place)].start, played.bars[last].end) if apart else None)
    return Mishaps(*chosen)


def hard_recording(path: Path, played: Performance, seed: int, cents: float = 0.0) -> float:
    """Write a recording of a hard room with mishaps in it; gives back the second at which the music begins."""
    mishaps = mishaps_of(played, seed)
    sounds = tuple(_gone_wrong(played, mishaps, seed))
    music = render(sounds, played.seconds, cents, seed=seed)
    music = 0.7 * music / np.abs(music).max()
    if mishaps.talk is not None:
        start = int(mishaps.talk.begins * RATE)
        talk = speech(mishaps.talk.ends - mishaps.talk.begins, seed=seed + 1)
        music[start : start + len(talk)] += talk[: len(music) - start]
    before = speech(10.0, seed=seed)
    whole = np.concatenate([before, music, applause(8.0, seed=seed)])
    written(path, noisy(room(whole, 2.4, 0.65, seed=seed), 18.0, seed=seed))
    return len(before) / RATE


def _gone_wrong(played: Performance, mishaps: Mishaps, seed: int) -> Iterator[Played]:
    silent = {1, 2} if len({sound.player for sound in played.sounds}) > 2 else {1}
    for sound in played.sounds:
        if mishaps.other is not None and mishaps.other.holds(sound.seconds):
            continue
        if mishaps.silent is not None and mishaps.silent.holds(sound.seconds) and sound.player in silent:
            continue
        late = mishaps.late is not None and mishaps.late.holds(sound.seconds) and sound.player == 2
        yield sound._replace(seconds=sound.seconds + 0.6) if late else sound
    if mishaps.other is not None:
        other = perform(random_piece(seed + 5000, drums=all(sound.pitch is None for sound in played.sounds)), seed)
        for sound in other.sounds:
            second = sound.seconds - other.bars[4].start + mishaps.other.begins
            if mishaps.other.holds(second):
                yield sound._replace(seconds=second)
