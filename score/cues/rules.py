"""When another player's rhythm is worth a line above one's own staff: a table of small rules.

Each rule looks at one bar and one other player and gives whole points (whole, so that sums are exact and
the best sequence does not depend on rounding); `COSTS` are what the sequence itself pays. They were set so
that:

- a bar in which you strike nothing while another does is nearly always cued (100 outweighs every cost),
  and who is shown there is settled by the small rules: leading in, the tune, moving alone;
- a bar in which you are busy costs more than the tune or moving alone brings, so that it takes something
  special (a hand-over, the first stroke after a silence, a new tempo) to be cued there;
- a change of source pays off when the other is the better one for three bars or so, inside a phrase for four, so
  that one-bar cues of changing sources stand in a row only where none of them could serve for two bars;
- a bar of your own strokes is taken along beside a single silent bar where the source goes on, because two
  bars are found again at a glance and one is not.

Then the cues of string quartets and of mallet quartets were read against their scores, and points moved
until a player would leave most of them in. Common practice, no source.
"""

from collections.abc import Callable
from fractions import Fraction
from typing import NamedTuple

from score.cues.cue_evidence import EMPTY_BARS, Evidence
from score.cues.sheet import Level

Points = Callable[[Evidence, int, int], int]
Words = Callable[[Evidence, int, int], str]


class Rule(NamedTuple):
    """One rule.

    Attributes:
        name: short and stable; it stands in the JSON output.
        points: from the evidence, the other player's row and the bar; 0 where the rule has nothing to say,
            negative for a rule against.
        words: the reason in words a player would say, with the other player as its subject.
        target: for words that end in "at bar", the index of the bar they mean.
    """

    name: str
    points: Points
    words: Words
    target: Points | None = None


class Costs(NamedTuple):
    """What a sequence of cues pays, in points.

    Attributes:
        start: a cue that starts where none was.
        change: going from one source straight to another.
        inside: the same, on top, inside a phrase of the source that is left.
        single: a cue of one bar whose source goes on in the next.
    """

    start: int = 20
    change: int = 56
    inside: int = 24
    single: int = 40


COSTS = Costs()

LEAD_IN = (60, 30, 16, 10)
LEAD_LAST_BEAT, LEAD_IN_BAR = 12, 40
IDLE_BAR, IDLE_EACH, IDLE_MOST = 100, 4, 5
IDLE_PART = {"roll": 44, "hold": 36, "rest": 18}
PART, PART_LEAST = Fraction(3, 4), Fraction(2)
WITH_ENTRY, WITH_SILENCE, WITH_FIRM_JOIN, WITH_JOIN = 16, 30, 26, 8
HANDS, TAKES, ALONE, LOUDER, TUNE = 24, 20, 12, 8, 14
BUSY, BUSY_EACH, BUSY_MOST = 12, 4, 44
READABLE, DENSE_EACH, DENSE_MOST = 8, 2, 20
SAME_RHYTHM, EMPTY, WAIT = 24, 32, 12


def _leads_in(evidence: Evidence, source: int, bar: int) -> int:
    """The bars before an entry after rests or holds, and the strokes before it in its own bar."""
    entry = evidence.entry_of.get(bar)
    doing = evidence.does(source, bar)
    if entry is None or not doing.sounds:
        return 0
    if bar == entry.bar:
        points = LEAD_IN_BAR if any(at < entry.at for at in doing.onsets) else 0
    elif evidence.leads_up_to(source, bar, entry):
        points = LEAD_IN[entry.bar - bar - 1] if doing.onsets else LEAD_IN[entry.bar - bar - 1] // 2
        if bar == entry.bar - 1 and doing.onsets and doing.onsets[-1] >= evidence.lengths[bar] - 1:
            points += LEAD_LAST_BEAT
    else:
        points = 0
    return points if entry.silent >= EMPTY_BARS else points // 2


def _lead_words(evidence: Evidence, source: int, bar: int) -> str:
    entry = evidence.entry_of[bar]
    moves = any(evidence.does(source, near).onsets for near in (*entry.lead, bar))
    return "leads you in at bar" if moves else "holds until you come in at bar"


def _moves_meanwhile(evidence: Evidence, source: int, bar: int) -> int:
    """You strike nothing in the bar, or in three quarters of it and a half note at least, and the other does."""
    idle = evidence.idle[bar]
    onsets = evidence.does(source, bar).onsets
    count = idle.count(onsets) if onsets else 0
    if idle.whole:
        return IDLE_BAR + IDLE_EACH * min(count, IDLE_MOST) if count else 0
    if count < 2 or idle.end - idle.start < max(PART_LEAST, PART * evidence.lengths[bar]):
        return 0
    return IDLE_PART[idle.doing] + 2 * min(count, IDLE_MOST)


def _meanwhile_words(evidence: Evidence, source: int, bar: int) -> str:
    return f"moves while you {evidence.idle[bar].doing}"


def _strikes_with(evidence: Evidence, source: int, bar: int) -> int:
    """The other strikes together with your first stroke of the bar: after a silence, at a join, at an entry."""
    own = evidence.own(bar).onsets
    if not own or own[0] not in evidence.does(source, bar).onsets:
        return 0
    return _with(evidence, bar)[0]


