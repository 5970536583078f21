"""Questions about one's own part: how long to wait, what comes after, which way, how many times.

Each kind goes through the part and asks wherever there is exactly one right answer, whatever repeats and jumps do.
"""

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from fractions import Fraction
from hashlib import sha256
from itertools import pairwise

from score.memory.bar_contents import Onset
from score.memory.bar_words import beat_words, sound_words
from score.memory.families import families
from score.memory.question import START, Question, QuestionFacts, asked, number_choices
from score.piece import MarkKind, Stroke, StrokeKind
from score.places import bars_name

_USUAL = ("pp", "p", "mp", "mf", "f", "ff")


def waits(facts: QuestionFacts) -> Iterator[Question]:
    """How many bars to wait."""
    for first, entry in facts.rests(2):
        held = any(stroke.bar < first and _end(stroke) > (first, START) for stroke in facts.me.strokes)
        if not held and facts.onward(first - 1, entry):
            before = facts.mine.bars[first - 1]
            text = f"From {facts.called(first)} on you rest: how many bars do you wait?"
            choices = number_choices(entry - first, before)
            about = (before, facts.mine.bars[entry])
            yield asked(facts, "waits", (first, START), text, choices, answer=str(entry - first), about=about)


def _end(stroke: Stroke) -> tuple[int, Fraction]:
    last = stroke.segments[-1] if stroke.segments else None
    return (last.bar, last.at + last.length) if last else (stroke.bar, stroke.at + stroke.length)


def enters(facts: QuestionFacts) -> Iterator[Question]:
    """The first stroke after a rest."""
    firsts = [sound_words(facts.me, bar[0][1], facts.piece.bars[i].key) for i, bar in enumerate(facts.mine.bars) if bar]
    common = [words for words, _ in Counter(firsts).most_common()]
    for first, entry in facts.rests(1):
        at, sounds = facts.mine.bars[entry][0]
        right = sound_words(facts.me, sounds, facts.piece.bars[entry].key)
        lures = [words for words in common if words != right][:3]
        if len(lures) == 3 and facts.onward(first, entry):
            text = f"You come in at {facts.called(entry)} after {_bars_said(entry - first)}: with what?"
            about = (entry - first, facts.mine.bars[entry])
            yield asked(facts, "enters", (entry, at), text, [right, *lures], answer=right, about=about)


def instruments(facts: QuestionFacts) -> Iterator[Question]:
    """Which instrument comes next."""
    names = list(dict.fromkeys(instrument.name for instrument in facts.me.instruments))
    strokes = [stroke for stroke in facts.me.strokes if stroke.kind is not StrokeKind.GRACE]
    at_once = Counter((stroke.bar, stroke.at) for stroke in strokes)
    for before, stroke in pairwise(strokes):
        right = facts.me.instruments[stroke.instrument].name
        left = facts.me.instruments[before.instrument].name
        alone = at_once[before.bar, before.at] == 1 and at_once[stroke.bar, stroke.at] == 1
        if right != left and alone and len(names) > 1 and facts.onward(before.bar, stroke.bar):
            beat = beat_words(facts.piece.bars[stroke.bar], stroke.at)
            text = f"You change at beat {beat} of {facts.called(stroke.bar)}: to which instrument?"
            choices = [right, *(name for name in names if name != right)][:4]
            about = (left, facts.mine.bars[before.bar], facts.mine.bars[stroke.bar])
            yield asked(facts, "instrument", (stroke.bar, stroke.at), text, choices, answer=right, about=about)


def mallets(facts: QuestionFacts) -> Iterator[Question]:
    """Which mallets are taken."""
    taken = {player.number: [m for m in player.marks if m.kind is MarkKind.STICKS] for player in facts.piece.players}
    mine = taken[facts.me.number]
    others = (mark.text for marks in taken.values() for mark in marks)
    names = list(dict.fromkeys([*(mark.text for mark in mine), *others]))
    at_once = Counter((mark.bar, mark.at) for mark in mine)
    for before, mark in pairwise(mine):
        if mark.text != before.text and at_once[mark.bar, mark.at] == 1 and len(names) > 2:
            choices = [mark.text, *(name for name in names if name != mark.text)][:4]
            text = f"You put away {before.text} before {facts.called(mark.bar)}: which mallets are next?"
            about = (before.text, facts.mine.bars[mark.bar])
            yield asked(facts, "mallets", (mark.bar, mark.at), text, choices, answer=mark.text, about=about)


def firsts(facts: QuestionFacts) -> Iterator[Question]:
    """Which of four bars comes first when the piece is played."""
    when: dict[int, int] = {}
    for place, index in enumerate(facts.piece.playing_order):
        if len(facts.mine.bars[index]) > 1:
            when.setdefault(facts.mine.classes[index], place)
    lines = {number: facts.line(facts.piece.playing_order[place]) for number, place in when.items()}
    said = Counter(lines.values())
    order = [number for number in when if said[lines[number]] == 1]
    for position, number in enumerate(order):
        later = order[position + 1 :]
        lures = sorted(later, key=lambda other: sha256(f"{lines[number]}{lines[other]}".encode()).digest())[:3]
        if len(lures) == 3:
            text = "Which of these bars of yours comes first in the piece?"
            bar = facts.piece.playing_order[when[number]]
            choices = [lines[each] for each in (number, *lures)]
            about = (facts.mine.bars[bar],)
            yield asked(facts, "first", (bar, START), text, choices, answer=lines[number], about=about)


