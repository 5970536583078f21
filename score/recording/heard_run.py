"""A run of bars in place: what was played of it, and whether the recording speaks for it or would for anything."""

from collections.abc import Callable, Iterator
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from score.recording.confidence import BarEvidence, MomentEvidence, evidence, too_fast
from score.recording.fine import PlacedRun
from score.recording.score_moments import Floats, WrittenMusic
from score.recording.semitones import Array
from score.recording.snap import REACHES, Attacks, HeardIn, heard_in, snapped

_ELSEWHERE = (-2.9, -1.7, 1.3, 2.3)
"""Seconds by which a run is moved to see how well it would fit at any place: less than a true run does, by far."""
LEAST_CONTRAST, LEAST_MARGIN, _BY_CHANCE = 0.2, 0.06, 0.3
"""Contrast, and contrast over that of other places, below which a run of bars is none: applause and talk reach .05 over
other places, music .11 at the least (drums in a room) and mostly .3 to .4."""
_AROUND, _FEW, _JOINED = 25, 16, 0.03
_TRUSTED = 0.04
_SAME = 0.05
LEAST_CONTRAST_OF_DRUMS, LEAST_ALIKE = 0.3, 0.03
"""The same for strokes without pitch, whose rhythm fits many places: they are told by their sound. Where they are in
place each sounds like its own instrument by .04 to .12 more than like the others, in talk by .02 at the most."""
_LAST_QUARTERS, _LONGEST = 6.0, 1.25
_MARGIN_QUARTERS, _AROUND_QUARTERS, _MOST_UNEVEN = 4.0, 8.0, 0.8
_MARGIN_SHARE = 0.5
"""How much the margin of a run of drums counts against its being alike."""
_LEAST_PART = 0.2
"""Share of a bar that must have been played for it to count."""


class BarSpan(NamedTuple):
    """A bar of a run: its seconds, its moments (indices into the run's), what speaks for it."""

    bar: int
    start: float
    end: float
    moments: NDArray[np.int64]
    evidence: BarEvidence


