"""What the practice screen shows of judged passes: a sign a stroke, a share a bar, the last pass in words."""

from collections import Counter
from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from score.piece import Piece
from score.takes.judged_pass import JudgedPass, JudgedStroke, StrokeState
from score.takes.kept_takes import KeptTake
from score.takes.lost_runs import lost_names, lost_runs
from score.takes.partner_findings import PartnerFinding, partner_findings
from score.takes.pass_tempo import TempoPoint, pass_tempo
from score.takes.pass_words import findings_words

_ALIKE = 0.025
"""Shares of the written tempo that count as one tempo."""
WrittenPlace = tuple[int, Fraction]
_BESIDES = (StrokeState.WRONG, StrokeState.EXTRA, StrokeState.UNSURE)
"""What is told apart; the rest of what was not played as written was missed."""


class LastPass(NamedTuple):
    """The pass that was judged last.

    Attributes:
        words: one line: places lost, counts and figures.
        why: why nothing is said of it, "" where it is judged.
        tempo: as it went, in the order of the places.
    """

    words: str
    why: str = ""
    tempo: tuple[TempoPoint, ...] = ()


class PassFacts(NamedTuple):
    """What is shown.

    Attributes:
        signs: bar and place in it to what became of the stroke there last.
        shares: bar to the share of its strokes that were together when it was played last.
        last: the pass judged last, None before any.
        partners: with whom the player is together, over all these passes.
        findings: where they lean, over the passes at the tempo of the last one, a line each.
    """

    signs: Mapping[WrittenPlace, JudgedStroke]
    shares: Mapping[int, float]
    last: LastPass | None = None
    partners: tuple[PartnerFinding, ...] = ()
    findings: tuple[str, ...] = ()


NOTHING_HEARD = PassFacts({}, {})


def pass_facts(piece: Piece, player: int, takes: Sequence[KeptTake]) -> PassFacts:
    """Gather what is shown of some bars; takes too long for the screen's own thread.

    Args:
        piece: the piece.
        player: number of the player.
        takes: passes over them, the earliest first.
    """
    judged = [take.judged for take in takes if take.judged.judged]
    bars: dict[int, list[JudgedStroke]] = {}
    for take in judged:
        here: dict[int, list[JudgedStroke]] = {}
        for stroke in take.strokes:
            here.setdefault(stroke.bar, []).append(stroke)
        bars |= here
    signs = {(bar, stroke.at): stroke for bar, strokes in bars.items() for stroke in strokes if not _is_extra(stroke)}
    shares = {bar: share for bar, strokes in bars.items() if (share := _share(strokes)) is not None}
    return PassFacts(
        signs,
        shares,
        last_pass(piece, takes[-1].judged) if takes else None,
        partners=partner_findings(piece, player, judged),
        findings=tuple(findings_words(piece, player, _at_last_tempo(takes))),
    )


def _at_last_tempo(takes: Sequence[KeptTake]) -> list[JudgedPass]:
    """Where one leans changes with the tempo: only passes at that of the last one are pooled."""
    return [
        take.judged for take in takes if take.judged.judged and abs(take.what.tempo - takes[-1].what.tempo) < _ALIKE
    ]


def last_pass(piece: Piece, judged: JudgedPass) -> LastPass:
    """One pass in words and as a tempo curve."""
    if not judged.judged:
        return LastPass("", judged.why)
    lost = lost_names(piece, lost_runs(judged))
    line = f"lost {lost}; {pass_line(judged)}" if lost else pass_line(judged)
    return LastPass(line, tempo=pass_tempo(piece, judged))


def pass_line(judged: JudgedPass) -> str:
    """Counts and figures of a judged pass in one line; what the strokes are too few for is left out."""
    counts = Counter(stroke.state for stroke in judged.strokes)
    written = len(judged.strokes) - counts[StrokeState.EXTRA]
    hit = sum(stroke.state.is_timed for stroke in judged.strokes)
    parts = [f"{hit} of {written} strokes", _mean(judged)]
    parts += [f"spread {judged.spread_ms:.0f} ms"] if judged.spread_ms is not None else []
    parts += [f"{counts[state]} {state.value}" for state in _BESIDES if counts[state]]
    return ", ".join(part for part in parts if part)


def _mean(judged: JudgedPass) -> str:
    if judged.mean_ms is None or judged.mean_ms_interval is None:
        return ""
    half = judged.mean_ms_interval[1] - judged.mean_ms
    return f"{abs(judged.mean_ms):.0f} ± {half:.0f} ms {'early' if judged.mean_ms < 0 else 'late'}"


def _is_extra(stroke: JudgedStroke) -> bool:
    return stroke.state is StrokeState.EXTRA


def _share(strokes: Sequence[JudgedStroke]) -> float | None:
    """Strokes together of those that can be told, extra ones counted against; None where none can."""
    told = [stroke for stroke in strokes if stroke.state is not StrokeState.UNSURE]
    if all(map(_is_extra, told)):
        return None
    return sum(stroke.state is StrokeState.TOGETHER for stroke in told) / len(told)