def goes_on(facts: QuestionFacts) -> Iterator[Question]:
    """What comes after two bars that go on in one way only, however often they come."""
    follows: dict[tuple[int, int], set[int]] = defaultdict(set)
    order, classes = facts.piece.playing_order, facts.mine.classes
    for first, second, third in zip(order, order[1:], order[2:], strict=False):
        follows[classes[first], classes[second]].add(classes[third])
    lines = {number: facts.line(index) for index, number in enumerate(classes) if facts.mine.bars[index]}
    bars = {number: frozenset(facts.mine.bars[index]) for index, number in enumerate(classes) if number in lines}
    near = _NearBars(bars, lines)
    for index in range(len(classes) - 2):
        first, second, third = classes[index : index + 3]
        shown = facts.mine.bars[index] and len(facts.mine.bars[index + 1]) > 1 and facts.mine.bars[index + 2]
        if not shown or second == third or follows[first, second] != {third} or not facts.onward(index, index + 2):
            continue
        lures = near.lures(third)
        if len(lures) == 3:
            text = f"{lines[first]}  |  {lines[second]}  |  what comes next?"
            about = (facts.mine.bars[index], facts.mine.bars[index + 1])
            choices = [lines[third], *lures]
            question = asked(facts, "goes on", (index + 2, START), text, choices, answer=lines[third], about=about)
            yield question._replace(heard=(facts.me.number, index, index + 1))


class _NearBars:
    """The bars of one's own part that have most in common with a bar and are said otherwise."""

    def __init__(self, bars: Mapping[int, frozenset[Onset]], lines: Mapping[int, str]) -> None:
        self._bars, self._lines = bars, lines
        self._holders: dict[Onset, list[int]] = defaultdict(list)
        for number, content in bars.items():
            for onset in content:
                self._holders[onset].append(number)
        self._all = sorted(set(lines.values()))

    def lures(self, number: int) -> list[str]:
        """Three of them, the nearest first."""
        shared = Counter(other for onset in self._bars[number] for other in self._holders[onset])
        near = sorted((-many, self._lines[other]) for other, many in shared.items())
        words = dict.fromkeys([*(line for _, line in near[:8]), *self._all[:8]])
        return [line for line in words if line != self._lines[number]][:3]


def forks(facts: QuestionFacts) -> Iterator[Question]:
    """Which way at the end of a passage that comes elsewhere and goes on otherwise there."""
    classes = facts.mine.classes
    for family in families(facts.piece, facts.me):
        if set(family.partings) != {family.length}:
            continue
        ways = {p.first + family.length: p.first for p in family.occurrences if p.first + family.length < len(classes)}
        said = {index: facts.line(index) for index in ways}
        if len(set(said.values())) < 2:
            continue
        for index, first in ways.items():
            if facts.onward(first, index):
                choices = list(dict.fromkeys(said.values()))[:4]
                if said[index] not in choices:
                    choices[-1] = said[index]
                like = next(bars_name(facts.piece, range(o, o + family.length)) for o in ways.values() if o != first)
                here = bars_name(facts.piece, range(first, index))
                text = f"Bars {here} are like {like}: how do they go on this time?"
                about = (facts.mine.bars[first:index], sorted(ways).index(index))
                yield asked(facts, "fork", (index, START), text, choices, answer=said[index], about=about)


def times(facts: QuestionFacts) -> Iterator[Question]:
    """How many times a bar comes running."""
    classes = facts.mine.classes
    first = 0
    for index in range(1, len(classes) + 1):
        if index < len(classes) and classes[index] == classes[first]:
            continue
        many = index - first
        if many > 1 and facts.mine.bars[first] and facts.onward(max(0, first - 1), min(index, len(classes) - 1)):
            text = f"From {facts.called(first)} on: how many times does this bar come?  {facts.line(first)}"
            before = facts.mine.bars[first - 1] if first else ()
            choices = number_choices(many, (before, facts.mine.bars[first]))
            about = (before, facts.mine.bars[first])
            yield asked(facts, "times", (first, START), text, choices, answer=str(many), about=about)
        first = index


def _bars_said(many: int) -> str:
    return "one bar's rest" if many == 1 else f"{many} bars' rest"


def dynamics(facts: QuestionFacts) -> Iterator[Question]:
    """Which dynamic is printed at a place, where it is another than before."""
    marks = [dynamic for dynamic in facts.me.dynamics if dynamic.mark in _USUAL]
    at_once = Counter((dynamic.bar, dynamic.at) for dynamic in marks)
    for before, dynamic in pairwise(marks):
        if dynamic.mark == before.mark or at_once[dynamic.bar, dynamic.at] > 1:
            continue
        loud = _USUAL.index(dynamic.mark)
        lowest = max(0, min(loud - dynamic.bar % 4, len(_USUAL) - 4))
        beat = beat_words(facts.piece.bars[dynamic.bar], dynamic.at)
        text = f"Which dynamic is printed at beat {beat} of {facts.called(dynamic.bar)}?"
        about = (before.mark, facts.mine.bars[dynamic.bar])
        choices = _USUAL[lowest : lowest + 4]
        place = (dynamic.bar, dynamic.at)
        yield asked(facts, "dynamic", place, text, choices, answer=dynamic.mark, about=about)
