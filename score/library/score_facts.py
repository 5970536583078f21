"""What the library keeps of a score: enough to choose by, small enough to have a thousand of them at hand."""

from collections import Counter
from collections.abc import Iterator
from typing import NamedTuple

from score.chunks.chunk import Chunk, ChunkDemands
from score.chunks.demands import demands
from score.chunks.division import divide
from score.chunks.from_group import chunk_edits
from score.group.group_file import Group
from score.piece import Piece, Player
from score.reading.score_summary import played_seconds
from score.setup.bar_geometry import smallest_marimba
from score.setup.check_inputs import CheckInputs, check_inputs
from score.setup.fittings import fitting
from score.setup.gear_list import Gear, gear_of
from score.setup.kit_layout import kind_of, sets_of
from score.setup.percussion_players import checked, plays_percussion

MARIMBA = "marimba"
_STRIKERS = ("mallets", "bow")


class PartFacts(NamedTuple):
    """One player's part.

    Attributes:
        number: of the player.
        name: as printed.
        kinds: keys of the instruments; printed names of those the table does not have.
        own: what it asks alone, 0 to 1: the mean over the chunks, weighted by their seconds.
    """

    number: int
    name: str
    kinds: tuple[str, ...]
    own: float


class ScoreFacts(NamedTuple):
    """A score as the library knows it.

    Attributes:
        title: as printed, or the file's stem.
        seconds: how long it lasts at its own tempi, repeats included.
        bars: how many are written.
        parts: in order of their players' numbers.
        needs: how many of each instrument must stand there, by key; pieces of a set (toms, wood blocks) singly, what
            players share once.
        low, high: lowest and highest sounding MIDI number on a marimba; None without one.
        octaves: of the smallest marimba that has them ("4.3"); "" without one, or where none is as low.
        strikers: mallets, sticks, beaters and bows by name.
        together: what it asks of the group together, 0 to 1, weighted as `own`.
        warnings: of reading, one line each.
    """

    title: str
    seconds: float
    bars: int
    parts: tuple[PartFacts, ...]
    needs: dict[str, int]
    low: int | None
    high: int | None
    octaves: str
    strikers: tuple[str, ...]
    together: float
    warnings: tuple[str, ...] = ()

    @property
    def own(self) -> float:
        """What the hardest part asks alone, 0 to 1."""
        return max((part.own for part in self.parts), default=0.0)


def score_facts(piece: Piece, group: Group) -> ScoreFacts:
    """What a piece needs and asks.

    Args:
        piece: the piece.
        group: the group's file beside the score, for what is shared and how it is divided.

    Raises:
        GroupFileError: a wish of the group that cannot be used.
    """
    inputs = checked(check_inputs(piece, group))
    gear = gear_of(inputs.piece, group, inputs.shares, inputs.fittings)
    edits = chunk_edits(group, piece)
    chunks = divide(piece, edits=edits)
    asked = demands(piece, chunks, edits)
    struck = [pitch for player in inputs.piece.players for pitch in _on_marimba(player)]
    return ScoreFacts(
        piece.title,
        round(played_seconds(piece), 1),
        bars=len(piece.bars),
        parts=tuple(_part(player, row, chunks, asked) for row, player in enumerate(piece.players)),
        needs=_needs(piece, inputs, gear),
        low=min(struck, default=None),
        high=max(struck, default=None),
        octaves=smallest_marimba(min(struck)) if struck else "",
        strikers=tuple(dict.fromkeys(item.what for item in gear if item.kind in _STRIKERS)),
        together=_mean([chunk.seconds for chunk in chunks], [each.together for each in asked]),
        warnings=tuple(warning.line for warning in piece.warnings),
    )


def _needs(piece: Piece, inputs: CheckInputs, gear: tuple[Gear, ...]) -> dict[str, int]:
    """How many of each instrument; what is no percussion is brought by whoever plays it."""
    needs: Counter[str] = Counter()
    for item in gear:
        if item.kind == "instrument":
            several = fitting(inputs.fittings, item.key).several
            sets = sets_of(inputs.piece.player(item.players[0]), inputs.fittings)
            needs[item.key] += len(sets[item.key].members) if several else 1
    for player in piece.players:
        if not plays_percussion(player):
            needs.update(_kinds(player).keys())
    return dict(needs)


def _part(player: Player, row: int, chunks: tuple[Chunk, ...], asked: tuple[ChunkDemands, ...]) -> PartFacts:
    own = _mean([chunk.seconds for chunk in chunks], [each.players[row].own for each in asked])
    return PartFacts(player.number, player.name, tuple(_kinds(player)), own=own)


def _kinds(player: Player) -> dict[str, None]:
    return dict.fromkeys(kind_of(instrument) for instrument in player.instruments)


def _mean(weights: list[float], values: list[float]) -> float:
    total = sum(weights)
    pairs = zip(weights, values, strict=True)
    return round(sum(weight * value for weight, value in pairs) / total, 3) if total else 0.0


def _on_marimba(player: Player) -> Iterator[int]:
    for stroke in player.strokes:
        if kind_of(player.instruments[stroke.instrument]) == MARIMBA:
            yield from (round(pitch) for pitch in stroke.pitches)
