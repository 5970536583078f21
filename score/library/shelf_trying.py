"""A programme of a few pieces by trying: every set of them of the right length, every way to cast it."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from score.library.shelf_filling import Offer

_MOST_STEPS = 20_000


class TooManyError(Exception):
    """More ways than are tried."""


class ProgrammeFrame(NamedTuple):
    """What a programme has to be.

    Attributes:
        least, most: whole seconds of music.
        people: how many there are.
        share: of the music that everybody plays in at least.
    """

    least: int
    most: int
    people: int
    share: float


def tried(offers: Sequence[Offer], frame: ProgrammeFrame) -> dict[int, int] | None:
    """Position of each piece of a programme to its people; None where there is none.

    Raises:
        TooManyError: there are too many ways to try them.
    """
    steps = iter(range(_MOST_STEPS))
    order = sorted(range(len(offers)), key=lambda at: -offers[at].seconds)
    for chosen in _sets(offers, order, frame, steps):
        casts = _shared(offers, chosen, frame, steps)
        if casts is not None:
            return casts
    return None


def _sets(
    offers: Sequence[Offer], order: Sequence[int], frame: ProgrammeFrame, steps: Iterator[int]
) -> Iterator[list[int]]:
    """Every set of the pieces whose length is right."""
    # The sums that the pieces from each on can make, a bit each.
    sums = [1]
    for at in reversed(order):
        sums.append(sums[-1] | sums[-1] << offers[at].seconds)
    sums.reverse()

    def from_here(place: int, chosen: list[int], seconds: int) -> Iterator[list[int]]:
        _step(steps)
        window = (sums[place] << seconds) >> frame.least
        if not window & ((1 << (frame.most - frame.least + 1)) - 1):
            return
        if place == len(order):
            yield chosen
            return
        yield from from_here(place + 1, [*chosen, order[place]], seconds + offers[order[place]].seconds)
        yield from from_here(place + 1, chosen, seconds)

    return from_here(0, [], 0)


def _shared(
    offers: Sequence[Offer], chosen: Sequence[int], frame: ProgrammeFrame, steps: Iterator[int]
) -> dict[int, int] | None:
    """People for each of the pieces, so that everybody plays enough."""
    least = frame.share * sum(offers[at].seconds for at in chosen) - 1e-6
    people = range(frame.people)
    # What each could still play from each piece on.
    rest = [[0] * frame.people]
    for at in reversed(chosen):
        can = [offers[at].seconds * any(cast >> p & 1 for cast in offers[at].casts) for p in people]
        rest.append([more + own for more, own in zip(rest[-1], can, strict=True)])
    rest.reverse()

    def cast_from(place: int, plays: list[int]) -> dict[int, int] | None:
        _step(steps)
        if any(played + more < least for played, more in zip(plays, rest[place], strict=True)):
            return None
        if place == len(chosen):
            return {}
        at = chosen[place]
        for cast in offers[at].casts:
            now = [played + offers[at].seconds * (cast >> p & 1) for p, played in zip(people, plays, strict=True)]
            others = cast_from(place + 1, now)
            if others is not None:
                return {at: cast, **others}
        return None

    return cast_from(0, [0] * frame.people)


def _step(steps: Iterator[int]) -> None:
    if next(steps, None) is None:
        raise TooManyError
