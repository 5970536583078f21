"""Every table of the group's file with its fields and what each may hold: the one place that knows them.

A room reads what concerns it in its `from_group.py`, through `score.group.group_file`; a table or a field that is not
here is refused when the file is read, with the nearest name that is. Bars are written as printed ("17-20"), a beat as
its number in the bar (1 is the downbeat, 2.5 half a beat after the second), an instant as bar and beat ("61:3").
"""

from collections.abc import Mapping
from enum import StrEnum
from typing import NamedTuple


class Holds(StrEnum):
    """What a field holds, in the words of an error."""

    COUNT = "a whole number from 1"
    FIGURE = "a figure"
    TEXT = "text"
    TEXTS = "a list of texts"
    COUNTS = "a list of players' numbers"
    DAY = "a date"
    MOMENT = "a date and time"
    PLAYER_OR_ALL = 'a player\'s number or "all"'


class TableKind(NamedTuple):
    """One table of the file.

    Attributes:
        fields: what each field holds; empty when the names are the file's own (see `free`).
        listed: written ``[[name]]`` as often as wanted, else ``[name]`` once.
        free: any field is taken, each a text.
    """

    fields: Mapping[str, Holds]
    listed: bool = True
    free: bool = False


AGREED_KINDS = ("shape", "breath", "lead", "hold", "look", "note")
"""What the group tries and agrees on."""

_ENTRY = {"id": Holds.TEXT, "by": Holds.COUNT, "state": Holds.TEXT, "on": Holds.DAY, "text": Holds.TEXT}
"""Fields of everything that is tried and agreed: `by` is the player who entered it, `on` is for people only."""

_LIMITS = (
    "notes_at_once span_low span_middle span_high strokes_a_second hand_strokes_a_second four_hand_strokes_a_second "
    "in_turn_strokes_a_second rebound_strokes_a_second double_strokes_a_second "
    " hand_mm_a_second clash_seconds close_mm one_hand_seconds reach_seconds near_seconds "
    "handheld_seconds walk_seconds walk_metres_a_second mallet_seconds mallet_set_seconds bow_seconds tight_factor "
    "loud_share load_strokes"
)


def _entry(**fields: Holds) -> TableKind:
    return TableKind({**fields, **_ENTRY})


def _listed(**fields: Holds) -> TableKind:
    return TableKind({**fields, "id": Holds.TEXT})


def _single(**fields: Holds) -> TableKind:
    return TableKind(fields, listed=False)


TABLES: Mapping[str, TableKind] = {
    "player": _listed(number=Holds.COUNT, name=Holds.TEXT, short=Holds.TEXT, parts=Holds.TEXTS),
    "cue": _listed(player=Holds.COUNT, bars=Holds.TEXT, show=Holds.COUNT, hide=Holds.PLAYER_OR_ALL),
    "share": _listed(instrument=Holds.TEXT, players=Holds.COUNTS, arrangement=Holds.TEXT),
    "station": _listed(player=Holds.COUNT, order=Holds.TEXTS, x=Holds.FIGURE, y=Holds.FIGURE, facing=Holds.FIGURE),
    "marimba": _listed(player=Holds.COUNT, octaves=Holds.TEXT),
    "fitting": _listed(instrument=Holds.TEXT, how=Holds.TEXT, carry=Holds.TEXT, width=Holds.FIGURE),
    "limits": _single(**dict.fromkeys(_LIMITS.split(), Holds.FIGURE)),
    "hands": _single(numbered_from=Holds.TEXT),
    "chunk": _listed(bars=Holds.TEXT, split=Holds.TEXT, merge=Holds.TEXT, move=Holds.TEXT, to=Holds.TEXT),
    "tempo": _single(within_range=Holds.FIGURE),
    "rehearsal": _listed(at=Holds.MOMENT, minutes=Holds.FIGURE, missing=Holds.COUNTS),
    "practice": _listed(player=Holds.COUNT, minutes=Holds.FIGURE),
    # kind, how much, which beats ("3-2": from beat 3 of the first bar to the end of beat 2 of the last), top and curve.
    "shape": _entry(
        bars=Holds.TEXT,
        beats=Holds.TEXT,
        kind=Holds.TEXT,
        percent=Holds.FIGURE,
        top=Holds.TEXT,
        curve=Holds.FIGURE,
        player=Holds.COUNT,
        name=Holds.TEXT,
    ),
    # player gives it before this beat, seconds long, to players (nobody named: to all who play there).
    "breath": _entry(bar=Holds.TEXT, beat=Holds.FIGURE, player=Holds.COUNT, players=Holds.COUNTS, seconds=Holds.FIGURE),
    # player leads these bars, or the entry on this beat of one bar.
    "lead": _entry(bars=Holds.TEXT, beat=Holds.FIGURE, player=Holds.COUNT),
    # kind: "hold" a fermata or caesura, "wait" before the beat, "short" cuts a written wait.
    "hold": _entry(bar=Holds.TEXT, beat=Holds.FIGURE, kind=Holds.TEXT, seconds=Holds.FIGURE, player=Holds.COUNT),
    # player (all where nobody is named) looks at another here.
    "look": _entry(bar=Holds.TEXT, beat=Holds.FIGURE, player=Holds.COUNT, at=Holds.COUNT),
    # a word to one or, where player is not given or "all", to everybody.
    "note": _entry(bar=Holds.TEXT, beat=Holds.FIGURE, player=Holds.PLAYER_OR_ALL),
    "gathered": TableKind({}, listed=False, free=True),
}

VALUES: Mapping[str, Holds] = {"concert": Holds.DAY, "owned": Holds.TEXTS}
"""Values at the top of the file, above its tables."""

EXAMPLES: Mapping[Holds, str] = {
    Holds.COUNT: "1",
    Holds.FIGURE: "2.5",
    Holds.TEXT: '"..."',
    Holds.TEXTS: '["...", "..."]',
    Holds.COUNTS: "[1, 2]",
    Holds.DAY: "2027-03-14",
    Holds.MOMENT: "2027-03-02T19:00:00",
    Holds.PLAYER_OR_ALL: '"all"',
}
"""How a value of each sort is written."""


def heading(name: str) -> str:
    """How a table or value is written: ``[[cue]]``, ``[limits]`` or ``concert = ...``."""
    if name in VALUES:
        return f"{name} = ..."
    return f"[[{name}]]" if name not in TABLES or TABLES[name].listed else f"[{name}]"
