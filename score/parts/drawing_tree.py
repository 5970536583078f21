"""Steps in an XML tree that every drawing and document of a part is worked on with."""

from typing import cast

from lxml import etree

from score.parts.drawn_staves import SVG

_IDS = etree.XPath("//@id", smart_strings=False)


def drawing_paths(*paths: str) -> tuple[etree.XPath, ...]:
    """Paths through a drawing, in which ``s:`` stands before the names of SVG."""
    return tuple(etree.XPath(path, namespaces={"s": SVG.strip("{}")}) for path in paths)


def elements(path: etree.XPath, element: etree._Element) -> list[etree._Element]:
    """The elements that a path finds below an element."""
    return cast("list[etree._Element]", path(element))


def ids_in(root: etree._Element) -> set[str]:
    """The ids that a MusicXML document uses."""
    return set(cast("list[str]", _IDS(root)))


def markup(element: etree._Element) -> str:
    """An element as text, without what follows it."""
    return etree.tostring(element, encoding="unicode", with_tail=False)


def parsed(xml: bytes) -> etree._Element:
    """The root of a MusicXML document; nothing beside it is loaded."""
    return etree.fromstring(xml, etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False))


def parsed_engraving(xml: str) -> etree._Element:
    """The root of what the engraver has written; a table of its ids would take half the time again."""
    # Where a document names a type, leaving out the table would have that type loaded: the engraver's name none.
    return etree.fromstring(xml.encode(), etree.XMLParser(huge_tree=True, collect_ids=False))


def drop(element: etree._Element) -> None:
    """Take an element out of its tree; text that follows it goes too."""
    parent = element.getparent()
    if parent is not None:
        parent.remove(element)


def dissolve(holder: etree._Element) -> None:
    """Put what an element holds in its place."""
    for child in list(holder):
        holder.addprevious(child)
    drop(holder)
