"""How strongly a score divides at a bar line: a table of small named rules.

Common practice, no source: where rehearsal letters are put and where players say "from there". Each rule
gives 0 to 1 for the bar line before a bar; its weight turns that into strength. Weights were set by looking
at scores whose rehearsal marks had been taken out (`tests/bench/bench_chunks.py`).
"""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from score.activity.tune import tune_carriers
from score.activity.who_moves import Activity, activity
from score.chunks.chunk import Division
from score.piece import MarkKind, Piece

_SECTION_ENDS = frozenset({"light-light", "light-heavy", "heavy-light", "heavy-heavy", "heavy"})
_WINDOW = 2
"""Bars looked at on either side of a bar line."""


@dataclass(frozen=True)
class Facts:
    """What the rules look at.

    Attributes:
        piece: the piece.
        activity: what everybody does, bar by bar.
        carriers: row of the player with the tune, bar by bar, or None.
        stops: bars (indices) with a fermata, and with a caesura or breath.
        tempi: bars (indices) in which a tempo takes hold.
    """

    piece: Piece
    activity: Activity
    carriers: tuple[int | None, ...]
    fermatas: frozenset[int]
    caesuras: frozenset[int]
    tempi: frozenset[int]


def facts_of(piece: Piece) -> Facts:
    """The facts of a piece."""
    marks = [mark for player in piece.players for mark in player.marks]
    facts = activity(piece)
    return Facts(
        piece,
        facts,
        tune_carriers(facts),
        fermatas=frozenset(mark.bar for mark in marks if mark.kind is MarkKind.FERMATA),
        caesuras=frozenset(mark.bar for mark in marks if mark.kind in (MarkKind.CAESURA, MarkKind.BREATH)),
        tempi=frozenset(
            new.bar
            for old, new in zip(piece.tempi, piece.tempi[1:], strict=False)
            if new.quarters_per_minute != old.quarters_per_minute
        ),
    )


def rehearsal_mark(facts: Facts, bar: int) -> float:
    """A rehearsal mark stands there."""
    return float(bool(facts.piece.bars[bar].rehearsal_mark))


def double_bar(facts: Facts, bar: int) -> float:
    """A double or final bar line."""
    return float(facts.piece.bars[bar - 1].barline in _SECTION_ENDS)


def repeat_sign(facts: Facts, bar: int) -> float:
    """A repeat begins or ends, or a jump."""
    here, before = facts.piece.bars[bar], facts.piece.bars[bar - 1]
    return float(here.repeat_start or bool(before.repeat_times) or bool(before.signs))


def fermata(facts: Facts, bar: int) -> float:
    """The bar before holds a fermata."""
    return float(bar - 1 in facts.fermatas)


def caesura(facts: Facts, bar: int) -> float:
    """The bar before holds a caesura or a breath mark."""
    return float(bar - 1 in facts.caesuras)


def new_tempo(facts: Facts, bar: int) -> float:
    """A tempo takes hold that is not the one before."""
    return float(bar in facts.tempi)


def new_meter(facts: Facts, bar: int) -> float:
    """A meter that stays for more than a bar."""
    here, before = facts.piece.bars[bar].meter, facts.piece.bars[bar - 1].meter
    # A meter that lasts for one bar only is a stumble, not a section.
    after = facts.piece.bars[min(bar + 1, len(facts.piece.bars) - 1)].meter
    return float(here != before and here == after)


def new_key(facts: Facts, bar: int) -> float:
    """Another key signature."""
    return float(facts.piece.bars[bar].key != facts.piece.bars[bar - 1].key)


def all_silent(facts: Facts, bar: int) -> float:
    """Nobody sounds in the bar before, somebody after it."""
    silent = not any(row[bar - 1].sounds for row in facts.activity.rows)
    sounds = any(row[bar].sounds for row in facts.activity.rows)
    return float(silent and sounds)


def stop_together(facts: Facts, bar: int) -> float:
    """Everybody falls silent before the line, for a beat or more, and somebody goes on after it."""
    length = facts.piece.bars[bar - 1].length
    last = max((row[bar - 1].until for row in facts.activity.rows), default=Fraction(0))
    struck = any(row[bar - 1].onsets for row in facts.activity.rows)
    return float(struck and length - last >= 1 and any(row[bar].onsets for row in facts.activity.rows))


def who_plays(facts: Facts, bar: int) -> float:
    """Share of the players who begin or stop playing at the line."""
    before, after = (_players(facts, bars) for bars in _around(facts, bar))
    both = before | after
    return len(before ^ after) / len(both) if both else 0.0


