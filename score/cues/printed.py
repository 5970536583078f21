"""A measure on its way to the page."""

from dataclasses import dataclass

from lxml import etree

MEI = "{http://www.music-encoding.org/ns/mei}"


@dataclass(slots=True)
class PrintedBar:
    """One measure as it is printed.

    Attributes:
        measure: its MEI element.
        first, last: indices of the bars it stands for; they differ for a multi-bar rest.
        cued: a cue stands in it.
    """

    measure: etree._Element
    first: int
    last: int
    cued: bool


def remove(element: etree._Element) -> None:
    """Take an element out of its document."""
    parent = element.getparent()
    if parent is not None:
        parent.remove(element)
