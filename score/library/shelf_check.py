"""Whether some pieces make a programme: what is quick to say first, an integer program last."""

from collections.abc import Iterable, Mapping, Sequence
from math import ceil
from typing import TYPE_CHECKING, Any

from score.library.shelf_filling import Offer
from score.library.shelf_model import LEAST_SHARE_OF_TIME, OPEN, Candidate, ChoiceWish, ShelfModel
from score.library.shelf_trying import ProgrammeFrame, TooManyError, tried

if TYPE_CHECKING:
    import numpy as np

_SOLVE_SECONDS = 2.0


class ProgrammeCheck:
    """Whether some of the candidates make a programme; the one with the fewest instruments is kept.

    Args:
        candidates: what can be played.
        wish: what is asked.

    Attributes:
        played: position of each piece of that programme to its people; empty without one.
        carried: its instruments, 0 without one.
        unsure: instruments of the smallest set of pieces that could not be settled in time.
    """

    def __init__(self, candidates: Sequence[Candidate], wish: ChoiceWish) -> None:
        self._candidates, self._wish = candidates, wish
        self._refused: list[int] = []
        most = int(wish.seconds)
        self._frame = ProgrammeFrame(ceil(LEAST_SHARE_OF_TIME * most), most, people=len(wish.people), share=wish.share)
        self.played: dict[int, int] = {}
        self.carried = 0
        self.unsure = len(candidates) * 1_000_000

    def __call__(self, pieces: Sequence[int]) -> bool:
        """Whether these positions do."""
        bits = sum(1 << at for at in pieces)
        # What fewer pieces can, more can.
        if any(bits & ~refused == 0 for refused in self._refused):
            return False
        answer = self._solved(pieces) if self._may_be_shared(pieces) else False
        if answer is False:
            self._refused.append(bits)
        return bool(answer)

    def _solved(self, pieces: Sequence[int]) -> bool | None:
        """None where time was over before."""
        here = [self._candidates[at] for at in pieces]
        try:
            played = tried([Offer(each.seconds, each.casts) for each in here], self._frame) or {}
        except TooManyError:
            model = ShelfModel(here, self._wish, count=False)
            solved = model.solved(_SOLVE_SECONDS, any_will_do=True)
            played = model.played(solved.values)
            if not played and solved.bound != -OPEN:
                self.unsure = min(self.unsure, self._carried(pieces))
                return None
        if played:
            self._keep({pieces[at]: people for at, people in played.items()})
        return bool(played)

    def _keep(self, played: dict[int, int]) -> None:
        carried = self._carried(played)
        if not self.played or carried < self.carried:
            self.played, self.carried = played, carried

    def _may_be_shared(self, pieces: Sequence[int]) -> bool:
        """Whether some of the pieces have a length at which each person, if it went by them alone, plays enough."""
        import numpy as np

        least, most = self._frame.least, self._frame.most
        lengths = np.arange(least, most + 1)
        fair = np.full(lengths.shape, True)
        for position in range(len(self._wish.people)):
            fair &= self._most_played(pieces, position, most)[least:] >= self._wish.share * lengths - 1e-6
        return bool(fair.any())

    def _most_played(self, pieces: Sequence[int], position: int, most: int) -> "np.ndarray[Any, Any]":
        """For each length of a programme of some of the pieces, seconds that one person can play in it at the most."""
        import numpy as np

        played = np.full(most + 1, -np.inf)
        played[0] = 0.0
        for at in pieces:
            piece = self._candidates[at]
            gain = piece.seconds if any(people >> position & 1 for people in piece.casts) else 0
            with_it = played[: most + 1 - piece.seconds] + gain
            played[piece.seconds :] = np.maximum(played[piece.seconds :], with_it)
        return played

    def _carried(self, pieces: Iterable[int]) -> int:
        return sum(together(self._candidates[at].facts.needs for at in pieces).values())


def together(needs: Iterable[Mapping[str, int]]) -> dict[str, int]:
    """What several pieces need one after the other."""
    most: dict[str, int] = {}
    for each in needs:
        for kind, count in each.items():
            most[kind] = max(most.get(kind, 0), count)
    return most
