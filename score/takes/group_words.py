"""A group's timing in words and as JSON."""

from collections.abc import Iterator, Sequence
from typing import Any

from score.piece import Piece
from score.places import bar_name
from score.plain_text import several
from score.takes.group_hearing import GroupHeard
from score.takes.group_timing import PUBLISHED_MS, PairTiming
from score.takes.place_findings import HEARD_MS

ONE_MICROPHONE = (
    "every microphone hears everybody alike, so nobody can say whose stroke is whose; "
    "record with one microphone close to each player"
)
# Correlations of intervals between beats at lags, as ours of bars; from the study's summary.
PUBLISHED_LEADS = (
    "For comparison: in a professional string quartet the viola took its pace from the first violin, and the first "
    "violin from the cello; second violin and viola followed each other, and so did second violin and cello (Timmers "
    "and others, 2014)"
)
_WORST = 3


def group_words(piece: Piece, group: GroupHeard, pairs: Sequence[PairTiming]) -> Iterator[str]:
    """Lines on every pair, and what published trios and a published quartet show."""
    if not group.can_be_told:
        yield f"Not judged: {ONE_MICROPHONE}"
        return
    for heard in group.players:
        count = sum(moment is not None for moment in heard.moments)
        yield f"{piece.player(heard.player).name}: {count} of {len(heard.moments)} strokes heard"
    for pair in pairs:
        yield f"{_names(piece, pair)}: {'; '.join(_pair_parts(piece, pair))}"
    low, high = PUBLISHED_MS
    yield f"For comparison: professional trios of winds and strings are {low:.0f} to {high:.0f} ms apart (Rasch, 1979)"
    if any(pair.leader is not None for pair in pairs):
        yield PUBLISHED_LEADS


def group_json(group: GroupHeard, pairs: Sequence[PairTiming]) -> dict[str, Any]:
    """The group: figures in milliseconds, a pair's mean is how much later its second player is."""
    return {
        "judged": group.can_be_told,
        "why": "" if group.can_be_told else ONE_MICROPHONE,
        "players": [
            {"player": heard.player, "heard": sum(m is not None for m in heard.moments), "written": len(heard.moments)}
            for heard in group.players
        ],
        "pairs": [_pair_json(pair) for pair in pairs] if group.can_be_told else [],
    }


def _pair_json(pair: PairTiming) -> dict[str, Any]:
    later = pair.later
    return {
        "players": [pair.first, pair.second],
        "shared": pair.shared,
        "mean_ms": None if later is None else round(later.mean, 2),
        "mean_ms_interval": None if later is None else [round(end, 2) for end in later.interval],
        "asynchrony_ms": None if pair.asynchrony_ms is None else round(pair.asynchrony_ms, 2),
        "leader": pair.leader,
        "bars": [{"bar": bar, "mean_ms": round(mean, 2)} for bar, mean in pair.bars],
    }


def _names(piece: Piece, pair: PairTiming) -> str:
    return f"{piece.player(pair.first).name} and {piece.player(pair.second).name}"


def _pair_parts(piece: Piece, pair: PairTiming) -> Iterator[str]:
    if pair.asynchrony_ms is None:
        yield f"{several(pair.shared, 'stroke')} together, too few to say more"
        return
    yield f"{pair.asynchrony_ms:.0f} ms apart over {pair.shared} strokes"
    if pair.later is not None and abs(pair.later.mean) > max(HEARD_MS, pair.later.half):
        behind = pair.second if pair.later.mean > 0 else pair.first
        yield f"{piece.player(behind).name} {abs(pair.later.mean):.0f} ± {pair.later.half:.0f} ms behind"
    if pair.leader is not None:
        yield f"{piece.player(pair.leader).name} sets the pace"
    worst = sorted(pair.bars, key=lambda bar: -abs(bar[1]))[:_WORST]
    if worst:
        names = ", ".join(bar_name(piece, bar) for bar, _ in sorted(worst))
        yield f"farthest apart in bar{'' if len(worst) == 1 else 's'} {names}"
