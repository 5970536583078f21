"""Choosing whose rhythm stands above a player's staff in each bar."""

from collections.abc import Sequence
from itertools import groupby

from score.activity.who_moves import activity
from score.cues.cue_evidence import EMPTY_BARS, Evidence, evidence, needed
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
    asked = orders(piece, player, wishes)
    known = evidence(activity(piece), tuple(bar.length for bar in piece.bars), activity(piece).row(player))
    runs = _every_run(known, asked) if level is Level.FULL else _best_runs(known, level, asked)
    starts = {} if level is Level.FULL else {bars.start: source for source, bars in runs}
    cues = (_cue(piece, known, level, asked, source, bars, starts.get(bars.stop)) for source, bars in runs)
    return CueSheet(player, level, tuple(cues))


def choice_task(known: Evidence, level: Level, asked: Orders) -> Task:
    """What the sequence is chosen from, at any level but `Level.FULL`."""
    rows, bars, rules = range(len(known.facts.players)), range(known.facts.bars), rules_of(level)

    def worth(row: int, bar: int) -> int:
        return sum(rule.points(known, row, bar) for rule in rules) if row != known.you else 0

    return Task(
        [[worth(row, bar) for row in rows] for bar in bars],
        _allowed(known, level, asked),
        [[known.goes_on(row, bar) for row in rows] for bar in bars],
        [[known.inside_phrase(row, bar) for row in rows] for bar in bars],
        COSTS,
    )


def _best_runs(known: Evidence, level: Level, asked: Orders) -> list[tuple[int, range]]:
    """The best sequence as runs: row and bars of each cue."""
    made: list[tuple[int, range]] = []
    chosen = best_sequence(choice_task(known, level, asked))
    for source, group in groupby(range(len(chosen)), key=lambda bar: chosen[bar]):
        bars = list(group)
        if source is not None:
            made.append((source, range(bars[0], bars[-1] + 1)))
    return made


def _allowed(known: Evidence, level: Level, asked: Orders) -> list[frozenset[Source]]:
    rows = {known.facts.row(number): number for number in known.facts.players}
    hidden = {bar: {row for row, number in rows.items() if number in asked.hidden[bar]} for bar in asked.hidden}
    everyone: frozenset[Source] = frozenset((None, *known.sources))
    nobody: frozenset[Source] = frozenset((None,))
    cueable = _lead_bars(known) if level is Level.SPARSE else range(known.facts.bars)
    allowed = [everyone - hidden.get(bar, set()) if bar in cueable else nobody for bar in range(known.facts.bars)]
    for entry in known.entries:
        if entry.silent >= EMPTY_BARS:
            for bar, sources in needed(known, entry, hidden).items():
                allowed[bar] = frozenset(sources)
    for bar, number in asked.shown.items():
        allowed[bar] = frozenset((known.facts.row(number),))
    return allowed


def _lead_bars(known: Evidence) -> set[int]:
    """The bars that lead into an entry, and its own bar where somebody strikes before it."""
    made: set[int] = set()
    for entry in known.entries:
        if entry.silent >= EMPTY_BARS:
            made.update(entry.lead)
            if entry.at:
                made.add(entry.bar)
    return made


def _every_run(known: Evidence, asked: Orders) -> list[tuple[int, range]]:
    """Row and bars of every run in which another player sounds or has to be shown, less what is hidden."""
    made: list[tuple[int, range]] = []
    for row in known.sources:
        number = known.facts.players[row]

        def shown(bar: int, row: int = row, number: int = number) -> bool:
            sounds = known.does(row, bar).sounds and number not in asked.hidden.get(bar, ())
            return sounds or asked.shown.get(bar) == number

        for wanted, group in groupby(range(known.facts.bars), key=shown):
            bars = list(group)
            if wanted:
                made.append((row, range(bars[0], bars[-1] + 1)))
    return sorted(made, key=lambda run: (run[1].start, run[0]))


def _cue(piece: Piece, known: Evidence, level: Level, asked: Orders, source: int, bars: range, then: int | None) -> Cue:
    forced = any(asked.shown.get(bar) == known.facts.players[source] for bar in bars)
    return Cue(
        known.facts.players[source],
        bars[0],
        bars[-1],
        cue_reasons(piece, known, level, asked, source, bars),
        next_mover(known, source, bars[-1] + 1, then),
        forced,
    )


def next_mover(known: Evidence, source: int, bar: int, then: int | None) -> int | None:
    """Number of the player who moves next from the start of a bar on, or None where nobody does.

    That is whoever strikes first from there on, leaving aside the source itself, and you if you were
    striking already in the bar before: an arrow names somebody to listen for or your own entry. If several
    strike together: you; otherwise the source of a cue that begins there; otherwise whoever struck nothing
    in the bar before; otherwise the lowest number.

    Args:
        known: the player's evidence.
        source: row of the cue's source.
        bar: index of the bar after the cue's last.
        then: row of the source of a cue that begins in that bar, or None.
    """
    left_out = {source, known.you} if known.own(bar - 1).onsets else {source}
    coming = []
    for row, places in enumerate(known.facts.next_strike):
        place = places[bar]
        if place and row not in left_out:
            came_before = bool(known.does(row, place.bar - 1).onsets)
            coming.append((place, row != known.you, row != then, came_before, row))
    return known.facts.players[min(coming)[-1]] if coming else None
