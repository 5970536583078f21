"""Wavy lines from their first note to their last, as a score writes them."""

from collections.abc import Iterator
from typing import NamedTuple

from lxml import etree


class WavyLine(NamedTuple):
    """A wavy line.

    Attributes:
        signs: its elements, from the one that begins it on.
        has_end: whether the last of them ends it.
    """

    signs: tuple[etree._Element, ...]
    has_end: bool

    @property
    def is_lone(self) -> bool:
        """Whether it begins on a note with a trill's mark and no later note goes on with it.

        It is as long as its note, which may leave no room for it.
        """
        notes = {next(sign.iterancestors("note")) for sign in self.signs}
        return len(notes) == 1 and notes.pop().find("notations/ornaments/trill-mark") is not None


def wavy_lines(part: etree._Element) -> Iterator[WavyLine]:
    """The wavy lines of a part of MusicXML; what goes on with none that has begun is left out."""
    begun: dict[str, list[etree._Element]] = {}
    # Few parts have any: to look at every note takes far longer.
    if next(part.iter("wavy-line"), None) is None:
        return
    for sign in part.iterfind("measure/note/notations/ornaments/wavy-line"):
        number, kind = sign.get("number") or "1", sign.get("type")
        if kind == "start":
            if number in begun:
                yield WavyLine(tuple(begun[number]), has_end=False)
            begun[number] = [sign]
        elif number in begun:
            begun[number].append(sign)
            if kind == "stop":
                yield WavyLine(tuple(begun.pop(number)), has_end=True)
    for signs in begun.values():
        yield WavyLine(tuple(signs), has_end=False)
