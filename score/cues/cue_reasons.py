"""Why a cue is there: what the rules said of its bars, gathered into few words."""

from typing import NamedTuple

from score.cues.cue_evidence import Evidence
from score.cues.from_group import Orders
from score.cues.rules import rules_of
from score.cues.sheet import Level, Reason
from score.piece import Piece
from score.places import bars_name

WISH, EVERY_LINE, GOES_ON = "wish", "every line", "goes on"
"""Names of the reasons that are no rule of the table: the group's file, the level, and the sequence."""


def cue_reasons(
    piece: Piece, evidence: Evidence, level: Level, wishes: Orders, source: int, bars: range
) -> tuple[Reason, ...]:
    """The reasons of one cue in bar order; one reason for a run of bars in which a rule says the same.

    Args:
        piece: for the bars' printed names.
        evidence: the player's evidence.
        level: the level of the sheet.
        wishes: the group's wishes for the player.
        source: row of the player who is shown.
        bars: the cue's bars.
    """
    number = evidence.facts.players[source]
    said: list[_RuleWords] = []
    for bar in bars:
        here = _of_rules(evidence, level, source, bar, bars.stop)
        if wishes.shown.get(bar) == number:
            silent = "" if evidence.does(source, bar).sounds else ", though nothing sounds there"
            here.insert(0, _RuleWords(WISH, bar, f"your group asks for it{silent}"))
        if level is Level.FULL:
            here = [reason for reason in here if reason.rule == WISH] or [
                _RuleWords(EVERY_LINE, bar, "every line is shown")
            ]
        said += here or [_of_sequence(evidence, source, bar)]
    return _joined(piece, said, bars)


class _RuleWords(NamedTuple):
    """What one rule says of one bar; the target is the bar that words ending in "at bar" mean.

    A cue that stops while others go on before its target is no longer what leads there, and does not say so.
    """

    rule: str
    bar: int
    words: str
    weight: float = 0.0
    target: int | None = None


def _of_rules(evidence: Evidence, level: Level, source: int, bar: int, stop: int) -> list[_RuleWords]:
    reasons = []
    for rule in rules_of(level):
        if (points := rule.points(evidence, source, bar)) > 0:
            target = rule.target(evidence, source, bar) if rule.target else None
            if target is None or all(evidence.silences[stop:target]):
                reasons.append(
                    _RuleWords(rule.name, bar, rule.words(evidence, source, bar), weight=float(points), target=target)
                )
    return reasons


def _of_sequence(evidence: Evidence, source: int, bar: int) -> _RuleWords:
    """No rule speaks for the bar: it is there because a cue in one piece reads more easily."""
    if evidence.does(source, bar).onsets:
        return _RuleWords(GOES_ON, bar, "goes on")
    if evidence.does(source, bar).sounds:
        return _RuleWords(GOES_ON, bar, "holds on")
    return _RuleWords(GOES_ON, bar, "is silent" if evidence.own(bar).onsets else "waits with you")


def _joined(piece: Piece, said: list[_RuleWords], bars: range) -> tuple[Reason, ...]:
    """Bars of which a rule says the same become one reason, which says where if not everywhere."""
    together: dict[tuple[str, str], list[_RuleWords]] = {}
    for reason in said:
        together.setdefault((reason.rule, reason.words), []).append(reason)
    reasons = [
        Reason(rule, alike[0].bar, _text(piece, words, alike, bars), weight=sum(each.weight for each in alike))
        for (rule, words), alike in together.items()
    ]
    return tuple(sorted(reasons, key=lambda reason: reason.bar))


def _text(piece: Piece, words: str, alike: list[_RuleWords], bars: range) -> str:
    targets = sorted({each.target for each in alike if each.target is not None})
    if targets:
        return f"{words}{'s' if len(targets) > 1 else ''} {_listed(piece, targets)}"
    return words if len(alike) == len(bars) else f"{words} ({_listed(piece, [each.bar for each in alike])})"


def _listed(piece: Piece, where: list[int]) -> str:
    """Ascending bar indices as printed: "17-20, 23"."""
    runs: list[range] = []
    for bar in where:
        if runs and runs[-1].stop == bar:
            runs[-1] = range(runs[-1].start, bar + 1)
        else:
            runs.append(range(bar, bar + 1))
    return ", ".join(bars_name(piece, run) for run in runs)
