"""Runs of empty bars joined into multi-bar rests, broken where players expect it."""

from collections.abc import Iterator, Sequence

from lxml import etree

from score.parts.drawing_tree import drop
from score.parts.printed_bar import MEI, PrintedBar, tstamp
from score.piece import Bar, Piece

RANGE = "range"
"""Type of the bars below a multi-bar rest."""
_RANGE_TEXT = "80%"
_CLEAR_OF_REST = "-2"
"""Half spaces further down: on a staff of one line the engraver does not see how low the rest's block reaches."""
_LEAST_TACET = 2
_RESTING = {MEI + name for name in ("rest", "mRest", "mSpace", "space", "multiRest")}


def join_rests(bars: Sequence[PrintedBar], piece: Piece, parts: Sequence[range]) -> list[PrintedBar]:
    """Join runs of empty bars into multi-bar rests; a mark, a cue or a change of any kind breaks a run."""
    joined: list[PrintedBar] = []
    for bar in bars:
        last = joined[-1] if joined else None
        if last is not None and _continues(last, bar, piece, parts):
            _absorb(last, bar)
        else:
            joined.append(bar)
    for bar in joined:
        if bar.last > bar.first:
            _write_multi_rest(bar, parts)
            _add_range(bar, piece, parts)
    _add_tacet(joined, piece, parts)
    return joined


def _continues(last: PrintedBar, bar: PrintedBar, piece: Piece, parts: Sequence[range]) -> bool:
    if last.cued or bar.cued or bar.measure.getprevious() is not last.measure:
        return False  # a change of key or meter, an ending or a section stands between
    before = piece.bars[last.last]
    plain_line = before.barline == "regular" and not before.repeat_times and not piece.bars[bar.first].repeat_start
    return (
        plain_line
        and not piece.bars[bar.first].rehearsal_mark
        and before.meter.text == piece.bars[bar.first].meter.text
        and _is_silent(last.measure, parts)
        and _is_silent(bar.measure, parts)
        and not _events(bar.measure)
        and not any(_is_late(event) for event in _events(last.measure))
    )


def _is_silent(measure: etree._Element, parts: Sequence[range]) -> bool:
    """Every staff of the player holds one layer with nothing but rest in it, without a sign on it."""
    for staff in _own_staves(measure, parts):
        for layer in staff.findall(MEI + "layer"):
            if any(child.tag not in _RESTING or len(child) for child in layer):
                return False
    return True


def _events(measure: etree._Element) -> list[etree._Element]:
    return [child for child in measure if child.tag != MEI + "staff"]


def _is_late(event: etree._Element) -> bool:
    """Whether a sign stands after the beginning of its bar, where a multi-bar rest has no place for it."""
    return float(event.get("tstamp", "9")) > 1


def _absorb(rest: PrintedBar, bar: PrintedBar) -> None:
    right = bar.measure.get("right")
    if right is not None:
        rest.measure.set("right", right)
    rest.last = bar.last
    drop(bar.measure)


def _write_multi_rest(bar: PrintedBar, parts: Sequence[range]) -> None:
    """One figure a player: those of the lower staves are not printed."""
    for position, staff in enumerate(_own_staves(bar.measure, parts)):
        for layer in staff.findall(MEI + "layer"):
            staff.remove(layer)
        layer = etree.SubElement(staff, MEI + "layer", n="1")
        rest = etree.SubElement(layer, MEI + "multiRest", num=str(bar.last - bar.first + 1))
        if position:
            rest.set("num.visible", "false")


def _add_range(bar: PrintedBar, piece: Piece, parts: Sequence[range]) -> None:
    """The bars that a multi-bar rest stands for, in the middle below it."""
    first, last = piece.bars[bar.first], piece.bars[bar.last]
    if first.label and last.label:
        text = f"{first.label}\u2013{last.label}", _RANGE_TEXT
        words = _words(bar, first, text, staff=parts[-1][-1], place="below")
        words.set("vo", _CLEAR_OF_REST)
        words.set("type", RANGE)


def _add_tacet(joined: Sequence[PrintedBar], piece: Piece, parts: Sequence[range]) -> None:
    """Say "tacet to the end" where a player has nothing more, not even a cue."""
    rest: PrintedBar | None = None
    for bar in reversed(joined):
        if bar.cued or not _is_silent(bar.measure, parts):
            break
        rest = bar
    if rest is not None and piece.bars[-1].index - rest.first + 1 >= _LEAST_TACET:
        _words(rest, piece.bars[rest.first], ("tacet to the end", "100%"), staff=parts[0][0], place="above")


def _words(bar: PrintedBar, first: Bar, text: tuple[str, str], staff: int, place: str) -> etree._Element:
    """Words of a size over or under the middle of a bar."""
    # A beat before the middle: the engraver sets a word's middle beside a head, not over it.
    where = {"staff": str(staff), "place": place, "tstamp": tstamp(first.length / 2, first)}
    words = etree.SubElement(bar.measure, MEI + "dir", where)
    rend = etree.SubElement(words, MEI + "rend", halign="center", fontsize=text[1])
    rend.text = text[0]
    return words


def _own_staves(measure: etree._Element, parts: Sequence[range]) -> Iterator[etree._Element]:
    numbers = {str(number) for part in parts for number in part}
    return (staff for staff in measure.findall(MEI + "staff") if staff.get("n") in numbers)
