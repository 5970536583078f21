"""A pass along with the machine, judged from what a microphone heard in the very frames the machine played."""

from typing import NamedTuple

import numpy as np

from score.piece import Piece
from score.playback.recording_file import is_clipped
from score.strokes.sound_delay import SoundDelay, sound_delay
from score.strokes.spectral_rise import RATE, Samples
from score.takes.judged_pass import Delay, DelayFrom, JudgedPass
from score.takes.live_pass import LEAST_STROKES, TAIL, LivePass
from score.takes.pass_judging import unjudged
from score.takes.sound_pass import AlongMix, PassHints, judge_sound

_MOST_DELAY = 0.6
_STUMBLED, _SURE = 0.003, 14.0
"""Seconds between the delays at beginning and end that mean a stumble; height of a match that is sure of the second."""
_END_SECONDS = 12.0
MUTE = "silence only: unmute the microphone or let your terminal use it"
"""Where a program may not use the microphone some systems refuse nothing and hand over zeros."""


class CaughtBlock(NamedTuple):
    """Some frames.

    Attributes:
        frame: number of the first.
        heard, sent: what the microphone heard and what was played meanwhile.
    """

    frame: int
    heard: Samples
    sent: Samples


class CaughtSound:
    """What was heard and played while the card is open, until a pass is judged from it."""

    def __init__(self) -> None:
        self._blocks: list[CaughtBlock] = []

    def add(self, frame: int, heard: bytes, sent: bytes) -> None:
        """Some frames, float32; a card that was opened anew begins at 0 again."""
        if self._blocks and frame < self._blocks[-1].frame:
            self._blocks = []
        self._blocks.append(CaughtBlock(frame, np.frombuffer(heard, np.float32), np.frombuffer(sent, np.float32)))

    def between(self, first: int, last: int) -> CaughtBlock:
        """The frames from one up to, not including, another; silence where nothing was caught."""
        size = max(0, last - first)
        heard, sent = np.zeros(size, np.float32), np.zeros(size, np.float32)
        for block in self._blocks:
            start, end = max(first, block.frame), min(last, block.frame + len(block.heard))
            if start < end:
                here = slice(start - block.frame, end - block.frame)
                heard[start - first : end - first] = block.heard[here]
                sent[start - first : end - first] = block.sent[here]
        return CaughtBlock(first, heard, sent)

    def forget(self, before: int) -> None:
        """Let go of what came before a frame."""
        self._blocks = [block for block in self._blocks if block.frame + len(block.heard) > before]


class SoundHints(NamedTuple):
    """What is known besides.

    Attributes:
        starts: second of the caught frames at which the machine begins the music.
        delay: kept from an earlier pass of the same opening of the card, None for none.
        level: kept from an earlier take of this player and microphone, 0 for none.
    """

    starts: float
    delay: float | None = None
    level: float = 0.0


def judge_live_sound(piece: Piece, live: LivePass, caught: CaughtBlock, hints: SoundHints) -> JudgedPass | None:
    """Judge a pass; None where too little is written in it to say anything.

    Args:
        piece: the piece.
        live: the pass.
        caught: what was heard and played, from the beginning of its timeline on.
        hints: what is known besides.
    """
    expected = live.expected(piece)
    if len(expected.strokes) < LEAST_STROKES:
        return None
    last = round((hints.starts + expected.seconds + TAIL) * RATE)
    heard, sent = caught.heard[:last], caught.sent[:last]
    if not np.any(heard):
        return unjudged(expected, hints.starts, Delay(0.0, DelayFrom.NOTHING), MUTE)
    first = _counted_in(heard, sent, hints.starts)
    end = _at_the_end(heard, sent)
    if first.is_trusted and end.quality >= _SURE and abs(first.seconds - end.seconds) > _STUMBLED:
        delay = Delay(first.seconds, DelayFrom.MIX, first.quality)
        return unjudged(expected, hints.starts, delay, _stumbled(end.seconds - first.seconds))
    # What is not heard of the count-in is not heard at all: with headphones the music would be taken for the mix.
    mix = AlongMix(sent, hints.starts) if first.is_trusted else None
    return judge_sound(expected, heard, PassHints(mix, hints.delay, level=hints.level, clips=is_clipped(heard)))


def _counted_in(heard: Samples, sent: Samples, starts: float) -> SoundDelay:
    """The delay by the clicks of the count-in alone, while the player does not play."""
    size = round(starts * RATE)
    if not np.any(sent[:size]) or not np.any(heard[:size]):
        return SoundDelay(0.0, 0.0)
    return sound_delay(heard[: size + round(_MOST_DELAY * RATE)], sent[:size], 0.0, _MOST_DELAY)


def _at_the_end(heard: Samples, sent: Samples) -> SoundDelay:
    size = round(_END_SECONDS * RATE)
    if not np.any(sent[-size:]) or not np.any(heard[-size:]):
        return SoundDelay(0.0, 0.0)
    return sound_delay(heard[-size:], sent[-size:], 0.0, _MOST_DELAY)


def _stumbled(by: float) -> str:
    return f"the sound stumbled by {1000 * abs(by):.0f} ms in the middle: close other programs and play it again"
