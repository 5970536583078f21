"""A bar of music as a line of text, and what it means.

Tokens are parted by spaces. A note is ``PITCHES:VALUE MARKS`` without the space:

    D4:q        a quarter; values are w h q e s t, dotted with a point (q.); later notes keep the value
    D3+A3:h     a chord; lower-case names (tri, tb1) are unpitched sounds of the part
    r:e   R     a rest; a rest over the whole bar
    (C4)D4:q    a grace stroke before the note

Marks after the value (or the pitch): ``>`` accent, ``^`` marcato, ``'`` staccato, ``-`` tenuto, ``%`` roll,
``~`` tied on, ``*`` let ring, ``!`` dead stroke, ``@`` fermata, and ``=RL`` or ``=14`` stickings.
``{4:3`` opens a tuplet of four in the time of three and ``}`` closes it.

A token that begins with a backslash is a direction at that moment: a dynamic (``\\mf``), a hairpin
(``\\<`` ``\\>`` and its end ``\\!``), ``\\damp``, ``\\to:NAME`` (take another instrument), ``\\clef:NAME``, or words
(``\\soft_yarn``).
"""

import re
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import reduce
from itertools import pairwise

VALUES = {
    "w": ("whole", Fraction(4)),
    "h": ("half", Fraction(2)),
    "q": ("quarter", Fraction(1)),
    "e": ("eighth", Fraction(1, 2)),
    "s": ("16th", Fraction(1, 4)),
    "t": ("32nd", Fraction(1, 8)),
}
_NOTE = re.compile(
    r"(?:\((?P<grace>[^)]+)\))?"
    r"(?P<pitches>R|r|[A-Za-z][\w#+]*)"
    r"(?::(?P<value>[whqest]\.*))?"
    r"(?P<marks>[>^'\-%~*!@]*)"
    r"(?:=(?P<sticking>[RL1-4]+))?$"
)


@dataclass(frozen=True, slots=True)
class Event:
    """A note, chord or rest of one voice.

    Attributes:
        at, length: place in the bar and length, quarters.
        pitches: "F#4" or names of unpitched sounds, as written; empty for a rest.
        value, dots: the written note value (MusicXML note-type-value) and its dots.
        marks: the mark letters.
        sticking: one letter or digit a note of the chord, or "".
        grace: pitch of a grace stroke before it, or "".
        tuplet: (actual, normal) or None.
        edge: "start", "stop", "both" or "" of its tuplet.
        whole_bar: a rest over the whole bar.
        tied_from: the note continues the one before it in this voice.
    """

    at: Fraction
    length: Fraction
    pitches: tuple[str, ...]
    value: str
    dots: int = 0
    marks: str = ""
    sticking: str = ""
    grace: str = ""
    tuplet: tuple[int, int] | None = None
    edge: str = ""
    whole_bar: bool = False
    tied_from: bool = False


@dataclass(frozen=True, slots=True)
class DirectionText:
    """A direction token at a place in the bar, without its backslash."""

    at: Fraction
    text: str


Item = Event | DirectionText


def read_bar(text: str, length: Fraction) -> list[Item]:
    """The items of one bar, in order.

    Raises:
        ValueError: a token that cannot be read, or a bar that is not exactly full.
    """
    state = _State()
    reduce(_take, text.split(), state)
    if any(isinstance(item, Event) and item.whole_bar for item in state.items):
        state.at = length
    items = [_filled(item, length) for item in state.items]
    if state.at != length or state.tuplet:
        raise ValueError(f"bar holds {state.at} quarters, not {length}: {text!r}")
    return items


def tie_over(bars: list[list[Item]]) -> list[list[Item]]:
    """The same bars of one voice with `tied_from` set on every note that a tie leads to."""
    tied = False
    out: list[list[Item]] = []
    for bar in bars:
        out.append([])
        for item in bar:
            if isinstance(item, Event):
                item, tied = replace(item, tied_from=tied), "~" in item.marks
            out[-1].append(item)
    if tied:
        raise ValueError("the last note is tied to nothing")
    _check_ties(out)
    return out


def close_before_barlines(bars: list[list[Item]]) -> list[list[Item]]:
    """The same bars with a hairpin that ends on a bar's first moment ended at the end of the bar before, as printed."""
    out = [list(bar) for bar in bars]
    for before, bar in pairwise(out):
        end = DirectionText(Fraction(0), "!")
        if end in bar:
            bar.remove(end)
            before.append(DirectionText(max(item.at + item.length for item in before if isinstance(item, Event)), "!"))
    return out


def bars_of(text: str) -> list[str]:
    """The bars of a passage written with ``|`` between them; ``R*5`` stands for five bars of rest."""
    bars: list[str] = []
    for bar in text.split("|"):
        many = re.fullmatch(r"R\*(\d+)", bar.strip())
        bars.extend(["R"] * int(many[1]) if many else [" ".join(bar.split())])
    return bars


class _State:
    """Where reading a bar stands."""

    def __init__(self) -> None:
        self.items: list[Item] = []
        self.at = Fraction(0)
        self.value = ""
        self.tuplet: tuple[int, int] | None = None
        self.first = False


def _take(state: _State, token: str) -> _State:
    if token.startswith("\\"):
        state.items.append(DirectionText(state.at, token[1:]))
    elif token.startswith("{"):
        actual, normal = token[1:].split(":")
        state.tuplet, state.first = (int(actual), int(normal)), True
    elif token == "}":
        _close_tuplet(state)
    else:
        _take_note(state, token)
    return state


def _take_note(state: _State, token: str) -> None:
    match = _NOTE.match(token)
    state.value = (match["value"] if match else None) or state.value
    if not match or not (state.value or match["pitches"] == "R"):
        raise ValueError(f"cannot read {token!r}")
    if match["pitches"] == "R":
        state.items.append(Event(state.at, Fraction(0), (), value="whole", marks=match["marks"], whole_bar=True))
        return
    name, plain = VALUES[state.value[0]]
    dots = state.value.count(".")
    length = plain * (2 - Fraction(1, 2**dots))
    if state.tuplet:
        length = length * state.tuplet[1] / state.tuplet[0]
    pitches = () if match["pitches"] == "r" else tuple(match["pitches"].split("+"))
    edge, state.first = ("start" if state.first else ""), False
    sticking, grace = match["sticking"] or "", match["grace"] or ""
    note = Event(
        state.at,
        length,
        pitches,
        value=name,
        dots=dots,
        marks=match["marks"],
        sticking=sticking,
        grace=grace,
        tuplet=state.tuplet,
        edge=edge,
    )
    state.items.append(note)
    state.at += length


def _close_tuplet(state: _State) -> None:
    index = max(i for i, item in enumerate(state.items) if isinstance(item, Event))
    last = state.items[index]
    assert isinstance(last, Event)
    state.items[index] = replace(last, edge="stop")
    state.tuplet = None


def _filled(item: Item, length: Fraction) -> Item:
    return replace(item, length=length) if isinstance(item, Event) and item.whole_bar else item


def _check_ties(bars: list[list[Item]]) -> None:
    events = [item for bar in bars for item in bar if isinstance(item, Event)]
    for before, after in pairwise(events):
        if "~" in before.marks and before.pitches != after.pitches:
            raise ValueError(f"tie from {before.pitches} to {after.pitches}")
