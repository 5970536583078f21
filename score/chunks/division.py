"""The best division of a piece into chunks, found exactly."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import inf

from score.beats import Place
from score.chunks.chunk import Chunk, ChunkEdits, ChunkOptions, Division
from score.chunks.recurrence import recurrences
from score.chunks.rules import Facts, facts_of, strength
from score.errors import RequestError
from score.piece import Piece, SpanKind, StrokeKind
from score.places import bar_name, bars_name, bars_words
from score.time.pulse import PulseOptions, tempo_map

# A boundary has to be this strong to pay for itself; outside the wished lengths a chunk costs more the
# farther it is off; a cut through something that sounds on is taken only where there is no other way.
BOUNDARY, LENGTH, CUT = 4.0, 14.0, 30.0


@dataclass(frozen=True, slots=True)
class Lines:
    """What the search knows of the bar lines.

    Attributes:
        strengths: how strongly the score divides before each bar.
        cuts: at how many players' ties, rolls, slurs or tuplets a line before each bar would cut.
        starts: seconds at which each bar begins, and the end.
    """

    strengths: tuple[float, ...]
    cuts: tuple[int, ...]
    starts: tuple[float, ...]


def divide(piece: Piece, options: ChunkOptions | None = None, edits: ChunkEdits | None = None) -> tuple[Chunk, ...]:
    """The chunks of a piece, in score order.

    Args:
        piece: the piece.
        options: how long chunks should be.
        edits: what the group has decided; the rest stays the best there is.

    Raises:
        RequestError: the lengths cannot be.
    """
    options, edits = options or ChunkOptions(), edits or ChunkEdits()
    if not 0 < options.shortest <= options.longest:
        raise RequestError(
            "Lengths of chunks", f"{options.shortest:g} to {options.longest:g} s", "try 20 to 45 seconds"
        )
    facts = facts_of(piece)
    begins = best_begins(lines_of(facts, edits.pulse), options, edits)
    return _named(facts, begins, edits)


def lines_of(facts: Facts, pulse: PulseOptions | None = None) -> Lines:
    """What the search knows of a piece's bar lines, at the group's tempo."""
    piece = facts.piece
    times = tempo_map(piece, pulse)
    starts = [times.seconds(bar.start) for bar in piece.bars]
    return Lines(
        (0.0, *(strength(facts, bar)[0] for bar in range(1, len(piece.bars)))),
        tuple(cuts_at(piece)),
        (*starts, times.seconds(piece.length)),
    )


def best_begins(lines: Lines, options: ChunkOptions, edits: ChunkEdits) -> tuple[int, ...]:
    """First bars of the best chunks, by dynamic programming over bar lines."""
    count = len(lines.strengths)
    best: list[tuple[float, int]] = [(0.0, -1)] + [(inf, -1)] * count
    for end in range(1, count + 1):
        for begin in range(end - 1, -1, -1):
            total = best[begin][0] + chunk_cost(lines, options, edits, begin, end)
            if total < best[end][0]:
                best[end] = total, begin
            # No chunk goes past a line at which one must begin, nor grows without end.
            if begin in edits.begins or lines.starts[end] - lines.starts[begin] > 12 * options.longest:
                break
    begins = []
    at = count
    while at > 0:
        at = best[at][1]
        begins.append(at)
    return tuple(reversed(begins))


def chunk_cost(lines: Lines, options: ChunkOptions, edits: ChunkEdits, begin: int, end: int) -> float:
    """Cost of one chunk: its length, and the line it begins at. Infinite where the group's wish forbids it."""
    if any(begin < bar < end for bar in edits.begins):
        return inf
    if begin and begin in edits.joined and begin not in edits.begins:
        return inf
    line = 0.0
    if begin and begin not in edits.begins:
        line = BOUNDARY - lines.strengths[begin] + CUT * lines.cuts[begin]
    return line + _length_cost(lines.starts[end] - lines.starts[begin], options)


