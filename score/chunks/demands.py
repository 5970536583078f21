"""What each chunk asks of each player and of the group, with one figure for own work and one for together work.

A figure is ``1 - exp(-sum(value / scale))`` over its measures: 0 where there is nothing to do, rising with every
measure and never quite 1, so that more of anything never makes a chunk look easier. A scale is the value that
would alone make a figure of 0.63; scales are common practice, no source, and stand in one table.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import exp

from score.activity.tune import tune_carriers
from score.activity.who_moves import activity
from score.chunks import demand_measures
from score.chunks.chunk import Chunk, ChunkDemands, ChunkEdits, Demand, DemandSide, PlayerDemands
from score.chunks.demand_measures import DemandValue, Scene
from score.piece import Piece
from score.places import bar_name
from score.time.pulse import tempo_map


@dataclass(frozen=True, slots=True)
class Measure:
    """One measure.

    Attributes:
        kind: its name in the outputs.
        unit: what its value counts.
        scale: value that alone would make a figure of 0.63.
        words: how a player would say it; ``{0}`` is the value, ``{1}`` the value in per cent, ``{s}`` a plural s.
    """

    kind: str
    unit: str
    scale: float
    words: str

    def said(self, value: float) -> str:
        """A value in words."""
        return self.words.format(value, 100 * value, s="" if round(value) == 1 else "s")


_CHANGES = "changes of tempo, meter, lead or dynamic"
OWN: Mapping[Measure, Callable[[Scene, int], DemandValue]] = {
    Measure("peak speed", "strokes a second", 14.0, words="up to {0:.1f} strokes a second"): demand_measures.peak_speed,
    Measure("mean speed", "strokes a second", 12.0, words="{0:.1f} strokes a second on average"): (
        demand_measures.mean_speed
    ),
    Measure(
        "largest leap", "semitones", 36.0, words="leaps of up to {0:.0f} semitone{s}"
    ): demand_measures.largest_leap,
    Measure("travel", "semitones a second", 60.0, words="{0:.1f} semitones a second along the bars"): (
        demand_measures.travel
    ),
    Measure("off the beat", "share of strokes", 3.0, words="{1:.0f} % of strokes off the beat"): (
        demand_measures.off_beat
    ),
    Measure("distance from the beat", "weighted note-to-beat distance", 14.0, words="syncopation {0:.1f}"): (
        demand_measures.beat_distance
    ),
}
TOGETHER: Mapping[Measure, Callable[[Scene], DemandValue]] = {
    Measure("cross rhythm", "share of bars", 0.6, words="cross rhythm in {1:.0f} % of bars"): demand_measures.crossing,
    Measure("interlocking", "share of bars", 1.0, words="interlocking in {1:.0f} % of bars"): (
        demand_measures.interlocking
    ),
    Measure("together after silence", "strokes", 4.0, words="{0:.0f} stroke{s} together after silence"): (
        demand_measures.strike_together
    ),
    Measure("changes", _CHANGES, 14.0, words="{0:.0f} change{s} of tempo, meter, lead or dynamic"): (
        demand_measures.changes
    ),
    Measure("sustained", "share of time without a stroke", 1.2, words="only held sounds for {1:.0f} % of the time"): (
        demand_measures.sustained
    ),
}


def demands(piece: Piece, chunks: Sequence[Chunk], edits: ChunkEdits | None = None) -> tuple[ChunkDemands, ...]:
    """What each chunk asks, in the chunks' order.

    Args:
        piece: the piece.
        chunks: its chunks.
        edits: the group's own leads and tempo.
    """
    facts, times = activity(piece), tempo_map(piece, edits.pulse if edits else None)
    carriers = tune_carriers(facts)
    spans = demand_measures.sounding(piece)
    leads = edits.leads if edits else ()
    return tuple(
        _of_chunk(Scene(piece, facts, times, carriers=carriers, sounding=spans, bars=chunk.bars), chunk, leads)
        for chunk in chunks
    )


def figure(values: Mapping[str, float], scales: Mapping[str, float]) -> float:
    """One figure from measures: ``1 - exp(-sum(value / scale))``, 0 to 1."""
    return 1 - exp(-sum(max(0.0, values[kind]) / scales[kind] for kind in values))


def own_scales() -> dict[str, float]:
    """Scale of each measure of own work."""
    return {measure.kind: measure.scale for measure in OWN}


def together_scales() -> dict[str, float]:
    """Scale of each measure of together work."""
    return {measure.kind: measure.scale for measure in TOGETHER}


def _of_chunk(scene: Scene, chunk: Chunk, leads: Sequence[tuple[range, int]]) -> ChunkDemands:
    players = tuple(_of_player(scene, row) for row in range(len(scene.facts.players)))
    measured = {measure: take(scene) for measure, take in TOGETHER.items()}
    together = figure({m.kind: f.value for m, f in measured.items()}, together_scales())
    group = _telling(scene.piece, DemandSide.TOGETHER, measured)
    leader, lead = _leader(scene, leads)
    needed = tuple(
        number
        for row, number in enumerate(scene.facts.players)
        if any(scene.facts.rows[row][b].onsets for b in scene.bars)
    )
    return ChunkDemands(chunk.index, players, group, together=together, leader=leader, lead=lead, needed=needed)


def _of_player(scene: Scene, row: int) -> PlayerDemands:
    measured = {measure: take(scene, row) for measure, take in OWN.items()}
    own = figure({m.kind: f.value for m, f in measured.items()}, own_scales())
    return PlayerDemands(scene.facts.players[row], _telling(scene.piece, DemandSide.OWN, measured), own)


def _telling(piece: Piece, side: DemandSide, measured: Mapping[Measure, DemandValue]) -> tuple[Demand, ...]:
    weighed = [
        (
            value.value / measure.scale,
            Demand(measure.kind, side, value.value, unit=measure.unit, bar=value.bar, text=text),
        )
        for measure, value in measured.items()
        if value.value > 0
        for text in [_words(piece, measure, value)]
    ]
    return tuple(demand for _, demand in sorted(weighed, key=lambda pair: -pair[0]))


def _words(piece: Piece, measure: Measure, value: DemandValue) -> str:
    note = f" ({value.note})" if value.note else ""
    return f"{measure.said(value.value)}{note}, most in bar {bar_name(piece, value.bar)}"


def _leader(scene: Scene, leads: Sequence[tuple[range, int]]) -> tuple[int | None, str]:
    """Who leads and why: the group's word, the player with the tune, or the one who moves first."""
    for bars, number in leads:
        if set(bars) & set(scene.bars):
            return number, "the group says so"
    counts: dict[int, int] = {}
    for bar in scene.bars:
        row = scene.carriers[bar]
        if row is not None:
            counts[row] = counts.get(row, 0) + 1
    if counts:
        row = max(counts, key=lambda r: (counts[r], -r))
        if counts[row] >= len(scene.bars) / 3:
            return scene.facts.players[row], f"has the tune in {counts[row]} of {len(scene.bars)} bars"
    firsts = [(places[0][1], row) for row in range(len(scene.facts.rows)) if (places := scene.onsets(row))]
    first = [row for at, row in firsts if at == min(firsts)[0]]
    if len(first) == 1:
        return scene.facts.players[first[0]], "moves first"
    return None, ""
