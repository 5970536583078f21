"""What one player's part asks of the others: rests, holds, entries and who moves then.

Made once for a player from the shared facts (`score.activity.who_moves`), in time linear in the bars; the rules
(`score.cues.rules`) and the choice (`score.cues.cue_choice`) only look things up here.
"""

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from score.activity.tune import tune_carriers
from score.activity.who_moves import Activity, BarActivity

LEAD_BARS = 4
"""How many bars before an entry lead into it. Common practice, no source."""

EMPTY_BARS = 2
"""After so many bars without a stroke of one's own the next stroke is an entry that must be cued."""


class Idle(NamedTuple):
    """The longest stretch of a bar in which the player strikes nothing.

    Attributes:
        start, end: from and to, quarters from the start of the bar.
        struck: the player strikes at `start` (what the others strike there, too, is not in between).
        whole: the player strikes nothing in the whole bar.
        doing: "rest", "hold" or "roll" meanwhile.
    """

    start: Fraction
    end: Fraction
    struck: bool
    whole: bool
    doing: str

    def count(self, onsets: tuple[Fraction, ...]) -> int:
        """How many of another player's onsets, ascending, fall into it."""
        first = bisect_right(onsets, self.start) if self.struck else bisect_left(onsets, self.start)
        return max(0, bisect_left(onsets, self.end) - first)


class CueEntry(NamedTuple):
    """The first stroke after bars without one.

    Attributes:
        bar, at: its place.
        silent: how many bars without a stroke come before it.
    """

    bar: int
    at: Fraction
    silent: int

    @property
    def lead(self) -> range:
        """The bars that lead into it: the last silent ones."""
        return range(self.bar - min(self.silent, LEAD_BARS), self.bar)


@dataclass(frozen=True)
class Evidence:
    """All facts that bear on one player's cues.

    Attributes:
        facts: of all players.
        you: the player's row.
        idle: per bar.
        entries: in order.
        entry_of: the entry that a bar leads into or that happens in it, by bar index (an entry's own bar
            belongs to that entry).
        carriers: row of who carries the tune, per bar.
        silences: per bar, whether nobody at all sounds in it.
        lengths: of the bars, quarters.
    """

    facts: Activity
    you: int
    idle: tuple[Idle, ...]
    entries: tuple[CueEntry, ...]
    entry_of: dict[int, CueEntry]
    carriers: tuple[int | None, ...]
    silences: tuple[bool, ...]
    lengths: tuple[Fraction, ...]

    @property
    def sources(self) -> tuple[int, ...]:
        """Rows of the other players."""
        return tuple(row for row in range(len(self.facts.players)) if row != self.you)

    def own(self, bar: int) -> BarActivity:
        """What the player does in a bar."""
        return self.facts.rows[self.you][bar]

    def does(self, source: int, bar: int) -> BarActivity:
        """What another player does in a bar; nothing outside the piece."""
        row = self.facts.rows[source]
        return row[bar] if 0 <= bar < len(row) else BarActivity()

    def leads_up_to(self, source: int, bar: int, entry: CueEntry) -> bool:
        """Whether another player sounds from a bar on until an entry (bars in which nobody does aside)."""
        return all(self.does(source, b).sounds or self.silences[b] for b in range(bar, entry.bar))


# What follows is the same for every player's cues: it is worked out for the first of them and kept.


@lru_cache(maxsize=1)
def going_on(facts: Activity) -> tuple[tuple[bool, ...], ...]:
    """Whether a player strikes in a bar and in the next one: ``[bar][row]``."""
    strikes = [[bool(doing.onsets) for doing in (*row, BarActivity())] for row in facts.rows]
    return tuple(tuple(row[bar] and row[bar + 1] for row in strikes) for bar in range(facts.bars))


