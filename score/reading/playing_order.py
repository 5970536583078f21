"""The playing order: which bar follows which, with every repeat, ending and jump taken.

The signs are walked as a player walks them. Common practice, no source, where MusicXML leaves it open: a
repeat without a beginning goes back to the end of the repeat before it, or to the start; after D.C. or
D.S. repeats are not taken again and the last ending is played; a jump is taken once. A repeat sign inside
a bar counts for the whole bar, since the order is one of bars, and is said. Where the signs make no order
the bars are played straight through, and the reason is said.
"""

from collections.abc import Iterator, Sequence

from score.piece import Bar, ReadingWarning
from score.reading.roadmap import BarSigns, read_roadmap
from score.reading.xml_cursor import Element

LONGEST = 40
"""An order longer than this many times the written bars is refused as a mistake in the signs."""


class _LostError(Exception):
    """The signs make no order; says why, and at which bar."""

    def __init__(self, why: str, bar: int) -> None:
        super().__init__(why)
        self.why, self.bar = why, bar


def playing_order(root: Element, bars: Sequence[Bar]) -> tuple[tuple[int, ...], list[ReadingWarning]]:
    """Bar indices as performed, and what could not be taken as it stands.

    Args:
        root: a repaired `<score-partwise>`.
        bars: its bars.
    """
    return order_of(
        read_roadmap(root, [bar.length for bar in bars]), [bar.label or f"({bar.index + 1})" for bar in bars]
    )


def order_of(signs: Sequence[BarSigns], labels: Sequence[str]) -> tuple[tuple[int, ...], list[ReadingWarning]]:
    """The order that these signs make; `labels` name the bars in warnings."""
    said = [
        ReadingWarning("a repeat sign stands inside this bar; the whole bar is played each time", "", labels[index])
        for index, sign in enumerate(signs)
        if sign.backward_inside or sign.forward_inside
    ]
    said += _doubtful(signs, labels)
    try:
        return tuple(_Walk(signs).bars()), said
    except _LostError as lost:
        straight = f"no playing order could be made ({lost.why}); played straight through"
        return tuple(range(len(signs))), [*said, ReadingWarning(straight, "", labels[lost.bar])]


def _doubtful(signs: Sequence[BarSigns], labels: Sequence[str]) -> Iterator[ReadingWarning]:
    """Signs that can be read in two ways, and which way was taken."""
    begun: int | None = None
    for index, sign in enumerate(signs):
        if sign.forward and begun is not None:
            what = (
                f"a repeat begins inside the one from bar {labels[begun]}; each end was moved back to the nearest start"
            )
            yield ReadingWarning(what, "", labels[index])
        begun = None if sign.times else index if sign.forward else begun
        if sign.jump_moved:
            yield ReadingWarning(
                f"{sign.jump} stands at the first beat after this bar's double barline; it was taken at the barline",
                "",
                labels[index],
            )
    for group in dict.fromkeys(_ending_groups(signs).values()):
        if 1 not in group.numbers and group.first and signs[group.first - 1].times:
            what = f"ending {min(group.numbers)} has no ending 1 before it; it was played after the repeat"
            yield ReadingWarning(what, "", labels[group.first])


