"""Scores spread over processes: every score gets its line exactly once, whatever one of them does to its process.

An engine says of each work what came of it, or that the process it was in has ended. Who was in a process that ended is
only a suspect: it is tried again alone, and what ends a process alone is to blame.
"""

import time
from collections.abc import Iterable, Iterator
from typing import NamedTuple, Protocol

from score.library.score_work import ReadWork, ScoreLine, ScoreWork, ended_its_process, too_long


class Suspect(NamedTuple):
    """A work that was in a process when it ended.

    Attributes:
        work: the work.
    """

    work: ScoreWork


class Engine(Protocol):
    """What spreads work over processes.

    Attributes:
        workers: how many processes work at a time.
    """

    workers: int

    def run(self, works: Iterable[ScoreWork], read: ReadWork) -> Iterator[ScoreLine | Suspect]:
        """Every work once, in whatever order; works are asked for as processes become free."""

    def alone(self, work: ScoreWork, read: ReadWork) -> ScoreLine | None:
        """One work while no other is done; None when its process ended."""

    def close(self) -> None:
        """End the processes."""


def spread(works: Iterable[ScoreWork], engine: Engine, read: ReadWork) -> Iterator[ScoreLine]:
    """Every work's line exactly once, as they come.

    Args:
        works: what to read; asked for one by one.
        engine: who reads.
        read: what is done with each, a function of a module.
    """
    suspects: list[ScoreWork] = []
    for answer in engine.run(works, read):
        if isinstance(answer, Suspect):
            suspects.append(answer.work)
        else:
            yield answer
    for work in suspects:
        yield _judged(work, engine, read)


def _judged(work: ScoreWork, engine: Engine, read: ReadWork) -> ScoreLine:
    began = time.monotonic()
    line = engine.alone(work, read)
    if line is not None:
        return line
    return too_long(work) if time.monotonic() - began > work.limits.seconds else ended_its_process(work)
