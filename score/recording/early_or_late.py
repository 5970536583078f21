"""Who is early or late in a recording of everybody, where the players' strokes can be told apart; silence elsewhere."""

from collections import defaultdict
from collections.abc import Iterator
from itertools import groupby
from typing import NamedTuple

from score.piece import Piece
from score.recording.heard_bars import HeardNote, HeardRecording
from score.strokes.timing_figures import LEAST_FOR_MEAN, LEAST_FOR_SPREAD, Figure, mean_figure, spread

LEAST_SAID_MS = 8.0
"""Milliseconds under which nobody is called early or late: instruments show a blow some milliseconds apart."""
DISTANCE = "A microphone hears whoever stands a metre farther off 3 ms later."


class PlayerWhen(NamedTuple):
    """A player against the others who struck at the same moments.

    Attributes:
        player: number.
        strokes: how many could be told apart from the others'.
        later: how much later than the others, milliseconds, negative is earlier; None under 30 strokes.
        spread_ms: standard deviation of that; None under 16.
    """

    player: int
    strokes: int
    later: Figure | None
    spread_ms: float | None

    @property
    def is_off(self) -> bool:
        """Whether the player is surely early or late, by more than instruments alone would show."""
        return self.later is not None and abs(self.later.mean) > max(LEAST_SAID_MS, self.later.half)


def early_or_late(piece: Piece, heard: HeardRecording) -> tuple[PlayerWhen, ...]:
    """Every player of the piece, in their order."""
    offsets: dict[int, list[float]] = defaultdict(list)
    for moment in _moments(heard):
        for note in moment:
            others = [other.seconds for other in moment if other.player != note.player]
            offsets[note.player].append(1000 * (note.seconds - sum(others) / len(others)))
    return tuple(_when(player.number, offsets[player.number]) for player in piece.players)


def _moments(heard: HeardRecording) -> Iterator[list[HeardNote]]:
    for _, notes in groupby(heard.apart, key=lambda note: (note.bar, note.turn, note.at)):
        moment = list(notes)
        if len(moment) > 1:
            yield moment


def _when(player: int, offsets: list[float]) -> PlayerWhen:
    return PlayerWhen(
        player,
        len(offsets),
        later=mean_figure(offsets) if len(offsets) >= LEAST_FOR_MEAN else None,
        spread_ms=spread(offsets) if len(offsets) >= LEAST_FOR_SPREAD else None,
    )


def early_or_late_lines(piece: Piece, players: tuple[PlayerWhen, ...]) -> list[str]:
    """What is to be said of each player, and what a microphone adds."""
    lines = [f"  {piece.player(each.player).name}: {_words(each)}" for each in players]
    return [*lines, f"  {DISTANCE}"] if any(each.later is not None for each in players) else lines


def _words(when: PlayerWhen) -> str:
    strokes = f"{when.strokes} stroke{'' if when.strokes == 1 else 's'}"
    if when.later is None:
        return f"cannot be told, {strokes if when.strokes else 'no stroke'} of theirs stand apart from the others'"
    if not when.is_off:
        return f"with the others, over {strokes}"
    side = "behind" if when.later.mean > 0 else "ahead of"
    return f"{abs(when.later.mean):.0f} ± {when.later.half:.0f} ms {side} the others, over {strokes}"


def early_or_late_json(players: tuple[PlayerWhen, ...]) -> list[dict[str, object]]:
    """A player each: `player`, `strokes`, `later_ms`, `later_ms_interval` (95 %), `spread_ms`; null where too few."""
    return [
        {
            "player": each.player,
            "strokes": each.strokes,
            "later_ms": None if each.later is None else round(each.later.mean, 1),
            "later_ms_interval": None if each.later is None else [round(end, 1) for end in each.later.interval],
            "spread_ms": None if each.spread_ms is None else round(each.spread_ms, 1),
        }
        for each in players
    ]