def texture(facts: Facts, bar: int) -> float:
    """How much density, register and rhythm change, the mean of three figures from 0 to 1."""
    left, right = _around(facts, bar)
    density = [
        sum(len(row[b].onsets) for row in facts.activity.rows for b in bars) / len(bars) for bars in (left, right)
    ]
    register = [_mean_pitch(facts, bars) for bars in (left, right)]
    rhythm = [_rhythm(facts, bars) for bars in (left, right)]
    changes = [
        abs(density[0] - density[1]) / max(*density, 1),
        min(1.0, abs(register[0] - register[1]) / 12) if all(register) else 0.0,
        1 - len(rhythm[0] & rhythm[1]) / max(1, len(rhythm[0] | rhythm[1])),
    ]
    return sum(changes) / len(changes)


def phrase_end(facts: Facts, bar: int) -> float:
    """The player with the tune holds or rests at the end of the bar before: share of the bar, up to 1."""
    carrier = facts.carriers[bar - 1]
    if carrier is None:
        return 0.0
    row = facts.activity.rows[carrier]
    length = facts.piece.bars[bar - 1].length
    last = row[bar - 1].onsets[-1] if row[bar - 1].onsets else Fraction(0)
    return min(1.0, float((length - last) / length) * 1.25)


def arrive_together(facts: Facts, bar: int) -> float:
    """All who sound hold one long note or roll over most of the bar before."""
    length = facts.piece.bars[bar - 1].length
    sounding = [row[bar - 1] for row in facts.activity.rows if row[bar - 1].sounds]
    return float(len(sounding) > 1 and all(len(a.onsets) <= 1 and a.until >= length * 3 / 4 for a in sounding))


def lead_changes(facts: Facts, bar: int) -> float:
    """The tune passes to another player."""
    before, after = facts.carriers[bar - 1], facts.carriers[bar]
    return float(before is not None and after is not None and before != after)


@dataclass(frozen=True, slots=True)
class BoundaryRule:
    """One rule.

    Attributes:
        name: how the outputs call it.
        weight: strength where it gives 1, no unit.
        text: in words, as why a chunk begins.
        measure: the rule itself.
    """

    name: str
    weight: float
    text: str
    measure: Callable[[Facts, int], float]


RULES = (
    BoundaryRule("rehearsal mark", 6.0, "a rehearsal mark", measure=rehearsal_mark),
    BoundaryRule("double bar", 5.0, "after a double bar", measure=double_bar),
    BoundaryRule("repeat sign", 4.0, "at a repeat", measure=repeat_sign),
    BoundaryRule("fermata", 3.0, "after a fermata", measure=fermata),
    BoundaryRule("caesura", 3.0, "after a caesura or breath", measure=caesura),
    BoundaryRule("tempo", 3.5, "a new tempo", measure=new_tempo),
    BoundaryRule("meter", 2.5, "a new meter", measure=new_meter),
    BoundaryRule("key", 3.0, "a new key", measure=new_key),
    BoundaryRule("silence", 3.0, "after a silent bar", measure=all_silent),
    BoundaryRule("stop", 2.0, "after all have stopped", measure=stop_together),
    BoundaryRule("who plays", 2.5, "other players", measure=who_plays),
    BoundaryRule("texture", 3.0, "another texture", measure=texture),
    BoundaryRule("phrase", 1.2, "a new phrase", measure=phrase_end),
    BoundaryRule("arrival", 1.5, "after a long note held by all", measure=arrive_together),
    BoundaryRule("lead", 0.8, "another player leads", measure=lead_changes),
)


def strength(facts: Facts, bar: int, rules: tuple[BoundaryRule, ...] = RULES) -> tuple[float, tuple[Division, ...]]:
    """How strongly the score divides before a bar, and why, the strongest reason first."""
    divisions = [Division(rule.name, rule.text, rule.weight * rule.measure(facts, bar)) for rule in rules]
    telling = sorted((d for d in divisions if d.weight > 0.3), key=lambda d: -d.weight)
    return sum(d.weight for d in divisions), tuple(telling)


def _around(facts: Facts, bar: int) -> tuple[range, range]:
    return range(max(0, bar - _WINDOW), bar), range(bar, min(len(facts.piece.bars), bar + _WINDOW))


def _players(facts: Facts, bars: range) -> set[int]:
    return {i for i, row in enumerate(facts.activity.rows) if any(row[b].sounds for b in bars)}


def _mean_pitch(facts: Facts, bars: range) -> float:
    tops = [top for row in facts.activity.rows for b in bars for top in row[b].tops if top is not None]
    return sum(tops) / len(tops) if tops else 0.0


def _rhythm(facts: Facts, bars: range) -> set[tuple[int, Fraction]]:
    return {(i, at) for i, row in enumerate(facts.activity.rows) for b in bars for at in row[b].onsets}
