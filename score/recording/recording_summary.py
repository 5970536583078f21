"""What was heard in a recording, for a musician to check, for a spreadsheet and for programs.

JSON, keys that stay: `begins`, `ends` (seconds in the recording at which the music begins and ends), `tuning_cents`
(how far from A = 440 Hz), `order` (indices of bars, from 0, as they were played), `bars`, each with `index` (from 0),
`pass` (which time that bar is played in this recording, from 1), `start` (seconds), `sure` (0 to 1; doubtful below 0.5)
and `doubt` (why, in words; empty where it is sure), `onsets`, each with `bar` (index), `pass`, `at` (quarters from
the bar's beginning as a fraction, "3/2") and `seconds`, and `players`, each with `player` (number), `strokes` (how many
could be told apart from the others' at the same moments), `later_ms` (than the others on the mean; below 0 earlier),
`later_ms_interval` (95 %) and `spread_ms`, null where the strokes are too few. Where other recordings stand beside it
there is `beside` too, each with `file`, `different` and `bars` as `comparison.comparison_json` says.
"""

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby

from score.beats import quarters_text
from score.piece import Piece
from score.places import bar_name
from score.plain_text import table_cell
from score.recording.bar_tempi import bar_tempi, sure_tempi
from score.recording.early_or_late import early_or_late, early_or_late_json, early_or_late_lines
from score.recording.heard_bars import HeardBar, HeardRecording

_PLACES = 4
_MOST_DOUBTS = 12
_SAME_TUNING = 3.0


def recording_json(piece: Piece, heard: HeardRecording) -> dict[str, object]:
    """Everything that was heard, as values JSON can write; the keys are listed above."""
    return {
        "begins": round(heard.begins, _PLACES),
        "ends": round(heard.ends, _PLACES),
        "tuning_cents": round(heard.tuning_cents, 1) + 0.0,  # never "-0.0"
        "order": list(heard.order),
        "bars": [
            {
                "index": bar.bar,
                "pass": bar.turn,
                "start": round(bar.start, _PLACES),
                "sure": bar.sure,
                "doubt": bar.doubt,
            }
            for bar in heard.bars
        ],
        "onsets": [
            {
                "bar": onset.bar,
                "pass": onset.turn,
                "at": quarters_text(onset.at),
                "seconds": round(onset.seconds, _PLACES),
            }
            for onset in heard.onsets
        ],
        "players": early_or_late_json(early_or_late(piece, heard)),
    }


def recording_csv(piece: Piece, heard: HeardRecording, others: Mapping[str, HeardRecording] | None = None) -> str:
    """A row a bar: bar as printed, index, pass, start, end, sure, doubt, and its tempo in quarters a minute.

    Args:
        piece: the piece.
        heard: the recording.
        others: name of each recording it is compared with, which has a column for the tempo of the same bars.
    """
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(("bar", "index", "pass", "start", "end", "sure", "doubt", "tempo", *map(table_cell, others or ())))
    beside = [sure_tempi(piece, other) for other in (others or {}).values()]
    for bar, tempo in zip(heard.bars, bar_tempi(piece, heard), strict=True):
        label = table_cell(bar_name(piece, bar.bar))
        tempi = (tempo.smooth, *(other.get(bar.bar) for other in beside))
        rows.writerow(
            (
                *(label, bar.bar, bar.turn, f"{bar.start:.3f}", f"{bar.end:.3f}", f"{bar.sure:.2f}", bar.doubt),
                *("" if each is None else f"{each:.1f}" for each in tempi),
            )
        )
    return out.getvalue().rstrip("\n")


def recording_summary(piece: Piece, heard: HeardRecording) -> str:
    """In words: from when to when, what was played in which order, how it is tuned, what is in doubt."""
    ends = min(heard.ends, heard.seconds)
    blocks = (
        [f"Music from {clock(heard.begins)} to {clock(ends)} of {clock(heard.seconds)}", _tuning(heard)],
        ["Played", *(f"  {line}" for line in _stretches(piece, heard))],
        list(_not_played(piece, heard)),
        list(_doubts(piece, heard)),
        ["Early or late", *early_or_late_lines(piece, early_or_late(piece, heard))],
        list(heard.notes),
    )
    return "\n\n".join("\n".join(block) for block in blocks if block)


def clock(seconds: float) -> str:
    """Minutes and seconds, "3:07.2"."""
    tenths = round(seconds * 10)
    return f"{tenths // 600}:{tenths % 600 // 10:02d}.{tenths % 10}"


def _tuning(heard: HeardRecording) -> str:
    cents = heard.tuning_cents
    if abs(cents) < _SAME_TUNING:
        return "Tuned to A = 440 Hz, as near as can be heard"
    side = "above" if cents > 0 else "below"
    return f"Tuned {abs(cents):.0f} cents {side} A = 440 Hz ({440 * 2 ** (cents / 1200):.1f} Hz)"


def stretches(heard: HeardRecording) -> Iterator[list[HeardBar]]:
    """Bars that follow each other in the score and in time."""
    run: list[HeardBar] = []
    for bar in heard.bars:
        if run and (bar.bar != run[-1].bar + 1 or bar.run != run[-1].run):
            yield run
            run = []
        run.append(bar)
    if run:
        yield run


def stretch_name(piece: Piece, run: Sequence[HeardBar]) -> str:
    """Bars that follow each other in words, "bars 12 to 15"."""
    first, last = (bar_name(piece, bar.bar) for bar in (run[0], run[-1]))
    return f"bar {first}" if len(run) == 1 else f"bars {first} to {last}"


def _stretches(piece: Piece, heard: HeardRecording) -> Iterator[str]:
    before: HeardBar | None = None
    for run in stretches(heard):
        first, last = run[0], run[-1]
        line = f"{clock(first.start):>8}  {stretch_name(piece, run)}"
        if before is not None and first.start - before.end > 1.0:
            line += f", after {first.start - before.end:.0f} s of something else"
        elif before is not None and first.bar <= before.bar:
            line += ", again"
        yield line
        before = last


def _not_played(piece: Piece, heard: HeardRecording) -> Iterator[str]:
    played = set(heard.order)
    missing = [bar.index for bar in piece.bars if bar.index not in played]
    if missing:
        yield f"Not played: {_runs_of(piece, missing)}"


def _doubts(piece: Piece, heard: HeardRecording) -> Iterator[str]:
    doubtful = [bar for bar in heard.bars if bar.doubt]
    if not doubtful:
        return
    yield f"In doubt ({len(doubtful)} of {len(heard.bars)} bars)"
    groups = [list(group) for _, group in groupby(doubtful, key=lambda bar: bar.doubt)]
    for group in groups[:_MOST_DOUBTS]:
        yield f"  {_runs_of(piece, [bar.bar for bar in group])} at {clock(group[0].start)}: {group[0].doubt}"
    if len(groups) > _MOST_DOUBTS:
        yield f"  and {sum(map(len, groups[_MOST_DOUBTS:]))} more bars"


def _runs_of(piece: Piece, bars: Iterable[int]) -> str:
    """Bars in words, "12 to 15, 20"."""
    texts: list[str] = []
    run: list[int] = []
    for bar in [*bars, -2]:
        if run and bar != run[-1] + 1:
            first, last = bar_name(piece, run[0]), bar_name(piece, run[-1])
            texts.append(first if len(run) == 1 else f"{first} to {last}")
            run = []
        run.append(bar)
    return ", ".join(texts)
