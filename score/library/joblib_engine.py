"""Work spread over this machine's cores by joblib."""

import threading
import warnings
from collections.abc import Iterable, Iterator
from concurrent.futures.process import BrokenProcessPool

from score.library.score_work import ReadWork, ScoreLine, ScoreWork
from score.library.spreading import Suspect
from score.processes import interrupts_held


class JoblibEngine:
    """Processes of this machine.

    Args:
        workers: how many; as many as there are cores when it is 0.
    """

    def __init__(self, workers: int = 0) -> None:
        from joblib import cpu_count

        self.workers = workers or cpu_count()
        # A worker that has grown is replaced by joblib; nobody need hear of it.
        warnings.filterwarnings("ignore", "A worker stopped while some jobs", UserWarning)

    def run(self, works: Iterable[ScoreWork], read: ReadWork) -> Iterator[ScoreLine | Suspect]:
        """As `Engine.run`: after a process has ended, with new ones for what is left."""
        queue = _Queue(works)
        while True:
            try:
                for line in self._lines(queue, read):
                    queue.answered(line.path)
                    yield line
                return
            except BrokenProcessPool:
                yield from map(Suspect, queue.taken_back())

    def alone(self, work: ScoreWork, read: ReadWork) -> ScoreLine | None:
        """As `Engine.alone`."""
        try:
            return next(self._lines([work], read))
        except BrokenProcessPool:
            return None

    def close(self) -> None:
        """End the processes."""
        from joblib.externals.loky import get_reusable_executor

        get_reusable_executor().shutdown(wait=True, kill_workers=True)

    def _lines(self, works: Iterable[ScoreWork], read: ReadWork) -> Iterator[ScoreLine]:
        from joblib import Parallel, delayed

        # With one process joblib would read here, where a limit that ends the process ends us.
        spreading = Parallel(
            n_jobs=max(2, self.workers),
            backend="loky",
            return_as="generator_unordered",
            batch_size=1,
            pre_dispatch=self.workers,
            max_nbytes=None,
        )
        with interrupts_held():
            lines = spreading(delayed(read)(work) for work in works)
        yield from lines


class _Queue:
    """Works handed out one by one, by whatever thread asks; those without an answer are known."""

    def __init__(self, works: Iterable[ScoreWork]) -> None:
        self._works, self._turn = iter(works), threading.Lock()
        self._out: dict[str, ScoreWork] = {}

    def __iter__(self) -> "_Queue":
        return self

    def __next__(self) -> ScoreWork:
        with self._turn:
            work = next(self._works)
            self._out[work.path] = work
            return work

    def answered(self, path: str) -> None:
        """A line has come."""
        with self._turn:
            del self._out[path]

    def taken_back(self) -> list[ScoreWork]:
        """What was handed out and has no line; it counts as handed out no more."""
        with self._turn:
            left, self._out = list(self._out.values()), {}
            return left
