"""The passes a player has kept, as lines and as JSON."""

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any

from score.piece import Piece
from score.places import bars_words
from score.takes.judged_pass import StrokeState
from score.takes.kept_takes import KeptTake
from score.takes.lost_runs import lost_names, lost_runs
from score.takes.pass_json import pass_json


def takes_lines(piece: Piece, takes: Sequence[KeptTake]) -> Iterator[str]:
    """A line a pass: its number, when, which bars, how fast, strokes as written, mean and spread, what was lost."""
    for take in takes:
        judged = take.judged
        counts = Counter(stroke.state for stroke in judged.strokes)
        written = len(judged.strokes) - counts[StrokeState.EXTRA]
        hit = sum(stroke.state.is_timed for stroke in judged.strokes)
        parts = [f"{take.number}: {take.at.astimezone():%Y-%m-%d %H:%M}", bars_words(piece, take.what.bars)]
        parts.append(f"{take.what.tempo:.0%}")
        parts.append(f"{hit} of {written} strokes" if judged.judged else "not judged")
        if judged.mean_ms is not None:
            parts.append(f"{abs(judged.mean_ms):.0f} ms {'early' if judged.mean_ms < 0 else 'late'}")
        if judged.spread_ms is not None:
            parts.append(f"spread {judged.spread_ms:.0f} ms")
        parts += ["sound saved"] if take.what.audio else []
        lost = lost_names(piece, lost_runs(judged))
        parts += ["by heart"] if take.what.is_by_heart else []
        parts += [f"lost {lost}"] if lost else []
        yield ", ".join(parts)


def takes_json(takes: Sequence[KeptTake]) -> list[dict[str, Any]]:
    """Each pass: number, when it was kept, first and last bar by index, tempo as a share, sound file, strokes."""
    return [
        {
            "number": take.number,
            "at": take.at.isoformat(),
            "first_bar": take.what.bars[0],
            "last_bar": take.what.bars[-1],
            "tempo": take.what.tempo,
            "source": take.what.source,
            "audio": take.what.audio,
            "by_heart": take.what.is_by_heart,
            **pass_json(take.judged),
        }
        for take in takes
    ]
