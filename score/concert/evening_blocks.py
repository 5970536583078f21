"""A rehearsal cut into up to five blocks of equal length, with its breaks; the last one with a run of the programme.

One piece is worked on in a block, so that people are called by block. Common practice, no source.
"""

from collections import Counter
from itertools import pairwise
from math import ceil
from typing import NamedTuple

from score.concert.programme import ConcertEvening, Programme
from score.plan.rehearsal_choice import BREAK_MINUTES, break_count, can_do

_LEASTS = (20, 30, 60, 200, 260)
"""Playing minutes from which there are one, two, three, four and five blocks."""
_MOST, _FEWEST = ((6, 5), (10, 4)), 3
"""Up to so many pieces so many blocks at the most, beyond them the fewest: ways to share them out grow too many."""


class EveningBlocks(NamedTuple):
    """How a rehearsal is cut; minutes are after its start.

    Attributes:
        minutes: of playing in each block.
        begins, ends: of each block.
        breaks: (begins, minutes) of each break.
        run: where the run of the programme begins, None where there is none.
        run_minutes: of the run, stage changes included.
    """

    minutes: int
    begins: tuple[int, ...]
    ends: tuple[int, ...]
    breaks: tuple[tuple[int, int], ...] = ()
    run: int | None = None
    run_minutes: int = 0

    @property
    def number(self) -> int:
        """How many blocks there are."""
        return len(self.begins)


def cut_evenings(programme: Programme) -> tuple[EveningBlocks, ...]:
    """Every rehearsal of a programme cut into blocks."""
    *earlier, last = programme.evenings
    most = next((count for pieces, count in _MOST if len(programme.pieces) <= pieces), _FEWEST)
    return (*(_cut(evening, most) for evening in earlier), _with_run(programme, last, most) or _cut(last, most))


def run_minutes(programme: Programme) -> int:
    """Minutes of a run of the whole programme with its stage changes."""
    whole = sum(piece.tasks[-1].minutes for piece in programme.pieces)
    return whole + ceil(sum(programme.changes) / 60)


def change_minutes(programme: Programme) -> tuple[int, ...]:
    """Whole minutes of each stage change; together no more than the run counts."""
    ends = [0, *(ceil(sum(programme.changes[: index + 1]) / 60) for index in range(len(programme.changes)))]
    return tuple(after - before for before, after in pairwise(ends))


def _cut(evening: ConcertEvening, most: int) -> EveningBlocks:
    breaks = break_count(evening.rehearsal)
    return _laid(evening.minutes - BREAK_MINUTES * breaks, breaks, most)


def _laid(playing: int, breaks: int, most: int) -> EveningBlocks:
    """Blocks with their breaks between them, spread evenly; one break of three blocks comes after the second."""
    count = min(most, max(sum(playing >= least for least in _LEASTS), int(playing > 0)))
    minutes = playing // count if count else 0
    after = Counter(int(count * number / (breaks + 1) + 0.5) for number in range(1, breaks + 1))
    clock, begins, pauses = 0, [], []
    for block in range(count):
        if block and after[block]:
            pauses.append((clock, BREAK_MINUTES * after[block]))
            clock += BREAK_MINUTES * after[block]
        begins.append(clock)
        clock += minutes
    return EveningBlocks(minutes, tuple(begins), tuple(begin + minutes for begin in begins), breaks=tuple(pauses))


def _with_run(programme: Programme, evening: ConcertEvening, most: int) -> EveningBlocks | None:
    """The last rehearsal ends with a run, where there is time and everybody is there; before it what time is left."""
    length = run_minutes(programme)
    breaks = break_count(evening.rehearsal)
    left = evening.minutes - BREAK_MINUTES * breaks - length
    if left < _LEASTS[0]:
        # Too little to work on anything first.
        left, breaks = 0, 0
    begins = left + BREAK_MINUTES * breaks
    everybody = frozenset(person for piece in programme.pieces for person in piece.people)
    there = all(evening.is_there(person, begins, begins + length) for person in everybody)
    complete = all(can_do(piece.tasks[-1], evening.rehearsal) for piece in programme.pieces)
    if begins + length > evening.minutes or not there or not complete:
        return None
    # One break is kept for the moment before the run.
    before = _laid(left, max(0, breaks - 1), most)
    rest = BREAK_MINUTES * breaks - sum(minutes for _, minutes in before.breaks)
    pauses = (*before.breaks, *([(before.ends[-1], rest)] if rest else []))
    return before._replace(breaks=pauses, run=begins, run_minutes=length)