class HeardRun:
    """A run in place, with what speaks for it.

    Args:
        music: the written music.
        attacks: of the recording.
        placed: the run.
        shares: what each sort of stroke without pitch fills.
        prices: gives seconds, and what it costs more to lie elsewhere at each.
        joined: whether it goes on from the run before without a break.
    """

    def __init__(
        self,
        music: WrittenMusic,
        attacks: Attacks,
        placed: PlacedRun,
        shares: Array,
        *,
        prices: Callable[[], tuple[Floats, Floats]],
        joined: bool,
    ) -> None:
        self.music, self.placed, self.joined = music, placed, joined
        self._attacks, self._prices = attacks, prices
        self._where = heard_in(music.notes, music.moment_quarters[placed.moments], shares)
        self.evidence = evidence(placed.seconds, self._where, attacks)
        self.alike = _alike(self._where, attacks.spectra(placed.seconds)) if music.is_mostly_drums else None

    @cached_property
    def margins(self) -> Floats:
        """Contrast of each moment less what it would have elsewhere; found when it is asked for."""
        return _margins(self.evidence, self.placed, self._where, self._attacks)

    @cached_property
    def spans(self) -> tuple[BarSpan, ...]:
        """Its bars; found when they are asked for."""
        return tuple(self._played())

    @property
    def contrast(self) -> float:
        """Mean contrast of all its moments, 0 where it has none."""
        return float(np.mean([each.contrast for each in self.evidence])) if self.evidence else 0.0

    @property
    def is_heard(self) -> bool:
        """Whether it fits here clearly better than it would elsewhere."""
        if not self.evidence or self.contrast < LEAST_CONTRAST:
            return False
        if self.alike is not None:
            return self.contrast >= LEAST_CONTRAST_OF_DRUMS and self.alike >= LEAST_ALIKE
        return bool(self.margins.mean() >= self.least_margin)

    @property
    def least_margin(self) -> float:
        """What its margin must be on the mean: more where it has few moments."""
        count = max(1, len(self.evidence))
        # A few bars between two jumps, an ending, have few moments; what comes before speaks for them too.
        chance = _JOINED if self.joined and count <= _FEW else _BY_CHANCE / np.sqrt(count)
        return LEAST_MARGIN + float(chance)

    @property
    def trusted(self) -> NDArray[np.bool_]:
        """Which of its moments lie where the run fits; shape (moments,)."""
        from scipy.ndimage import uniform_filter1d

        if not self.evidence:
            return np.zeros(0, bool)
        around = min(_AROUND, len(self.evidence))
        if self.alike is not None:
            contrasts = np.array([each.contrast for each in self.evidence])
            return np.asarray(uniform_filter1d(contrasts, around) >= LEAST_CONTRAST_OF_DRUMS)
        return np.asarray(uniform_filter1d(self.margins, around) >= _TRUSTED)

    @property
    def doubtful_seconds(self) -> tuple[tuple[float, float], ...]:
        """Seconds from and to which its beginning and end are not to be trusted; all of it where it is not heard."""
        seconds, sure = self.placed.seconds, np.flatnonzero(self.trusted)
        begins, ends = float(self.placed.way.seconds[0]), float(self.placed.way.seconds[-1])
        if not self.is_heard or not len(sure):
            return ((begins, ends),)
        return (begins, float(seconds[sure[0]])), (float(seconds[sure[-1]]), ends)

    def _played(self) -> Iterator[BarSpan]:
        """Its bars, without those squeezed in between that were not played."""
        bars = [bar for bar in range(len(self.music.starts)) if self._is_inside(bar)]
        edges = [(self._second(self.music.starts[bar]), self._second(self.music.ends[bar])) for bar in bars]
        tempi = np.array([self._tempo(bar, *edge) for bar, edge in zip(bars, edges, strict=True)])
        bar_of = np.array([self.music.moments[moment][0] for moment in self.placed.moments], np.int64)
        moments = [np.flatnonzero(bar_of == bar) for bar in bars]
        speaking = [self._evidence(chosen) for chosen in moments]
        fast = too_fast(tempi, np.array([each.contrast for each in speaking]))
        prices = self._prices()
        for number, (bar, (start, end)) in enumerate(zip(bars, edges, strict=True)):
            if not fast[number]:
                quarter = float(self.music.starts[bar])
                facts = speaking[number]._replace(
                    beat=self._unevenness(quarter),
                    elsewhere=float(np.interp(start, *prices)),
                    margin=self._margin_around(quarter),
                )
                if self.alike is not None:
                    facts = facts._replace(firm=self.firm)
                yield BarSpan(bar, start, end, moments=moments[number], evidence=facts)

    @property
    def firm(self) -> float:
        """How clearly strokes without pitch speak for this place: by their sound, and against other places."""
        margin = float(self.margins.mean()) if len(self.margins) else 0.0
        return (self.alike or 0.0) + _MARGIN_SHARE * max(0.0, margin)

    def _unevenness(self, quarter: float) -> float:
        """How far the quarter that begins somewhere is from those around it in length, half as much the one before."""
        first, last = self.placed.first, self.placed.last
        around = self._pace(max(first, quarter - _AROUND_QUARTERS), min(last, quarter + _AROUND_QUARTERS))
        own, before = (
            min(_MOST_UNEVEN, abs(float(np.log(self._pace(begin, end) / around)))) if end > begin else 0.0
            for begin, end in ((quarter, min(last, quarter + 1.0)), (max(first, quarter - 1.0), quarter))
        )
        return own + 0.5 * before

    def _pace(self, first: float, last: float) -> float:
        """Seconds against those of the score."""
        written = self.music.seconds(np.array([first, last]))
        return max(self._second(last) - self._second(first), 1e-3) / max(float(written[1] - written[0]), 1e-3)

    def _margin_around(self, quarter: float) -> float:
        near = np.abs(self.music.moment_quarters[self.placed.moments] - quarter) <= _MARGIN_QUARTERS
        return float(self.margins[near].mean()) if near.any() else 0.0

    def _is_inside(self, bar: int) -> bool:
        start, end = self.music.starts[bar], self.music.ends[bar]
        part = _LEAST_PART * (end - start)
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
        slope = placed.way.slope
        second = float(placed.way.at(np.array([quarter]), slope)[0])
        if len(quarters) < 2 or quarter < quarters[0]:
            return second
        # What rings on after the last stroke, or is clapped into, has no end of its own: it goes on in tempo.
        late = quarters >= quarters[-1] - _LAST_QUARTERS
        there = max(quarters[-1] - quarters[late][0], 0.5)
        pace = (placed.seconds[-1] - placed.seconds[late][0]) / there if late.sum() > 1 else slope
        return min(second, float(placed.seconds[-1] + (quarter - quarters[-1]) * _LONGEST * max(pace, slope)))

    def _evidence(self, chosen: NDArray[np.int64]) -> BarEvidence:
        """Of the moments of a bar; what its place says of it comes later."""
        if not len(chosen):
            return BarEvidence(float("nan"), float("nan"))
        strength = float(np.mean([self.evidence[index].strength for index in chosen]))
        contrast = float(np.mean([self.evidence[index].contrast for index in chosen]))
        opens = self.music.moments[self.placed.moments[chosen[0]]][1] == 0
        return BarEvidence(strength, contrast, first=self.evidence[chosen[0]].contrast if opens else 0.0)


def _margins(here: list[MomentEvidence], placed: PlacedRun, where: list[HeardIn], attacks: Attacks) -> Floats:
    """Contrast of each moment less what it would have elsewhere, sought in the same way."""
    elsewhere = []
    for shift in _ELSEWHERE:
        seconds = placed.slow + shift
        for reach in REACHES:
            seconds = snapped(seconds, where, attacks, reach)
        elsewhere.append([each.contrast for each in evidence(seconds, where, attacks)])
    return np.asarray(np.array([each.contrast for each in here]) - np.mean(np.array(elsewhere), axis=0))


def _alike(where: list[HeardIn], heard: Floats) -> float | None:
    """How much more each moment sounds like its own strokes than like those of the others, as a cosine.

    None where there are too few strokes without pitch, or all sound the same.
    """
    struck = np.array([bool(each.strokes) for each in where], bool)
    if struck.sum() < _FEW:
        return None
    own = np.array([each.bands for each in where if each.strokes])
    if own.std(axis=0).max() < _SAME:
        return None
    sounds = heard[struck] / (np.linalg.norm(heard[struck], axis=1, keepdims=True) + 1e-9)
    meets = (sounds - sounds.mean(axis=0)) @ own.T
    return float(np.trace(meets) / len(meets) - meets.mean())
