"""What was really done in a rehearsal, from its recording: what was played how often and how long, where it broke off.

Joined with the plan and with what the group has tried and not settled, and written as Markdown. It proposes; what is
ready, the group says.
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

from score.chunks.chunk import Chunk
from score.piece import Piece
from score.places import bar_name, bars_words
from score.recording.bar_tempi import bar_tempi
from score.recording.heard_bars import HeardBar, HeardRecording
from score.recording.recording_summary import clock, stretch_name, stretches

_THROUGH = 0.9
_LEAST_BARS, _LEAST_SHARE = 2, 0.25
"""Bars of a chunk that must be played in one go, or their share, for it to count: a run may reach a bar too far."""
_STEADY = 2
"""Times a chunk must have been played through, since it last broke off, for its readiness to be proposed."""


class Going(NamedTuple):
    """Once into a chunk.

    Attributes:
        bars: indices of its bars that were played, in order.
        seconds: they took.
        broke: index of the bar in which it broke off, None where it went on or ended with the chunk.
        share: of the written tempo; None where every bar is in doubt.
    """

    bars: tuple[int, ...]
    seconds: float
    broke: int | None
    share: float | None


class ChunkWork(NamedTuple):
    """What was done with a chunk.

    Attributes:
        name: of the chunk.
        bars: its bars.
        goings: in order.
        minutes: of its bars as played, and of the talk before them.
    """

    name: str
    bars: range
    goings: tuple[Going, ...]
    minutes: float

    @property
    def broke(self) -> tuple[int, ...]:
        """Indices of the bars in which it broke off, in order."""
        return tuple(going.broke for going in self.goings if going.broke is not None)

    @property
    def through(self) -> int:
        """How often it was played through."""
        return sum(self.is_through(going) for going in self.goings)

    @property
    def times(self) -> float:
        """How often each of its bars was played, on the mean."""
        return sum(len(going.bars) for going in self.goings) / len(self.bars)

    def is_through(self, going: Going) -> bool:
        """Whether a going is the whole chunk."""
        return len(set(going.bars)) >= _THROUGH * len(self.bars)

    @property
    def since(self) -> tuple[Going, ...]:
        """The times through since it last broke off."""
        last = max((at for at, going in enumerate(self.goings) if going.broke is not None), default=-1)
        return tuple(going for going in self.goings[last + 1 :] if self.is_through(going))


def chunk_work(piece: Piece, heard: HeardRecording, chunks: Sequence[Chunk]) -> tuple[ChunkWork, ...]:
    """What was done with each chunk, in the order of the piece."""
    runs = list(stretches(heard))
    broke = _broken_off(piece, runs, {chunk.last for chunk in chunks})
    talk = _talk(runs)
    shares = {(each.bar, each.turn): each.share for each in bar_tempi(piece, heard)}
    rows = []
    for chunk in chunks:
        goings, between = [], 0.0
        for run, end, before in zip(runs, broke, talk, strict=True):
            inside = [bar for bar in run if bar.bar in chunk.bars]
            if not _counts(len(inside), chunk):
                continue
            paces = [share for bar in inside if (share := shares[bar.bar, bar.turn]) is not None]
            goings.append(
                Going(
                    tuple(bar.bar for bar in inside),
                    sum(bar.end - bar.start for bar in inside),
                    end if end in chunk.bars else None,
                    share=sum(paces) / len(paces) if paces else None,
                )
            )
            between += before if _first_chunk(run, chunks) == chunk.name else 0.0
        minutes = (sum(going.seconds for going in goings) + between) / 60
        rows.append(ChunkWork(chunk.name, chunk.bars, tuple(goings), minutes=minutes))
    return tuple(rows)


def _counts(played: int, chunk: Chunk) -> bool:
    """Whether so many bars of a chunk, played in one go, are more than a run that reached too far."""
    return played >= min(_LEAST_BARS, len(chunk.bars)) or played >= max(1.0, _LEAST_SHARE * len(chunk.bars))


def _first_chunk(run: Sequence[HeardBar], chunks: Sequence[Chunk]) -> str:
    """The chunk a run was begun for."""
    counted = (chunk.name for chunk in chunks if _counts(sum(bar.bar in chunk.bars for bar in run), chunk))
    return next(counted, "")


def _broken_off(piece: Piece, runs: Sequence[Sequence[HeardBar]], ends: set[int]) -> tuple[int | None, ...]:
    """For each run the bar it broke off in: not where a chunk or the piece ends, nor where music follows at once."""
    ends = ends | {piece.playing_order[-1]}
    broke: list[int | None] = []
    for run, following in zip(runs, [*runs[1:], None], strict=True):
        waits = following is None or following[0].start - run[-1].end > 1.0
        broke.append(run[-1].bar if waits and run[-1].bar not in ends else None)
    return tuple(broke)


def _talk(runs: Sequence[Sequence[HeardBar]]) -> tuple[float, ...]:
    """Seconds between the run before and each run; they belong to what was then played."""
    return (0.0, *(max(0.0, run[0].start - before[-1].end) for before, run in pairwise(runs)))


def joins_touched(heard: HeardRecording, chunks: Sequence[Chunk]) -> tuple[tuple[str, bool], ...]:
    """(name of a join, whether it was played across) of every two neighbours."""
    runs = [[bar.bar for bar in run] for run in stretches(heard)]
    return tuple(
        (f"{before.name} | {after.name}", any(_is_across(run, before, after) for run in runs))
        for before, after in pairwise(chunks)
    )


def _is_across(run: Sequence[int], before: Chunk, after: Chunk) -> bool:
    sides = [sum(bar in chunk.bars for bar in run) for chunk in (before, after)]
    meets = any(pair == (before.last, after.first) for pair in pairwise(run))
    return meets and all(_counts(count, chunk) for count, chunk in zip(sides, (before, after), strict=True))


def protocol_of_recording(
    piece: Piece,
    heard: HeardRecording,
    chunks: Sequence[Chunk],
    planned: Mapping[str, int],
    tried: Sequence[str] = (),
    at_tempo: float = 0.95,
) -> str:
    """The protocol as Markdown.

    Args:
        piece: the piece.
        heard: the recording of a rehearsal.
        chunks: the piece's chunks.
        planned: name of a chunk or join ("C | D") to its minutes in the plan; empty where there is none.
        tried: what the group has tried in this piece and not settled, a line each.
        at_tempo: share of the written tempo from which on a chunk is at tempo.
    """
    work = chunk_work(piece, heard, chunks)
    lines = [f"# {piece.title}: what was rehearsed", "", _whole(piece, heard), "", "## Worked on", ""]
    lines += [f"- {_line(piece, each, planned.get(each.name))}" for each in work if each.goings]
    joins = joins_touched(heard, chunks)
    left = [*(each.name for each in work if not each.goings), *(name for name, was in joins if not was)]
    for heading, entries in (
        ("Joins played across", [f"{name}{_planned(planned.get(name))}" for name, was in joins if was]),
        ("Not touched", list(_untouched(left, planned))),
        ("Played in this order", list(_order(piece, heard))),
        ("Proposed", list(_proposed(piece, work, at_tempo))),
        ("Left open", list(tried)),
    ):
        lines += ["", f"## {heading}", "", *(f"- {entry}" for entry in entries)] if entries else []
    return "\n".join(lines) + "\n"


def _whole(piece: Piece, heard: HeardRecording) -> str:
    played = sum(bar.end - bar.start for bar in heard.bars)
    doubtful = sum(bool(bar.doubt) for bar in heard.bars)
    doubt = f" {doubtful} of {len(heard.bars)} bars are in doubt." if doubtful else ""
    return f"{clock(heard.seconds)} recorded, {clock(played)} of it music.{doubt}"


def _line(piece: Piece, work: ChunkWork, planned: int | None) -> str:
    name = f"{work.name} ({bars_words(piece, work.bars)})"
    minutes = f"{work.minutes:.0f}" if work.minutes >= 1 else "under 1"
    plan = f"planned {planned} min, worked {minutes}" if planned is not None else f"{minutes} min"
    through = f"{_times(work.through)} through"
    broke = ""
    if work.broke:
        bars = ", ".join(dict.fromkeys(bar_name(piece, bar) for bar in work.broke))
        broke = f"; broke off in {'bars' if len(set(work.broke)) > 1 else 'bar'} {bars}"
    return f"{name}: {plan}; {through}, each bar {work.times:.1f} times{broke}"


def _times(count: int) -> str:
    return {0: "never", 1: "once", 2: "twice"}.get(count, f"{count} times")


def _planned(minutes: int | None) -> str:
    return f" (planned {minutes} min)" if minutes is not None else ""


def _untouched(left: Sequence[str], planned: Mapping[str, int]) -> Iterator[str]:
    """What was planned, each with its minutes, then the rest in one line."""
    for name in left:
        if name in planned:
            yield f"{'join ' if ' | ' in name else ''}{name}{_planned(planned[name])}"
    others = [name for name in left if name not in planned]
    if others:
        yield f"{'not planned either: ' if planned else ''}{', '.join(others)}"


def _order(piece: Piece, heard: HeardRecording) -> Iterator[str]:
    for run in stretches(heard):
        yield f"{clock(run[0].start)}  {stretch_name(piece, run)}"


def _proposed(piece: Piece, work: Sequence[ChunkWork], at_tempo: float) -> Iterator[str]:
    """What the figures suggest; nothing is settled by them."""
    for each in work:
        again = sorted({bar for bar in each.broke if each.broke.count(bar) > 1})
        bars = f"bar{'s' if len(again) > 1 else ''} {', '.join(bar_name(piece, bar) for bar in again)}"
        if len(each.since) >= _STEADY:
            times = _times(len(each.since))
            share = each.since[-1].share
            tempo = "" if share is None else f", at {100 * share:.0f} % of the written tempo the last time"
            readiness = "at tempo" if share is None or share >= at_tempo else "under tempo"
            yield f"{each.name}: {readiness}? Played through {times} without a break{tempo}"
        elif again:
            yield f"{each.name}: open; it broke off more than once in {bars}"
