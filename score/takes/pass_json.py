"""A judged pass as JSON and CSV, with the names that are documented in the command's help."""

import csv
import io
from collections.abc import Sequence
from typing import Any

from score.takes.judged_pass import TOGETHER_MS, JudgedPass, JudgedStroke
from score.takes.lost_runs import lost_json, lost_runs

COLUMNS = ("bar", "at", "state", "offset_ms", "seconds", "turn", "hand", "expected_seconds")


def pass_json(judgement: JudgedPass) -> dict[str, Any]:
    """The pass: milliseconds to a hundredth, seconds to a tenth of a millisecond."""
    interval = judgement.mean_ms_interval
    return {
        "judged": judgement.judged,
        "why": judgement.why,
        "delay_ms": _ms(1000 * judgement.delay.seconds),
        "delay_from": str(judgement.delay.origin),
        "mean_ms": _ms(judgement.mean_ms),
        "mean_why": judgement.mean_why,
        "mean_ms_interval": None if interval is None else [_ms(interval[0]), _ms(interval[1])],
        "spread_ms": _ms(judgement.spread_ms),
        "together_ms": TOGETHER_MS,
        "remarks": list(judgement.remarks),
        "lost": lost_json(lost_runs(judgement)),
        "strokes": [stroke_json(stroke) for stroke in judgement.strokes],
    }


def stroke_json(stroke: JudgedStroke) -> dict[str, Any]:
    """One stroke."""
    return {
        "bar": stroke.bar,
        "at": str(stroke.at),
        "state": str(stroke.state),
        "offset_ms": _ms(stroke.offset_ms),
        "seconds": _seconds(stroke.seconds),
        "turn": stroke.turn,
        "hand": stroke.hand,
        "expected_seconds": _seconds(stroke.expected),
    }


def pass_csv(judgement: JudgedPass) -> str:
    """A row a stroke, with a head."""
    text = io.StringIO()
    writer = csv.DictWriter(text, COLUMNS, lineterminator="\n")
    writer.writeheader()
    writer.writerows(stroke_json(stroke) for stroke in judgement.strokes)
    return text.getvalue()


def takes_csv(numbered: Sequence[tuple[int, JudgedPass]]) -> str:
    """The rows of several passes, before each the number its pass has in the list."""
    text = io.StringIO()
    writer = csv.DictWriter(text, ("pass", *COLUMNS), lineterminator="\n")
    writer.writeheader()
    for number, judgement in numbered:
        writer.writerows({"pass": number, **stroke_json(stroke)} for stroke in judgement.strokes)
    return text.getvalue()


def _ms(value: float | None) -> float | None:
    return None if value is None else round(value, 2)


def _seconds(value: float | None) -> float | None:
    return None if value is None else round(value, 4)
