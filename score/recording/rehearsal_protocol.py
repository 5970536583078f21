"""What a rehearsal really was, from its recording: what was played how often and how long, where it broke off.

Joined with the plan where there is one, and written as Markdown. It proposes; what is ready, the group says.
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

from score.chunks.chunk import Chunk
from score.piece import Piece
from score.places import bar_name, bars_name
from score.recording.heard_bars import HeardBar, HeardRecording
from score.recording.recording_summary import clock, stretches

_THROUGH = 0.9
_STEADY = 3
"""Times a chunk must have been played through before it is proposed as ready for the next tempo."""


class ChunkWork(NamedTuple):
    """What was done with a chunk.

    Attributes:
        name: of the chunk.
        bars: its bars.
        through: how often it was played through.
        times: how often each of its bars was played, on the mean.
        minutes: from its bars, played, and the talk between them.
        broke: indices of its bars in which it broke off, in order.
    """

    name: str
    bars: range
    through: int
    times: float
    minutes: float
    broke: tuple[int, ...]


def chunk_work(piece: Piece, heard: HeardRecording, chunks: Sequence[Chunk]) -> tuple[ChunkWork, ...]:
    """What was done with each chunk, in the order of the piece."""
    runs = list(stretches(heard))
    ends = _broken_off(piece, runs)
    talk = _talk(runs)
    rows = []
    for chunk in chunks:
        inside = [[bar for bar in run if bar.bar in chunk.bars] for run in runs]
        count = len(chunk.bars)
        seconds = sum(bar.end - bar.start for run in inside for bar in run)
        between = sum(talk[index] for index, run in enumerate(runs) if run[0].bar in chunk.bars)
        rows.append(
            ChunkWork(
                chunk.name,
                range(chunk.first, chunk.last + 1),
                through=sum(len({bar.bar for bar in run}) >= _THROUGH * count for run in inside),
                times=sum(map(len, inside)) / count,
                minutes=(seconds + between) / 60,
                broke=tuple(bar for bar in ends if bar in chunk.bars),
            )
        )
    return tuple(rows)


def _broken_off(piece: Piece, runs: Sequence[Sequence[HeardBar]]) -> tuple[int, ...]:
    """The last bar of each run that ends before the piece does and is followed by something else than music."""
    last = piece.playing_order[-1]
    ends = []
    for run, following in zip(runs, [*runs[1:], None], strict=True):
        waits = following is None or following[0].start - run[-1].end > 1.0
        if run[-1].bar != last and waits:
            ends.append(run[-1].bar)
    return tuple(ends)


def _talk(runs: Sequence[Sequence[HeardBar]]) -> tuple[float, ...]:
    """Seconds between the run before and each run; they belong to what was then played."""
    return (0.0, *(max(0.0, run[0].start - before[-1].end) for before, run in pairwise(runs)))


def joins_touched(heard: HeardRecording, chunks: Sequence[Chunk]) -> tuple[tuple[str, bool], ...]:
    """(name of a join, whether it was played across) of every two neighbours."""
    crossed = {(run[i].bar, run[i + 1].bar) for run in stretches(heard) for i in range(len(run) - 1)}
    return tuple(
        (f"{before.name} | {after.name}", (before.last, after.first) in crossed) for before, after in pairwise(chunks)
    )


def protocol_of_recording(
    piece: Piece, heard: HeardRecording, chunks: Sequence[Chunk], planned: Mapping[str, int]
) -> str:
    """The protocol as Markdown.

    Args:
        piece: the piece.
        heard: the recording of a rehearsal.
        chunks: the piece's chunks.
        planned: name of a chunk or join ("C | D") to its minutes in the plan; empty where there is none.
    """
    work = chunk_work(piece, heard, chunks)
    lines = [f"# {piece.title}: what was rehearsed", "", _whole(piece, heard), "", "## Worked on", ""]
    lines += [f"- {_line(piece, each, planned.get(each.name))}" for each in work if each.times > 0]
    joins = joins_touched(heard, chunks)
    left = [each.name for each in work if each.times == 0]
    for heading, entries in (
        ("Joins played across", [name for name, was in joins if was]),
        ("Not touched", [*(f"{name}{_planned(planned.get(name))}" for name in left), *_open_joins(joins, planned)]),
        ("Played in this order", list(_order(piece, heard))),
        ("Proposed", list(_proposed(piece, work))),
    ):
        lines += ["", f"## {heading}", "", *(f"- {entry}" for entry in entries)] if entries else []
    return "\n".join(lines) + "\n"


def _whole(piece: Piece, heard: HeardRecording) -> str:
    played = sum(bar.end - bar.start for bar in heard.bars)
    doubtful = sum(bool(bar.doubt) for bar in heard.bars)
    doubt = f" {doubtful} of {len(heard.bars)} bars are in doubt." if doubtful else ""
    return f"{clock(heard.seconds)} recorded, {clock(played)} of it music.{doubt}"


def _line(piece: Piece, work: ChunkWork, planned: int | None) -> str:
    name = f"{work.name} (bars {bars_name(piece, work.bars)})"
    plan = f"planned {planned} min, worked {work.minutes:.0f}" if planned is not None else f"{work.minutes:.0f} min"
    through = f"{work.through} times through" if work.through != 1 else "once through"
    broke = ""
    if work.broke:
        bars = ", ".join(dict.fromkeys(bar_name(piece, bar) for bar in work.broke))
        broke = f"; broke off in {'bars' if len(set(work.broke)) > 1 else 'bar'} {bars}"
    return f"{name}: {plan}; {through}, each bar {work.times:.1f} times{broke}"


def _planned(minutes: int | None) -> str:
    return f" (planned {minutes} min)" if minutes is not None else ""


def _open_joins(joins: Sequence[tuple[str, bool]], planned: Mapping[str, int]) -> list[str]:
    return [f"join {name}{_planned(planned.get(name))}" for name, was in joins if not was]


def _order(piece: Piece, heard: HeardRecording) -> Iterator[str]:
    for run in stretches(heard):
        first, last = bar_name(piece, run[0].bar), bar_name(piece, run[-1].bar)
        yield (
            f"{clock(run[0].start)}  bars {first} to {last}" if first != last else f"{clock(run[0].start)}  bar {first}"
        )


def _proposed(piece: Piece, work: Sequence[ChunkWork]) -> Iterator[str]:
    """What the figures suggest; nothing is settled by them."""
    for each in work:
        again = sorted({bar for bar in each.broke if each.broke.count(bar) > 1})
        if again:
            bars = ", ".join(bar_name(piece, bar) for bar in again)
            yield f"{each.name}: open, it broke off more than once in bar {bars}"
        elif each.through >= _STEADY and not each.broke:
            yield f"{each.name}: played through {each.through} times without a break; ready for the next tempo?"
