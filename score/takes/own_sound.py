"""A player's own pass as it sounds again: its recording, the notes of a port or a file, or strokes that were kept."""

import io
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from score.piece import Piece
from score.playback.bent_timeline import SecondsMap
from score.playback.click import Thinning
from score.playback.recorded_cuts import FILE_RATE, RecordedCut
from score.playback.sound_events import RECORDED, RECORDING_PLAYER, Strike
from score.playback.timeline import PlayOptions, timeline
from score.strokes.heard_stroke import HeardStroke
from score.strokes.spectral_rise import Samples
from score.takes.expected_strokes import ExpectedPass
from score.takes.in_step import PassOver, placed_strokes
from score.takes.judged_pass import JudgedPass
from score.writing import write_atomically

_LOUD, _MOST = 0.14, 0.9
"""Level of the loud parts, so that it stands beside the others, and the largest sample."""
_CUT_SECONDS = 2


def recorded(samples: Samples, path: Path) -> tuple[Strike, ...]:
    """A recording as strikes, from second 0 on.

    Args:
        samples: mono, 48,000 a second.
        path: where it is laid down for whoever sounds it; written anew.

    Raises:
        WritingError: it cannot be written.
    """
    content = io.BytesIO()
    np.save(content, _levelled(samples), allow_pickle=False)
    write_atomically(path, content.getvalue())
    size = _CUT_SECONDS * FILE_RATE
    return tuple(_cut(path, first, min(len(samples), first + size)) for first in range(0, len(samples), size))


def _levelled(samples: Samples) -> Samples:
    tenths = samples[: len(samples) // 4800 * 4800].reshape(-1, 4800)
    level = float(np.sqrt(np.percentile(np.mean(np.square(tenths), axis=1), 90))) if len(tenths) else 0.0
    peak = float(np.abs(samples).max(initial=0.0))
    return np.asarray(samples * min(_LOUD / (level + 1e-9), _MOST / (peak + 1e-9)), np.float32)


def _cut(path: Path, first: int, last: int) -> Strike:
    start, end = first / FILE_RATE, last / FILE_RATE
    cut = RecordedCut(str(path), start, end, factor=1.0, attacks=())
    return Strike(
        start, end - start, RECORDING_PLAYER, voice=RECORDED, pitch=None, velocity=127, variant=cut.text(), offset=0.0
    )


def played_notes(piece: Piece, over: PassOver, notes: Sequence[HeardStroke], moved: SecondsMap) -> tuple[Strike, ...]:
    """Notes of a port or a file on the instrument that is written nearest.

    Args:
        piece: the piece.
        over: what was played.
        notes: in the recording's seconds.
        moved: where the music falls in them.
    """
    written = [replace(strike, seconds=moved(strike.seconds)) for strike in _own(piece, over)]
    return tuple(_note(note, min(written, key=lambda s: abs(s.seconds - note.seconds))) for note in notes if written)


def _note(note: HeardStroke, written: Strike) -> Strike:
    pitch = written.pitch if written.pitch is None or note.pitch is None else float(note.pitch)
    velocity = max(1, min(127, round(127 * note.level)))
    return replace(written, seconds=note.seconds, pitch=pitch, velocity=velocity)


def struck_again(piece: Piece, over: PassOver, expected: ExpectedPass, judged: JudgedPass) -> tuple[Strike, ...]:
    """The written notes at the moments at which they were struck; what was missed is silent.

    Where no sound was kept this is what can still be heard: when, and not how.

    Args:
        piece: the piece.
        over: what was played.
        expected: what was to be struck.
        judged: what became of it.
    """
    by_offset: dict[float, list[Strike]] = defaultdict(list)
    for strike in _own(piece, over):
        by_offset[round(strike.offset, 6)].append(strike)
    strikes: list[Strike] = []
    for written, stroke in placed_strokes(expected, judged):
        if stroke.seconds is None:
            continue
        later = stroke.seconds - written.seconds
        strikes += (
            replace(strike, seconds=max(0.0, strike.seconds + later))
            for strike in by_offset[round(float(written.offset), 6)]
        )
    return tuple(sorted(strikes, key=lambda strike: strike.seconds))


def _own(piece: Piece, over: PassOver) -> Iterator[Strike]:
    """The player's written strikes, in seconds of the music."""
    mine = PlayOptions(over.pulse, frozenset({over.player}), Thinning.NONE, count_in=0)
    return (strike for strike in timeline(piece, over.route, mine).strikes if strike.player == over.player)
