"""Questions to the ear: where the piece is by what somebody else plays, and who has the tune."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from hashlib import sha256
from typing import TypeVar

from score.activity.tune import tune_carriers, tune_points
from score.activity.who_moves import activity
from score.memory.bar_contents import Contents
from score.memory.bar_words import bar_words
from score.memory.question import START, Question, QuestionFacts, asked

Item = TypeVar("Item")
_BARS_APART = 8
"""Between places to choose from, where no rehearsal marks name them."""
_CLEARLY = 6
"""Points by which whoever has the tune is ahead of everybody else."""


def where(facts: QuestionFacts) -> Iterator[Question]:
    """Where the piece is, from two bars of another player that come nowhere else, nor half of them."""
    sections = _sections(facts)
    for other in facts.others:
        contents = facts.contents[other.number]
        bars, shared = contents.bars, _SharedOnsets(contents)
        for index in range(0, len(bars) - 1, 2):
            shown = [*bars[index], *bars[index + 1]]
            if len(shown) < 4 or not bars[index] or not bars[index + 1] or sections[index] != sections[index + 1]:
                continue
            if shared.is_elsewhere(index):
                continue
            choices = _places(facts, sections, index)
            if len(choices) == 4:
                line = "  |  ".join(bar_words(other, facts.piece.bars[i], bars[i]) for i in (index, index + 1))
                text = f"{other.name} plays {line}. Where are you?"
                about = (other.number, shown)
                question = asked(facts, "where", (index, START), text, choices, answer=choices[0], about=about)
                yield question._replace(heard=(other.number, index, index + 1))


def _places(facts: QuestionFacts, sections: Sequence[str], index: int) -> list[str]:
    """The right place and three others: sections where rehearsal marks name enough of them, else bars far apart."""
    marks = list(dict.fromkeys(sections))
    if len(marks) >= 4:
        others = [mark for mark in marks if mark != sections[index]]
        return [sections[index], *_drawn(others, sections[index], index)[:3]]
    chosen = [index]
    for bar in _drawn(list(range(0, len(sections) - 1, 2)), "", index):
        if len(chosen) < 4 and all(abs(bar - other) >= _BARS_APART for other in chosen):
            chosen.append(bar)
    return [facts.called(bar) for bar in chosen]


def _drawn(items: Sequence[Item], name: str, index: int) -> list[Item]:
    return sorted(items, key=lambda item: sha256(f"{name}{index}{item}".encode()).digest())


def _sections(facts: QuestionFacts) -> list[str]:
    mark, sections = "the beginning", []
    for bar in facts.piece.bars:
        mark = bar.rehearsal_mark or mark
        sections.append(mark)
    return sections


class _SharedOnsets:
    """How many onsets two bars of a part have in common; asked for two bars running at every other place."""

    def __init__(self, contents: Contents) -> None:
        self._contents = contents
        self._holders: dict[object, list[int]] = defaultdict(list)
        for index, content in enumerate(contents.bars):
            for onset in content:
                self._holders[onset].append(index)

    def is_elsewhere(self, index: int) -> bool:
        """Whether two bars elsewhere share half of the onsets of these two."""
        places: Counter[int] = Counter()
        total = 0
        for step in (0, 1):
            here = self._contents.bars[index + step]
            total += len(here)
            for onset in here:
                places.update(bar - step for bar in self._holders[onset])
        del places[index]
        last = len(self._contents.bars) - 1
        return any(2 * many >= total for place, many in places.items() if 0 <= place < last)


def tune(facts: QuestionFacts) -> Iterator[Question]:
    """Who has the tune where it passes to somebody: asked, not scored, for no search can prove what an ear hears."""
    heard = activity(facts.piece)
    carriers, points = tune_carriers(heard), tune_points(heard)
    names = {player.number: player.name for player in facts.piece.players}
    rows = [names[number] for number in heard.players]
    if len(rows) < 3:
        return
    for bar in range(len(carriers) - 1):
        row = carriers[bar]
        clear = row is not None and all(_is_ahead(points[each], row) for each in (bar, bar + 1))
        if row is None or not clear or carriers[bar + 1] != row or (bar and carriers[bar - 1] == row):
            continue
        text = f"From {facts.called(bar)} on: who has the tune? By our count; your ear may say otherwise."
        about = [contents.bars[bar] for contents in facts.contents.values()]
        question = asked(facts, "tune", (bar, START), text, rows, answer=rows[row], about=about)
        yield question._replace(is_scored=False)


def _is_ahead(points: Sequence[int], row: int) -> bool:
    return all(points[row] >= other + _CLEARLY for place, other in enumerate(points) if place != row)