def _with(evidence: Evidence, bar: int) -> tuple[int, str]:
    """Points for striking together in a bar, and where that is in words."""
    entry, join = evidence.entry_of.get(bar), evidence.facts.joins.get(bar)
    first = evidence.own(bar).onsets[0]
    occasions = [(0, "")]
    if bar and evidence.silences[bar - 1]:
        occasions.append((WITH_SILENCE, "after the silence"))
    if join and not first:
        occasions.append((WITH_FIRM_JOIN if join.firm else WITH_JOIN, join.words))
    if entry and entry.silent >= EMPTY_BARS:
        occasions.append((WITH_ENTRY, "where you come in"))
    return max(occasions, key=lambda item: item[0])


def _with_words(evidence: Evidence, source: int, bar: int) -> str:
    return f"strikes with you {_with(evidence, bar)[1]}"


def _hands_over(evidence: Evidence, giver: int, taker: int, bar: int) -> bool:
    """Whether the tune goes from one row to another at a bar, each carrying it for two bars if there are two."""
    carriers = evidence.carriers
    if not 0 < bar < len(carriers) or (carriers[bar - 1], carriers[bar]) != (giver, taker):
        return False
    return (bar < 2 or carriers[bar - 2] == giver) and (bar + 1 == len(carriers) or carriers[bar + 1] == taker)


def _hands_line(evidence: Evidence, source: int, bar: int) -> int:
    """The last bar of another's tune, which is yours from the next bar on."""
    return HANDS if _hands_over(evidence, source, evidence.you, bar + 1) else 0


def _takes_line(evidence: Evidence, source: int, bar: int) -> int:
    """The first bar of another's tune, which was yours until the bar before."""
    return TAKES if _hands_over(evidence, evidence.you, source, bar) else 0


def _moves_alone(evidence: Evidence, source: int, bar: int) -> int:
    """The only one of the others who strikes, and more than once."""
    onsets = evidence.does(source, bar).onsets
    others = evidence.facts.strikers[bar] - bool(evidence.own(bar).onsets)
    return ALONE if others == 1 and len(onsets) > 1 and len(evidence.sources) > 1 else 0


def _is_louder(evidence: Evidence, source: int, bar: int) -> int:
    """Two printed dynamic steps or more above everybody else who strikes."""
    return LOUDER if evidence.facts.loudest[bar] == source else 0


def _carries_tune(evidence: Evidence, source: int, bar: int) -> int:
    """By `score.activity.tune`."""
    return TUNE if evidence.carriers[bar] == source and evidence.does(source, bar).onsets else 0


def _you_are_busy(evidence: Evidence, source: int, bar: int) -> int:
    """Your own strokes take your eyes."""
    own = evidence.own(bar).onsets
    return -min(BUSY + BUSY_EACH * len(own), BUSY_MOST) if own else 0


def _is_dense(evidence: Evidence, source: int, bar: int) -> int:
    """More than eight onsets in a bar, each counted."""
    return -min(DENSE_EACH * max(0, len(evidence.does(source, bar).onsets) - READABLE), DENSE_MOST)


def _same_rhythm(evidence: Evidence, source: int, bar: int) -> int:
    """The other strikes exactly where you do."""
    own = evidence.own(bar).onsets
    return -SAME_RHYTHM if own and own == evidence.does(source, bar).onsets else 0


def _strikes_nothing(evidence: Evidence, source: int, bar: int) -> int:
    """There is no rhythm to show, and somebody else has one; less where the whole group waits."""
    if evidence.does(source, bar).onsets:
        return 0
    return -EMPTY if evidence.facts.strikers[bar] else -WAIT


def _says(text: str) -> Words:
    return lambda evidence, source, bar: text


RULES: tuple[Rule, ...] = (
    Rule("leads in", _leads_in, _lead_words, target=lambda evidence, source, bar: evidence.entry_of[bar].bar),
    Rule("moves meanwhile", _moves_meanwhile, _meanwhile_words),
    Rule("strikes with you", _strikes_with, _with_words),
    Rule(
        "hands over", _hands_line, _says("hands the line to you at bar"), target=lambda evidence, source, bar: bar + 1
    ),
    Rule("takes over", _takes_line, _says("takes the line from you at bar"), target=lambda evidence, source, bar: bar),
    Rule("alone", _moves_alone, _says("moves alone")),
    Rule("louder", _is_louder, _says("is louder than the others")),
    Rule("tune", _carries_tune, _says("carries the tune")),
    Rule("you are busy", _you_are_busy, _says("you are busy yourself")),
    Rule("dense", _is_dense, _says("is hard to read at a glance")),
    Rule("same rhythm", _same_rhythm, _says("has your own rhythm")),
    Rule("strikes nothing", _strikes_nothing, _says("strikes nothing")),
)


ENTRY_RULES = tuple(rule for rule in RULES if rule.name != "moves meanwhile")
"""Without moving during rests, which would cue every bar of them: what is left is what leads in."""


def rules_of(level: Level) -> tuple[Rule, ...]:
    """The rules that count at a level."""
    return ENTRY_RULES if level is Level.SPARSE else RULES