def _length_cost(seconds: float, options: ChunkOptions) -> float:
    if seconds < options.shortest:
        return LENGTH * ((options.shortest - seconds) / options.shortest) ** 2
    if seconds > options.longest:
        return LENGTH * ((seconds - options.longest) / options.longest) ** 2
    return 0.0


def cuts_at(piece: Piece) -> list[int]:
    """For each bar, how many players have something that a chunk beginning there would cut through."""
    cut_by: list[set[int]] = [set() for _ in piece.bars]
    for player in piece.players:
        for stroke in player.strokes:
            for bar in stroke.bars[1:]:
                cut_by[bar].add(player.number)
            if stroke.kind is StrokeKind.ROLL and stroke.place.at + stroke.length > piece.bars[stroke.bar].length:
                cut_by[min(stroke.bar + 1, len(cut_by) - 1)].add(player.number)
        for span in player.spans:
            if span.kind is SpanKind.SLUR:
                for bar in range(span.start.bar + 1, span.end.bar + (span.end.at > 0)):
                    cut_by[min(bar, len(cut_by) - 1)].add(player.number)
    return [len(players) for players in cut_by]


def _named(facts: Facts, begins: Sequence[int], edits: ChunkEdits) -> tuple[Chunk, ...]:
    piece = facts.piece
    times = tempo_map(piece, edits.pulse)
    ends = [*begins[1:], len(piece.bars)]
    chunks = []
    for index, (first, end) in enumerate(zip(begins, ends, strict=True)):
        bars = range(first, end)
        last = piece.bars[end - 1]
        seconds = times.seconds(last.start + last.length) - times.seconds(piece.bars[first].start)
        asked = first in edits.begins
        because = strength(facts, first)[1] if first else ()
        if asked:
            because = (Division("asked for", "the group asked for it", 0.0), *because)
        name = chunk_name(piece, bars)
        chunks.append(
            Chunk(
                index,
                first,
                end - 1,
                start=pickup(facts, first),
                name=name,
                seconds=seconds,
                because=because,
                asked=asked,
            )
        )
    same = recurrences(piece, [chunk.bars for chunk in chunks])
    return tuple(
        chunk if earlier is None else replace(chunk, same_first=earlier[0], sameness=earlier[1])
        for chunk, earlier in zip(chunks, same, strict=True)
    )


def chunk_name(piece: Piece, bars: range) -> str:
    """The rehearsal mark a run of bars begins with, or how many bars after one it begins ("C+8"), or its bars."""
    for bar in range(bars[0], -1, -1):
        mark = piece.bars[bar].rehearsal_mark
        if mark:
            return mark if bar == bars[0] else f"{mark}+{bars[0] - bar}"
    return bars_name(piece, bars)


def pickup(facts: Facts, first: int) -> Place:
    """Where playing a chunk begins: at its first bar, or with the notes that lead into it.

    A pickup is what one or more players who play on begin in the last half of the bar before, after having
    rested there, while nobody else strikes.
    """
    plain = Place(first, Fraction(0))
    if first == 0:
        return plain
    length = facts.piece.bars[first - 1].length
    starts = []
    for row in facts.activity.rows:
        here = row[first - 1]
        late = [at for at in here.onsets if at >= length / 2]
        if len(late) != len(here.onsets) or (late and here.held_until > 0):
            if here.onsets and here.until > length / 2:
                return plain  # somebody plays on through the bar before
            continue
        if late and row[first].onsets:
            starts.append(late[0])
    return Place(first - 1, min(starts)) if starts else plain


def where(piece: Piece, chunk: Chunk) -> str:
    """A chunk's bars as a player would call them, with the beat of a pickup."""
    text = bars_words(piece, chunk.bars)
    return text if chunk.start.bar == chunk.first else f"{text}, from the pickup in {bar_name(piece, chunk.start.bar)}"