class _Walk:
    """A player's way through the signs."""

    def __init__(self, signs: Sequence[BarSigns]) -> None:
        self.signs = signs
        self.start = 0
        """Where the passage being played began."""
        self.time = 1
        """Which time it is being played, from 1."""
        self.jumped = False
        self.until = ""
        """After a jump: "fine", "coda", or "" where the jump says neither."""
        self.taken: set[int] = set()
        """Bars whose D.C. or D.S. has been followed."""
        self.done: set[int] = set()
        """Bars whose repeat has been played as often as it asks."""
        self.played: list[int] = []
        self.groups = _ending_groups(signs)

    def bars(self) -> list[int]:
        index = 0
        while index < len(self.signs):
            if len(self.played) > LONGEST * len(self.signs) + 64:
                raise _LostError("the signs lead in circles", index)
            index = self._step(index)
        return self.played

    def _step(self, index: int) -> int:
        sign = self.signs[index]
        turns_inside = sign.forward_inside and sign.times
        if sign.forward and index != self.start and not turns_inside:
            self.start, self.time = index, 1
        skip_to = self._skipped_ending(index)
        if skip_to is not None:
            return skip_to
        self.played.append(index)
        return self._after(index)

    def _after(self, index: int) -> int:
        sign = self.signs[index]
        if self.jumped:
            if sign.to_coda and self.until in ("", "coda"):
                return self._coda(index)
            if sign.fine and self.until in ("", "fine"):
                return len(self.signs)
        is_repeat = sign.times and not self.jumped and index not in self.done
        if is_repeat and self.time < self._times(index):
            self.time += 1
            return self.start
        if sign.jump and index not in self.taken:
            return self._jump(index)
        if self._ends_passage(index):
            # Done: a later repeat without a beginning of its own goes back to here.
            self.done.add(index)
            self.start, self.time = (index if sign.forward_inside else index + 1), 1
        return index + 1

    def _ends_passage(self, index: int) -> bool:
        group = self.groups.get(index)
        if group is not None:
            return index == group.last
        return bool(self.signs[index].times) and index not in self.done

    def _times(self, index: int) -> int:
        group = self.groups.get(index)
        if group is None:
            return self.signs[index].times
        # A first ending alone, or the first of several: as often as the brackets count.
        return max(2 if max(group.numbers) == 1 else max(group.numbers), 1)

    def _skipped_ending(self, index: int) -> int | None:
        """Where to go instead when this bar stands under an ending that is not this time's."""
        sign, group = self.signs[index], self.groups.get(index)
        if group is None:
            return None
        if 1 not in group.numbers and not self.jumped:
            if group.first and self.signs[group.first - 1].times:
                return None
            raise _LostError(f"ending {min(group.numbers)} has no ending 1 and no repeat before it", index)
        wanted = max(group.numbers) if self.jumped else self.time
        if wanted in sign.endings:
            return None
        if not self.jumped and index > group.first and self.played[-1:] == [index - 1]:
            raise _LostError("the ending before this bar ends without a repeat sign", index)
        return self._later_ending(index, group, wanted)

    def _later_ending(self, index: int, group: "_EndingGroup", wanted: int) -> int:
        for bar in range(index + 1, group.last + 1):
            if wanted in self.signs[bar].endings:
                return bar
        self.start, self.time = group.last + 1, 1
        return group.last + 1

    def _jump(self, index: int) -> int:
        sign = self.signs[index]
        self.taken.add(index)
        self.jumped, self.until = True, sign.al
        if sign.al == "fine" and not any(other.fine for other in self.signs):
            raise _LostError(f"{sign.jump} al Fine, and there is no Fine", index)
        if sign.al == "coda" and not any(other.to_coda for other in self.signs):
            raise _LostError(f"{sign.jump} al Coda, and nothing says where to leave for the coda", index)
        if sign.jump == "D.C.":
            return 0
        segnos = [bar for bar, other in enumerate(self.signs) if sign.segno in other.segnos and bar <= index]
        segnos = segnos or [bar for bar, other in enumerate(self.signs) if other.segnos and bar <= index]
        if not segnos:
            raise _LostError("D.S., and there is no segno before it", index)
        return segnos[-1]

    def _coda(self, index: int) -> int:
        names = self.signs[index].to_coda
        after = [bar for bar, other in enumerate(self.signs) if bar > index and other.codas]
        named = [bar for bar in after if names & self.signs[bar].codas]
        if not after:
            raise _LostError("to Coda, and there is no coda after it", index)
        # From the coda on the music goes to its end; nothing leaves for the coda again.
        self.until = "fine" if any(other.fine for other in self.signs[(named or after)[-1] :]) else "end"
        return (named or after)[-1]


class _EndingGroup:
    """Ending brackets that follow each other over one passage."""

    def __init__(self, first: int) -> None:
        self.first, self.last = first, first
        self.numbers: set[int] = set()


def _ending_groups(signs: Sequence[BarSigns]) -> dict[int, _EndingGroup]:
    """The group of each bar under a bracket; a bracket with the number 1 begins a new group."""
    groups: dict[int, _EndingGroup] = {}
    current: _EndingGroup | None = None
    for index, sign in enumerate(signs):
        if not sign.endings:
            current = None
            continue
        if current is None or (sign.ending_starts and 1 in sign.endings):
            current = _EndingGroup(index)
        current.last = index
        current.numbers |= sign.endings
        groups[index] = current
    return groups
