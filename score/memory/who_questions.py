"""Questions about the others: who moves, leads in, stops, plays the same.

Each kind goes through the piece and asks wherever there is exactly one right answer. A question whose bars are left by
a repeat or a jump is never asked, nor one that two players or two places could answer.
"""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from score.memory.bar_contents import Content
from score.memory.bar_words import beat_words
from score.memory.question import START, Question, QuestionFacts, asked
from score.piece import Bar, Player, Stroke, StrokeKind


def moves(facts: QuestionFacts) -> Iterator[Question]:
    """Who moves first while the player holds a note of two beats or more."""
    mine, names = facts.onsets[facts.me.number], [other.name for other in facts.others]
    for stroke in _one_a_moment(facts.me):
        now = facts.starts[stroke.bar] + facts.tick(stroke.at)
        place = bisect_right(mine, now)
        until = mine[place] if place < len(mine) else facts.tick(facts.piece.length)
        if min(until, now + facts.tick(stroke.length)) - now < 2 * facts.beat(stroke.bar):
            continue
        firsts = sorted(_firsts(facts, now, until))
        half = facts.beat(stroke.bar) // 2
        if not firsts or firsts[0][0] - now < half or (len(firsts) > 1 and firsts[1][0] - firsts[0][0] < half):
            continue
        if len(names) > 1 and facts.onward(stroke.bar, facts.bar_at(firsts[0][0])):
            bar = facts.piece.bars[stroke.bar]
            since = f"beat {beat_words(bar, stroke.at)} of {facts.called(stroke.bar)}"
            text = f"You hold on from {since}: who moves first?"
            about = (facts.mine.bars[stroke.bar], stroke.at, [(facts.quarters(t - now), name) for t, name in firsts])
            yield asked(facts, "moves", (stroke.bar, stroke.at), text, names, answer=firsts[0][1], about=about)


def _one_a_moment(player: Player) -> Iterator[Stroke]:
    seen: set[tuple[int, Fraction]] = set()
    for stroke in player.strokes:
        if stroke.kind is not StrokeKind.GRACE and (stroke.bar, stroke.at) not in seen:
            seen.add((stroke.bar, stroke.at))
            yield stroke


def _firsts(facts: QuestionFacts, now: int, until: int) -> Iterator[tuple[int, str]]:
    for other in facts.others:
        onsets = facts.onsets[other.number]
        place = bisect_right(onsets, now)
        if place < len(onsets) and onsets[place] < until:
            yield onsets[place], other.name


def leads_in(facts: QuestionFacts) -> Iterator[Question]:
    """Who alone strikes in the two beats before the player comes in again."""
    names = [other.name for other in facts.others]
    for first, entry in facts.rests(1):
        at = facts.mine.bars[entry][0][0]
        now = facts.starts[entry] + facts.tick(at)
        early = now - 2 * facts.beat(entry)
        who = [
            other.name
            for other in facts.others
            if bisect_left(facts.onsets[other.number], early) < bisect_left(facts.onsets[other.number], now)
        ]
        if len(who) == 1 and len(names) > 1 and facts.onward(min(first, facts.bar_at(early)), entry):
            text = f"You come in at {facts.called(entry)}: who strikes in the two beats before?"
            about = (entry - first, facts.mine.bars[entry], at)
            yield asked(facts, "leads in", (entry, at), text, names, answer=who[0], about=about)


def rhythms(facts: QuestionFacts) -> Iterator[Question]:
    """Whose rhythm two bars are: nobody else has it anywhere."""
    owners: dict[tuple[Content, ...], set[int]] = defaultdict(set)
    bars = {number: [_rhythm(bar) for bar in contents.bars] for number, contents in facts.contents.items()}
    for number, mine in bars.items():
        for pair in pairwise(mine):
            owners[pair].add(number)
    names, done = [player.name for player in facts.piece.players], set()
    for other in facts.others:
        for index, pair in enumerate(pairwise(bars[other.number])):
            enough = pair[0] and pair[1] and len(pair[0]) + len(pair[1]) >= 4
            if not enough or pair in done or owners[pair] != {other.number} or len(names) < 3:
                continue
            done.add(pair)
            here = facts.piece.bars[index : index + 2]
            counted = "  |  ".join(_counted(bar, content) for bar, content in zip(here, pair, strict=True))
            text = f"Whose rhythm is this, over two bars?  {counted}"
            yield asked(facts, "rhythm", (index, START), text, names, answer=other.name, about=pair)


def _rhythm(content: Content) -> Content:
    return tuple((at, ()) for at, _ in content)


def _counted(bar: Bar, content: Content) -> str:
    return " ".join(beat_words(bar, at) for at, _ in content)


def together(facts: QuestionFacts) -> Iterator[Question]:
    """Who strikes exactly when the player does, through a whole bar."""
    names = [other.name for other in facts.others]
    for index, content in enumerate(facts.mine.bars):
        mine = _rhythm(content)
        who = [other.name for other in facts.others if _rhythm(facts.contents[other.number].bars[index]) == mine]
        if len(content) > 1 and len(who) == 1 and len(names) > 1:
            text = f"Who strikes exactly when you do in {facts.called(index)}?"
            bar = facts.piece.bars[index]
            about = (content, bar.rehearsal_mark, facts.mine.bars[index - 1] if index else ())
            yield asked(facts, "together", (index, START), text, names, answer=who[0], about=about)


def stops(facts: QuestionFacts) -> Iterator[Question]:
    """Who stops last before everybody is silent for a beat or more."""
    sounds = sorted(
        (facts.starts[stroke.bar] + facts.tick(stroke.at), facts.tick(stroke.length), player.name)
        for player in facts.piece.players
        for stroke in player.strokes
        if stroke.kind is not StrokeKind.GRACE
    )
    names = [player.name for player in facts.piece.players]
    ends: dict[str, int] = {}
    for place, (now, length, name) in enumerate(sounds):
        ends[name] = max(ends.get(name, 0), now + length)
        after = sounds[place + 1][0] if place + 1 < len(sounds) else facts.tick(facts.piece.length)
        last = sorted(ends.items(), key=lambda each: -each[1])
        bar = facts.bar_at(max(0, last[0][1] - 1))
        beat = facts.beat(bar)
        clear = len(last) > 1 and last[0][1] - last[1][1] >= beat // 2
        bar_over = facts.starts[bar] + facts.tick(facts.piece.bars[bar].length)
        if (
            after >= max(bar_over, last[0][1] + beat)
            and clear
            and len(names) > 2
            and facts.onward(bar, facts.bar_at(after - 1))
        ):
            text = f"Everybody is silent after {facts.called(bar)}: who stops last?"
            about = [contents.bars[bar] for contents in facts.contents.values()]
            yield asked(facts, "stops", (bar, START), text, names[:], answer=last[0][0], about=about)
