"""Blocks shared out well, by trying: one rehearsal after the other is shared out anew while that helps, then shaken.

What some minutes in each rehearsal are worth to a piece is a linear program that stays loaded, so that another number
of minutes is solved from the last one in a few milliseconds. Its prices bound what more minutes can add and fewer can
take, because worth grows ever less with minutes; what cannot help is never tried.
"""

import random
from collections.abc import Callable, Iterator, Sequence

from score.concert.block_shares import Blocks, BlockShare
from score.concert.evening_blocks import EveningBlocks
from score.concert.programme import Programme
from score.concert.programme_choice import SHORT, has_run, wanted_visits
from score.concert.programme_model import PieceColumns
from score.integer_program import IntegerProgram, LoadedProgram

_LEAST, _TRIES = 1e-6, 40
_SHAKEN = 3
"""Rehearsals that are shared out at random before each new beginning."""

Sharing = tuple[int, ...]
"""For each rehearsal, which of its ways to be shared out."""


class _PieceWorth:
    """What minutes in each rehearsal are worth to a piece, with prices of a minute."""

    def __init__(self, programme: Programme, cuts: Sequence[EveningBlocks], piece: int) -> None:
        program = IntegerProgram()
        columns = PieceColumns(program, programme, piece, [has_run(cuts, day) for day in range(len(cuts))])
        self._rows = columns.within([0] * len(cuts))
        self._loaded = LoadedProgram(program)
        self._before: dict[tuple[int, ...], tuple[float, tuple[float, ...]]] = {}

    def of(self, minutes: tuple[int, ...]) -> tuple[float, tuple[float, ...]]:
        """Worth of these minutes, and of one more in each rehearsal."""
        if minutes not in self._before:
            self._before[minutes] = self._loaded.solve(dict(zip(self._rows, minutes, strict=True)))
        return self._before[minutes]


class BlockSearch:
    """Looks for a good way to share out the blocks.

    Args:
        programme: the concert.
        cuts: its rehearsals' blocks.
        shares: every way to share out each rehearsal.
    """

    def __init__(
        self, programme: Programme, cuts: Sequence[EveningBlocks], shares: Sequence[Sequence[BlockShare]]
    ) -> None:
        self.programme, self.cuts, self.shares = programme, cuts, shares
        self._minutes = [[dict(share.minutes) for share in day] for day in shares]
        self._pieces = [_PieceWorth(programme, cuts, piece) for piece in range(len(programme.pieces))]
        self._wanted = wanted_visits(programme, cuts)

    def search(self, start: Sequence[Blocks], left: Callable[[], float]) -> tuple[Blocks, ...]:
        """The best there is before no time is left.

        Args:
            start: blocks to begin with.
            left: seconds that are left.
        """
        chance = random.Random(1)
        best = self._climbed(self._numbered(start), left)
        best_worth, tried = self._worth(best), 0
        while left() > 0 and tried < _TRIES:
            shaken = self._climbed(self._shaken(best, chance), left)
            tried += 1
            if (worth := self._worth(shaken)) > best_worth + _LEAST:
                best, best_worth, tried = shaken, worth, 0
        return tuple(day[number].blocks for day, number in zip(self.shares, best, strict=True))

    def _numbered(self, start: Sequence[Blocks]) -> Sharing:
        return tuple(
            next(index for index, share in enumerate(day) if share.blocks == blocks)
            for day, blocks in zip(self.shares, start, strict=True)
        )

    def _shaken(self, sharing: Sharing, chance: random.Random) -> Sharing:
        days = chance.sample(range(len(sharing)), min(_SHAKEN, len(sharing)))
        return tuple(chance.randrange(len(self.shares[d])) if d in days else n for d, n in enumerate(sharing))

    def _climbed(self, sharing: Sharing, left: Callable[[], float]) -> Sharing:
        """Rehearsals shared out anew, one at a time, until none helps any more."""
        worth = self._worth(sharing)
        better = True
        while better and left() > 0:
            better = False
            for other in list(self._promising(sharing)):
                if left() <= 0:
                    break
                if (there := self._worth(other)) > worth + _LEAST:
                    sharing, worth, better = other, there, True
                    break
        return sharing

    def _promising(self, sharing: Sharing) -> Iterator[Sharing]:
        """Sharings that differ in one rehearsal and may be worth more, those that may be worth most first."""
        prices = [self._pieces[piece].of(self._of(sharing, piece))[1] for piece in range(len(self._pieces))]
        ways = []
        for day, now in enumerate(sharing):
            for number in range(len(self.shares[day])):
                gain = self._most(day, now, number, prices)
                if number != now and gain > _LEAST:
                    ways.append((-gain, day, number))
        for _, day, number in sorted(ways):
            yield (*sharing[:day], number, *sharing[day + 1 :])

    def _most(self, day: int, now: int, number: int, prices: Sequence[Sequence[float]]) -> float:
        """What another way to share a rehearsal can add at the most, too few visits at their best."""
        before, after = self._minutes[day][now], self._minutes[day][number]
        gain = self.shares[day][number].worth - self.shares[day][now].worth
        for piece in {*before, *after}:
            gain += prices[piece][day] * (after.get(piece, 0) - before.get(piece, 0))
            gain += SHORT * (piece in after and piece not in before)
        return gain

    def _of(self, sharing: Sharing, piece: int) -> tuple[int, ...]:
        return tuple(self._minutes[day][number].get(piece, 0) for day, number in enumerate(sharing))

    def _worth(self, sharing: Sharing) -> float:
        total = sum(day[number].worth for day, number in zip(self.shares, sharing, strict=True))
        for piece, each in enumerate(self._pieces):
            minutes = self._of(sharing, piece)
            visits = sum(m > 0 for m, cut in zip(minutes, self.cuts, strict=True) if cut.run is None)
            total += each.of(minutes)[0] - SHORT * max(0, self._wanted - visits)
        return total
