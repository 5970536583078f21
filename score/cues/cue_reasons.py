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
    piece: Piece, known: Evidence, level: Level, asked: Orders, source: int, bars: range
) -> tuple[Reason, ...]:
    """The reasons of one cue in bar order; one reason for a run of bars in which a rule says the same.

    Args:
        piece: for the bars' printed names.
        known: the player's evidence.
        level: the level of the sheet.
        asked: the group's wishes for the player.
        source: row of the player who is shown.
        bars: the cue's bars.
    """
    number = known.facts.players[source]
    said: list[_Said] = []
    for bar in bars:
        found = _of_rules(known, level, source, bar, bars.stop)
        if asked.shown.get(bar) == number:
            silent = "" if known.does(source, bar).sounds else ", though nothing sounds there"
            found.insert(0, _Said(WISH, bar, f"your group asks for it{silent}"))
        if level is Level.FULL:
            found = [one for one in found if one.rule == WISH] or [_Said(EVERY_LINE, bar, "every line is shown")]
        said += found or [_of_sequence(known, source, bar)]
    return _joined(piece, said, bars)


class _Said(NamedTuple):
    """What one rule says of one bar; the target is the bar that words ending in "at bar" mean.

    A cue that stops while others go on before its target is no longer what leads there, and does not say so.
    """

    rule: str
    bar: int
    words: str
    weight: float = 0.0
    target: int | None = None


def _of_rules(known: Evidence, level: Level, source: int, bar: int, stop: int) -> list[_Said]:
    made = []
    for rule in rules_of(level):
        if (given := rule.points(known, source, bar)) > 0:
            target = rule.target(known, source, bar) if rule.target else None
            if target is None or all(known.silences[stop:target]):
                made.append(_Said(rule.name, bar, rule.words(known, source, bar), float(given), target))
    return made


def _of_sequence(known: Evidence, source: int, bar: int) -> _Said:
    """No rule speaks for the bar: it is there because a cue in one piece reads more easily."""
    if known.does(source, bar).onsets:
        return _Said(GOES_ON, bar, "goes on")
    if known.does(source, bar).sounds:
        return _Said(GOES_ON, bar, "holds on")
    return _Said(GOES_ON, bar, "is silent" if known.own(bar).onsets else "waits with you")


def _joined(piece: Piece, said: list[_Said], bars: range) -> tuple[Reason, ...]:
    """Bars of which a rule says the same become one reason, which says where if not everywhere."""
    together: dict[tuple[str, str], list[_Said]] = {}
    for one in said:
        together.setdefault((one.rule, one.words), []).append(one)
    made = [
        Reason(rule, ones[0].bar, _text(piece, words, ones, bars), sum(one.weight for one in ones))
        for (rule, words), ones in together.items()
    ]
    return tuple(sorted(made, key=lambda reason: reason.bar))


def _text(piece: Piece, words: str, ones: list[_Said], bars: range) -> str:
    targets = sorted({one.target for one in ones if one.target is not None})
    if targets:
        return f"{words}{'s' if len(targets) > 1 else ''} {_listed(piece, targets)}"
    return words if len(ones) == len(bars) else f"{words} ({_listed(piece, [one.bar for one in ones])})"


def _listed(piece: Piece, where: list[int]) -> str:
    """Ascending bar indices as printed: "17-20, 23"."""
    runs: list[range] = []
    for bar in where:
        if runs and runs[-1].stop == bar:
            runs[-1] = range(runs[-1].start, bar + 1)
        else:
            runs.append(range(bar, bar + 1))
    return ", ".join(bars_name(piece, run) for run in runs)