@lru_cache(maxsize=1)
def inside_phrases(facts: Activity, lengths: tuple[Fraction, ...]) -> tuple[tuple[bool, ...], ...]:
    """Whether a phrase of a player runs over the barline before a bar: ``[bar][row]``.

    A phrase is taken to end at a join, and where its last sound stops half a bar or more before the
    next stroke (common practice, no source).
    """
    return tuple(
        tuple(
            bool(bar) and bar not in facts.joins and _runs_over(row[bar - 1], row[bar], lengths[bar - 1], lengths[bar])
            for row in facts.rows
        )
        for bar in range(facts.bars)
    )


def _runs_over(before: BarActivity, here: BarActivity, length_before: Fraction, length: Fraction) -> bool:
    if not (before.onsets and here.sounds):
        return False
    silent = length_before - before.until + (Fraction(0) if here.held_until else here.onsets[0])
    return silent * 2 < length


def player_evidence(facts: Activity, lengths: tuple[Fraction, ...], you: int) -> Evidence:
    """Gather what bears on the cues of the player in row `you`.

    Args:
        facts: of the piece.
        lengths: of the bars, quarters.
        you: the player's row.
    """
    own = facts.rows[you]
    entries = _entries(own)
    return Evidence(
        facts,
        you,
        tuple(_idle(doing, length) for doing, length in zip(own, lengths, strict=True)),
        entries=entries,
        entry_of={bar: entry for entry in entries for bar in (*entry.lead, entry.bar)},
        carriers=tune_carriers(facts),
        silences=tuple(not any(row[bar].sounds for row in facts.rows) for bar in range(facts.bars)),
        lengths=lengths,
    )


def needed(evidence: Evidence, entry: CueEntry, hidden: dict[int, set[int]]) -> dict[int, tuple[int, ...]]:
    """Which bars before an entry need a cue, and of whom: from the last stroke on that anyone makes.

    If that is longer ago than `LEAD_BARS`, the bars near the entry in which somebody holds a note count
    instead, and if everybody is silent there, the last bar in which anyone strikes.

    Args:
        evidence: the player's evidence.
        entry: the entry.
        hidden: rows that must not be shown, by bar.
    """
    run = range(entry.bar - 1, entry.bar - entry.silent - 1, -1)
    cued: dict[int, tuple[int, ...]] = {}
    for bar in run:
        shown = [row for row in evidence.sources if row not in hidden.get(bar, ())]
        strikers = tuple(row for row in shown if evidence.does(row, bar).onsets)
        if strikers and (bar in entry.lead or not cued):
            cued[bar] = strikers
            break
        holders = tuple(row for row in shown if evidence.does(row, bar).sounds)
        if holders and bar in entry.lead:
            cued[bar] = holders
    return cued or _pickup(evidence, entry, hidden)


def _pickup(evidence: Evidence, entry: CueEntry, hidden: dict[int, set[int]]) -> dict[int, tuple[int, ...]]:
    """Nobody sounds before the entry's bar: whoever strikes in it before the entry does."""
    shown = (row for row in evidence.sources if row not in hidden.get(entry.bar, ()))
    rows = tuple(row for row in shown if any(at < entry.at for at in evidence.does(row, entry.bar).onsets))
    return {entry.bar: rows} if rows else {}


def _entries(own: tuple[BarActivity, ...]) -> tuple[CueEntry, ...]:
    entries: list[CueEntry] = []
    silent = 0
    for bar, doing in enumerate(own):
        if doing.onsets and silent:
            entries.append(CueEntry(bar, doing.onsets[0], silent))
        silent = 0 if doing.onsets else silent + 1
    return tuple(entries)


def _idle(own: BarActivity, length: Fraction) -> Idle:
    edges = (Fraction(0), *own.onsets, length)
    gaps = [end - start for start, end in pairwise(edges)]
    index = gaps.index(max(gaps))
    start, end = edges[index], edges[index + 1]
    sounds_until = max(own.held_until, own.ends[index - 1] if index else Fraction(0))
    doing = "rest" if sounds_until * 2 <= start + end else "roll" if own.rolled else "hold"
    return Idle(start, end, index > 0, whole=not own.onsets, doing=doing)
