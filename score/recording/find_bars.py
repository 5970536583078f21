"""Every bar of the piece in a recording: listen, find the runs, put them in place, say how sure each bar is."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from score.errors import RequestError
from score.piece import Piece
from score.progress import ReportProgress
from score.recording.confidence import LEAST_CONTRAST, BarEvidence, evidence, too_fast
from score.recording.feature_weights import music_weights
from score.recording.fine import PlacedRun, placed_run
from score.recording.heard_bars import HeardBar, HeardOnset, HeardRecording
from score.recording.learnt_shares import learnt_shares
from score.recording.rough_runs import rough_runs
from score.recording.score_moments import WrittenMusic, usual_bands
from score.recording.semitones import Array
from score.recording.snap import Attacks, heard_in
from score.recording.sound_features import SoundFeatures, listen
from score.recording.sound_pieces import sound_facts

LOOKS = 3
_FEW = 0.05
_LAST_QUARTERS, _LONGEST = 6.0, 1.25
_LEAST_PART = 0.2
"""Share of a bar that must have been played for it to count."""
_WRONG_PIECE = "play it with the score it was made from"


class _BarSpan(NamedTuple):
    """A bar of a run: its seconds, its moments (indices into the run's), what speaks for it."""

    bar: int
    start: float
    end: float
    moments: NDArray[np.int64]
    evidence: BarEvidence


def find_recording(piece: Piece, path: Path, progress: ReportProgress = lambda step, share: None) -> HeardRecording:
    """Find every bar of a piece in a recording of it.

    Args:
        piece: the piece.
        path: WAV, FLAC, MP3 or OGG.
        progress: told how far it is.

    Raises:
        RequestError: the file is no sound, or the piece is not in it.
    """
    facts = sound_facts(path)
    music = WrittenMusic(piece)
    if not music.moments:
        raise RequestError("Nothing to listen for", "the score has no strokes", "choose another score")
    sound = listen(facts, lambda share: progress("listening", share))
    if float(sound.energy.max(initial=0.0)) < 1e-12:
        raise RequestError("Silence", f"{path.name}: nothing sounds in it", "choose another recording")
    shares = usual_bands(music.notes.sorts)
    runs = placed_runs(music, sound, shares, lambda share: progress("finding the bars", share))
    notes = list(_said_of_the_file(facts.rate, facts.seconds, sound.seconds))
    return _heard(music, sound, runs, path, notes)


def placed_runs(
    music: WrittenMusic, sound: SoundFeatures, shares: Array, progress: Callable[[float], None]
) -> list["_HeardRun"]:
    """All runs, in order; strokes without pitch are listened to twice, since a first look tells how they sound here."""
    attacks, looks = Attacks(sound), LOOKS if music.unpitched_share > _FEW else 1
    weights = music_weights(music, sound)
    runs: list[_HeardRun] = []
    for look in range(looks):
        rough = rough_runs(
            music,
            sound,
            weights,
            shares,
            lambda share, n=look: progress((n + share) / looks),  # type: ignore[misc]
        )
        runs = []
        for run in rough:
            placed = placed_run(music, sound, attacks, run.way, weights.fine, shares)
            runs.append(_HeardRun(music, attacks, placed, shares))
        if look + 1 < looks:
            shares = learnt_shares(music, sound, [run.placed for run in runs], shares)
    return runs


class _HeardRun:
    """A run in place, with what speaks for it."""

    def __init__(self, music: WrittenMusic, attacks: Attacks, placed: PlacedRun, shares: Array) -> None:
        self.music, self.placed = music, placed
        where = heard_in(music.notes, music.moment_quarters[placed.moments], shares)
        self.evidence = evidence(placed.seconds, where, attacks)
        self.spans = tuple(self._played())

    @property
    def contrast(self) -> float:
        """Mean contrast of all its moments, 0 where it has none."""
        return float(np.mean([each.contrast for each in self.evidence])) if self.evidence else 0.0

    def _played(self) -> Iterator[_BarSpan]:
        """Its bars, without those squeezed in between that were not played."""
        bars = [bar for bar in range(len(self.music.starts)) if self._is_inside(bar)]
        edges = [(self._second(self.music.starts[bar]), self._second(self.music.ends[bar])) for bar in bars]
        tempi = np.array([self._tempo(bar, *edge) for bar, edge in zip(bars, edges, strict=True)])
        fast = too_fast(tempi, np.array([self._evidence(bar, 0.0).contrast for bar in bars]))
        for number, (bar, (start, end)) in enumerate(zip(bars, edges, strict=True)):
            if not fast[number]:
                slope = abs(float(np.log(tempi[number] / np.median(tempi[max(0, number - 3) : number + 4]))))
                yield _BarSpan(bar, start, end, moments=self._moments(bar), evidence=self._evidence(bar, slope))

    def _is_inside(self, bar: int) -> bool:
        start, end, least = self.music.starts[bar], self.music.ends[bar], _LEAST_PART
        part = least * (end - start)
        return bool(end > self.placed.first + part and start < self.placed.last - part and end > start)

    def _tempo(self, bar: int, start: float, end: float) -> float:
        edges = self.music.seconds(np.array([self.music.starts[bar], self.music.ends[bar]]))
        return float(edges[1] - edges[0]) / max(end - start, 1e-3)

    def _second(self, quarter: float) -> float:
        """When a place of the run was played: on its own attack where it has one, else between."""
        placed = self.placed
        quarters = self.music.moment_quarters[placed.moments]
        if len(quarters) > 1 and quarters[0] <= quarter <= quarters[-1]:
            return float(np.interp(quarter, quarters, placed.seconds))
        slope = (placed.way.seconds[-1] - placed.way.seconds[0]) / max(placed.last - placed.first, 1e-6)
        second = float(placed.way.at(np.array([quarter]), slope)[0])
        if len(quarters) < 2 or quarter < quarters[0]:
            return second
        # What rings on after the last stroke, or is clapped into, has no end of its own: it goes on in tempo.
        late = quarters >= quarters[-1] - _LAST_QUARTERS
        there = max(quarters[-1] - quarters[late][0], 0.5)
        pace = (placed.seconds[-1] - placed.seconds[late][0]) / there if late.sum() > 1 else slope
        return min(second, float(placed.seconds[-1] + (quarter - quarters[-1]) * _LONGEST * max(pace, slope)))

    def _moments(self, bar: int) -> NDArray[np.int64]:
        return np.flatnonzero([self.music.moments[moment][0] == bar for moment in self.placed.moments])

    def _evidence(self, bar: int, slope: float) -> BarEvidence:
        chosen = self._moments(bar)
        if not len(chosen):
            return BarEvidence(float("nan"), float("nan"), slope, apart=0.0)
        strength = float(np.mean([self.evidence[index].strength for index in chosen]))
        contrast = float(np.mean([self.evidence[index].contrast for index in chosen]))
        apart = float(np.median(np.abs(self.placed.seconds[chosen] - self.placed.slow[chosen])))
        return BarEvidence(strength, contrast, slope, apart=apart)


def _heard(
    music: WrittenMusic, sound: SoundFeatures, runs: list[_HeardRun], path: Path, notes: list[str]
) -> HeardRecording:
    kept = [run for run in runs if run.contrast >= LEAST_CONTRAST and run.spans]
    if not kept:
        raise RequestError("Piece not heard", f"{path.name}: {_best_claim(music, runs)}", _WRONG_PIECE)
    times: dict[int, int] = {}
    bars: list[HeardBar] = []
    onsets: list[HeardOnset] = []
    for number, run in enumerate(kept):
        for span in run.spans:
            turn = times[span.bar] = times.get(span.bar, 0) + 1
            facts = span.evidence
            bars.append(
                HeardBar(
                    span.bar, turn, span.start, end=span.end, sure=round(facts.sure, 3), doubt=facts.doubt, run=number
                )
            )
            onsets += _onsets(music, run.placed, span, turn)
    return HeardRecording(sound.seconds, sound.cents, tuple(bars), onsets=tuple(onsets), notes=tuple(notes))


def _onsets(music: WrittenMusic, placed: PlacedRun, span: _BarSpan, turn: int) -> Iterator[HeardOnset]:
    for index in span.moments:
        bar, at = music.moments[placed.moments[index]]
        yield HeardOnset(bar, turn, at, seconds=float(placed.seconds[index]))


def _best_claim(music: WrittenMusic, runs: list[_HeardRun]) -> str:
    if not runs:
        return "no run of bars of this score in it"
    best = max(runs, key=lambda run: run.contrast)
    labels = [music.piece.bars[span.bar].label or str(span.bar + 1) for span in best.spans] or ["?"]
    return (
        f"nearest are bars {labels[0]} to {labels[-1]} at {best.placed.way.seconds[0]:.0f} s, with a contrast of "
        f"{best.contrast:.2f} where {LEAST_CONTRAST:.2f} is the least"
    )


def _said_of_the_file(rate: int, promised: float, heard: float) -> Iterator[str]:
    if rate < 16_000:
        yield f"Recorded at {rate:,} frames a second: high sounds are missing, and places are less sure."
    if heard < promised - 1:
        yield f"The file breaks off at {heard:.0f} s of {promised:.0f} s; what is there was listened to."
