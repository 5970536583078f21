"""The score as a listener needs it: what begins where in written order, and how fast the score wants it."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from score.piece import Piece, StrokeKind
from score.recording.unpitched_bands import BANDS, FAMILIES, family
from score.time.pulse import tempo_map

Floats = NDArray[np.float64]
NO_PITCH = -1


@dataclass(frozen=True, slots=True)
class ScoreNotes:
    """Every written note; arrays of one length, sorted by onset.

    Attributes:
        onset, length: quarters in written order.
        pitch: sounding MIDI number, `NO_PITCH` for strokes without.
        roll: whether it is rolled.
        sort: for strokes without pitch, index into `sorts`; -1 for others.
        sorts: (family, player, instrument, written place) of each sort of stroke without pitch.
    """

    onset: Floats
    length: Floats
    pitch: NDArray[np.int64]
    roll: NDArray[np.bool_]
    sort: NDArray[np.int64]
    sorts: tuple[tuple[str, int, int, str], ...]

    def chosen(self, which: NDArray[np.bool_]) -> "ScoreNotes":
        """Some of them."""
        return ScoreNotes(
            self.onset[which],
            self.length[which],
            self.pitch[which],
            roll=self.roll[which],
            sort=self.sort[which],
            sorts=self.sorts,
        )


class WrittenMusic:
    """A piece prepared for being found in sound.

    Args:
        piece: the piece.
    """

    def __init__(self, piece: Piece) -> None:
        self.piece = piece
        self.notes = score_notes(piece)
        self.starts = np.array([float(bar.start) for bar in piece.bars])
        self.ends = np.array([float(bar.start + bar.length) for bar in piece.bars])
        self._times = tempo_map(piece)

    @cached_property
    def knots(self) -> tuple[Floats, Floats]:
        """Quarters and seconds of the score's own tempo, close enough together to go straight between."""
        quarters = np.unique(np.concatenate([np.arange(0, self.ends[-1], 0.25), self.starts, self.ends]))
        seconds = [self._times.seconds(Fraction(float(quarter))) for quarter in quarters]
        return quarters, np.maximum.accumulate(np.array(seconds))

    def seconds(self, quarters: Floats) -> Floats:
        """Seconds at the score's own tempo."""
        return np.asarray(np.interp(quarters, *self.knots))

    def quarters(self, seconds: Floats) -> Floats:
        """The inverse of `seconds`, in the middle of a hold where the score waits."""
        quarters, times = self.knots
        return np.asarray(np.interp(seconds, times, quarters))

    @cached_property
    def unpitched_share(self) -> float:
        """How much of the strokes have no pitch, 0 to 1."""
        return float(np.mean(self.notes.pitch == NO_PITCH)) if len(self.notes.pitch) else 0.0

    @property
    def is_mostly_drums(self) -> bool:
        """Whether more than half of its strokes have no pitch."""
        return self.unpitched_share > 0.5

    @cached_property
    def moments(self) -> tuple[tuple[int, Fraction], ...]:
        """Every place at which a stroke begins, (bar, offset in it), grace strokes left out."""
        return tuple(
            sorted(
                {
                    (stroke.bar, stroke.at)
                    for player in self.piece.players
                    for stroke in player.strokes
                    if stroke.kind is not StrokeKind.GRACE
                }
            )
        )

    @cached_property
    def moment_quarters(self) -> Floats:
        """Quarters in written order of each of the moments."""
        return np.array([float(self.piece.offset_of(bar, at)) for bar, at in self.moments])


def score_notes(piece: Piece) -> ScoreNotes:
    """Every note of every stroke that has a place of its own; grace strokes are played before it and left out."""
    sorts: dict[tuple[str, int, int, str], int] = {}
    rows: list[tuple[float, float, int, bool, int]] = []
    for player in piece.players:
        for stroke in player.strokes:
            if stroke.kind is StrokeKind.GRACE:
                continue
            onset, length = float(piece.offset_of(stroke.bar, stroke.at)), float(stroke.length)
            rolled = stroke.kind is StrokeKind.ROLL
            rows += [(onset, length, pitch, rolled, -1) for pitch in stroke.pitches]
            if not stroke.pitches:
                kind = family(player.instruments[stroke.instrument])
                for place in stroke.places or ("",):
                    sort = sorts.setdefault((kind, player.number, stroke.instrument, place), len(sorts))
                    rows.append((onset, length, NO_PITCH, rolled, sort))
    return _columns(sorted(rows), tuple(sorts))


def _columns(
    rows: Sequence[tuple[float, float, int, bool, int]], sorts: tuple[tuple[str, int, int, str], ...]
) -> ScoreNotes:
    onset, length, pitch, roll, sort = zip(*rows, strict=True) if rows else ((),) * 5
    return ScoreNotes(
        np.array(onset, float),
        np.array(length, float),
        np.array(pitch, np.int64),
        roll=np.array(roll, bool),
        sort=np.array(sort, np.int64),
        sorts=sorts,
    )


def usual_bands(sorts: Sequence[tuple[str, int, int, str]]) -> NDArray[np.float32]:
    """What each sort of stroke fills by the table; shape (sorts, bands)."""
    return np.array([FAMILIES[kind] for kind, *_ in sorts], np.float32).reshape(len(sorts), BANDS)
