"""Rolls that one hand would have to make alone, because the other hand strikes elsewhere meanwhile."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from fractions import Fraction

from score.activity.lanes import spelled_pitch
from score.piece import Piece, Player, Stroke, StrokeKind
from score.setup.finding import Finding, FindingKind, Weight
from score.setup.hand_motions import DealtPassage
from score.setup.limits import Limits
from score.setup.mallets import span_limit

_TWO_MALLETS = "take four mallets and roll with two in one hand, or let another player take the roll"
_FOUR_MALLETS = "roll with the two mallets of one hand, or let another player take the roll"
_TOO_WIDE = "leave a note of the roll out, or let another player take the roll"


def roll_findings(piece: Piece, player: Player, passages: Sequence[DealtPassage], limits: Limits) -> Iterator[Finding]:
    """Rolls during which the same player begins other strokes.

    Rolls that begin together are one roll of both hands; a roll that follows at once takes the place of the first. A
    hand with one mallet cannot roll; a hand with two can, as far as it spans.
    """
    strokes = [s for s in player.strokes if s.kind is StrokeKind.STROKE]
    moments = [piece.offset(s.place) for s in strokes]
    four = {(blow.bar, blow.at) for dealt in passages if dealt.rules.four for blow in dealt.passage.blows}
    for roll in player.strokes:
        if roll.kind is StrokeKind.ROLL:
            start = piece.offset(roll.place)
            within = strokes[bisect_right(moments, start) : bisect_left(moments, start + roll.length)]
            if within:
                yield _found(player, roll, within, (roll.bar, roll.at) in four, limits)


def _found(player: Player, roll: Stroke, within: Sequence[Stroke], four: bool, limits: Limits) -> Finding:
    low, high = (roll.pitches[0], roll.pitches[-1]) if roll.pitches else (0, 0)
    too_wide = len(roll.pitches) > 2 or high - low > span_limit(low, limits)
    weight = Weight.CANNOT if too_wide or not four else Weight.TIGHT
    helps = _TWO_MALLETS if not four else _TOO_WIDE if too_wide else _FOUR_MALLETS
    what = f"a roll on {spelled_pitch(low)}" if roll.pitches else "a roll"
    wide = f" to {spelled_pitch(high)}" if high > low else ""
    text = f"{what}{wide} is left to one hand while {_counted(within)}"
    return Finding(
        FindingKind.ROLL,
        weight,
        player.number,
        bar=within[0].bar,
        at=within[0].at,
        figure=len({s.place for s in within}),
        limit=0,
        unit="strokes",
        text=text,
        helps=helps,
    )


def _counted(within: Sequence[Stroke]) -> str:
    places: set[tuple[int, Fraction]] = {(s.bar, s.at) for s in within}
    return "another stroke is made" if len(places) == 1 else f"{len(places)} other strokes are made"
