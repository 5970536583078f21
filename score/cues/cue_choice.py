"""Choosing whose rhythm stands above a player's staff in each bar."""

from collections.abc import Sequence
from itertools import groupby

from score.activity.who_moves import activity
from score.cues.cue_evidence import EMPTY_BARS, Evidence, going_on, inside_phrases, needed, player_evidence
from score.cues.cue_reasons import cue_reasons
from score.cues.cue_sequence import Source, Task, best_sequence
from score.cues.from_group import Orders, orders
from score.cues.rules import COSTS, rules_of
from score.cues.sheet import Cue, CueSheet, Level
from score.group.group_file import CueWish
from score.piece import Piece
from score.places import find_player


def choose_cues(piece: Piece, player: int, level: Level = Level.USUAL, wishes: Sequence[CueWish] = ()) -> CueSheet:
    """The cues of one player.

    At `Level.SPARSE` and `Level.USUAL` every bar shows one other player or nobody, and the whole sequence is
    the best there is under `score.cues.rules`. An entry after two bars or more without a stroke always has a
    cue before it where anyone else sounds then and the group does not forbid it. At `Level.FULL` there is a
    cue for each other player and each run of bars in which that player strikes or holds.

    Args:
        piece: the piece.
        player: number of the player whose part it is.
        level: how much is cued.
        wishes: of the whole group; those for other players' parts are only checked.

    Raises:
        RequestError: the piece has no such player.
        GroupFileError: a wish that cannot hold.
    """
    find_player(piece, player)
    player_orders = orders(piece, player, wishes)
    evidence = player_evidence(activity(piece), tuple(bar.length for bar in piece.bars), activity(piece).row(player))
    runs = _every_run(evidence, player_orders) if level is Level.FULL else _best_runs(evidence, level, player_orders)
    starts = {} if level is Level.FULL else {bars.start: source for source, bars in runs}
    cues = (_cue(piece, evidence, level, player_orders, source, bars, starts.get(bars.stop)) for source, bars in runs)
    return CueSheet(player, level, tuple(cues))


def choice_task(evidence: Evidence, level: Level, player_orders: Orders) -> Task:
    """What the sequence is chosen from, at any level but `Level.FULL`."""
    rows, bars, rules = range(len(evidence.facts.players)), range(evidence.facts.bars), rules_of(level)

    def worth(row: int, bar: int) -> int:
        return sum(rule.points(evidence, row, bar) for rule in rules) if row != evidence.you else 0

    return Task(
        [[worth(row, bar) for row in rows] for bar in bars],
        _allowed(evidence, level, player_orders),
        going_on(evidence.facts),
        inside=inside_phrases(evidence.facts, evidence.lengths),
        costs=COSTS,
    )


def _best_runs(evidence: Evidence, level: Level, player_orders: Orders) -> list[tuple[int, range]]:
    """The best sequence as runs: row and bars of each cue."""
    runs: list[tuple[int, range]] = []
    chosen = best_sequence(choice_task(evidence, level, player_orders))
    for source, group in groupby(range(len(chosen)), key=lambda bar: chosen[bar]):
        bars = list(group)
        if source is not None:
            runs.append((source, range(bars[0], bars[-1] + 1)))
    return runs


def _allowed(evidence: Evidence, level: Level, player_orders: Orders) -> list[frozenset[Source]]:
    rows = {evidence.facts.row(number): number for number in evidence.facts.players}
    hidden = {
        bar: {row for row, number in rows.items() if number in player_orders.hidden[bar]}
        for bar in player_orders.hidden
    }
    everyone: frozenset[Source] = frozenset((None, *evidence.sources))
    nobody: frozenset[Source] = frozenset((None,))
    cueable = _lead_bars(evidence) if level is Level.SPARSE else range(evidence.facts.bars)
    allowed = [everyone - hidden.get(bar, set()) if bar in cueable else nobody for bar in range(evidence.facts.bars)]
    for entry in evidence.entries:
        if entry.silent >= EMPTY_BARS:
            for bar, sources in needed(evidence, entry, hidden).items():
                allowed[bar] = frozenset(sources)
    for bar, number in player_orders.shown.items():
        allowed[bar] = frozenset((evidence.facts.row(number),))
    return allowed


def _lead_bars(evidence: Evidence) -> set[int]:
    """The bars that lead into an entry, and its own bar where somebody strikes before it."""
    leading: set[int] = set()
    for entry in evidence.entries:
        if entry.silent >= EMPTY_BARS:
            leading.update(entry.lead)
            if entry.at:
                leading.add(entry.bar)
    return leading


def _every_run(evidence: Evidence, player_orders: Orders) -> list[tuple[int, range]]:
    """Row and bars of every run in which another player sounds or has to be shown, less what is hidden."""
    runs: list[tuple[int, range]] = []
    for row in evidence.sources:
        number = evidence.facts.players[row]

        def shown(bar: int, row: int = row, number: int = number) -> bool:
            sounds = evidence.does(row, bar).sounds and number not in player_orders.hidden.get(bar, ())
            return sounds or player_orders.shown.get(bar) == number

        for is_shown, group in groupby(range(evidence.facts.bars), key=shown):
            bars = list(group)
            if is_shown:
                runs.append((row, range(bars[0], bars[-1] + 1)))
    return sorted(runs, key=lambda run: (run[1].start, run[0]))


def _cue(
    piece: Piece, evidence: Evidence, level: Level, player_orders: Orders, source: int, bars: range, then: int | None
) -> Cue:
    forced = any(player_orders.shown.get(bar) == evidence.facts.players[source] for bar in bars)
    return Cue(
        evidence.facts.players[source],
        bars[0],
        bars[-1],
        reasons=cue_reasons(piece, evidence, level, player_orders, source, bars),
        next_mover=next_mover(evidence, source, bars[-1] + 1, then),
        forced=forced,
    )


def next_mover(evidence: Evidence, source: int, bar: int, then: int | None) -> int | None:
    """Number of the player who moves next from the start of a bar on, or None where nobody does.

    That is whoever strikes first from there on, leaving aside the source itself, and you if you were
    striking already in the bar before: an arrow names somebody to listen for or your own entry. If several
    strike together: you; otherwise the source of a cue that begins there; otherwise whoever struck nothing
    in the bar before; otherwise the lowest number.

    Args:
        evidence: the player's evidence.
        source: row of the cue's source.
        bar: index of the bar after the cue's last.
        then: row of the source of a cue that begins in that bar, or None.
    """
    left_out = {source, evidence.you} if evidence.own(bar - 1).onsets else {source}
    coming = []
    for row, places in enumerate(evidence.facts.next_strike):
        place = places[bar]
        if place and row not in left_out:
            came_before = bool(evidence.does(row, place.bar - 1).onsets)
            coming.append((place, row != evidence.you, row != then, came_before, row))
    return evidence.facts.players[min(coming)[-1]] if coming else None
