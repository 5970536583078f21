"""An entry of the group's file in the words of a rehearsal: where it is, and what is done there."""

from collections.abc import Callable, Mapping
from typing import Any

from score.errors import InbreathError
from score.group.group_tables import AGREED_KINDS
from score.piece import Piece
from score.places import bar_name, bars_name, find_bar, find_bars

Values = Mapping[str, Any]

SHAPE_WORDS = {
    "forward": ("leans forward", "lean forward"),
    "back": ("holds back", "hold back"),
    "top": ("stretches the top", "stretch the top"),
    "end": ("stretches the end", "stretch the end"),
}
"""Each shape as somebody does it, and as everybody is asked to."""


def figure(value: object) -> str:
    """A figure as it is said: 8, 0.5."""
    return f"{value:g}" if isinstance(value, float) else str(value)


def entry_place(piece: Piece, values: Values) -> str:
    """Where an entry is: "bars 57-64", "bar 25, beat 3", or its own text where the score has no such bar."""
    text = str(values.get("bars") or values.get("bar") or "")
    if not text:
        return ""
    try:
        bars = find_bars(piece, text) if "bars" in values else range(find_bar(piece, text), find_bar(piece, text) + 1)
    except InbreathError:
        return f"bar {text}"
    name = bars_name(piece, bars) if len(bars) > 1 else bar_name(piece, bars[0])
    beat = f", beat {figure(values['beat'])}" if "beat" in values else ""
    return f"bar{'s' * (len(bars) > 1)} {name}{beat}"


def entry_words(name: str, values: Values, subject: bool = True) -> str:
    """What an entry does: "2 holds back 8 %"; without a subject "hold back 8 %"."""
    if name not in AGREED_KINDS:
        fields = ", ".join(f"{key} {_plain(value)}" for key, value in values.items() if key != "id")
        return f"{name}: {fields}" if name != next(iter(values), "") else fields
    return _WORDS[name](values, subject)


def _shape(values: Values, subject: bool) -> str:
    does, do = SHAPE_WORDS.get(str(values.get("kind")), (str(values.get("kind")), str(values.get("kind"))))
    who = values.get("player") or values.get("by")
    amount = f" {figure(values['percent'])} %" if "percent" in values else ""
    top = f", top at {values['top']}" if "top" in values else ""
    return (f"{who} {does}" if who and subject else do) + amount + top


def _breath(values: Values, subject: bool) -> str:
    length = f" for {figure(values['seconds'])} s" if "seconds" in values else ""
    return f"{values.get('player', 'everybody')} breathes{length}" if "player" in values else f"all breathe{length}"


def _lead(values: Values, subject: bool) -> str:
    return f"{values.get('player', 'nobody')} leads"


def _hold(values: Values, subject: bool) -> str:
    kind = str(values.get("kind", "hold"))
    seconds = figure(values.get("seconds", 2.0))
    return {"wait": f"wait {seconds} s", "short": f"cut the wait short by {seconds} s"}.get(kind, f"hold {seconds} s")


def _look(values: Values, subject: bool) -> str:
    who = values.get("player")
    return f"{who} looks at {values.get('at', '')}" if who else f"all look at {values.get('at', '')}"


def _note(values: Values, subject: bool) -> str:
    who = values.get("player", "all")
    return f'"{values.get("text", "")}" to {who}'


_WORDS: Mapping[str, Callable[[Values, bool], str]] = {
    "shape": _shape,
    "breath": _breath,
    "lead": _lead,
    "hold": _hold,
    "look": _look,
    "note": _note,
}


def _plain(value: object) -> str:
    if isinstance(value, list):
        return ", ".join(map(str, value))
    return figure(value)
