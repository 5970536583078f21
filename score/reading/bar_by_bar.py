"""A score's bytes as its whole tree would give them, without ever holding the whole tree.

What is kept of a score (its digest, the source of its parts) are the bytes that lxml writes of its tree with all its
blanks. That tree is twice as large as the one that is read; so it is built and written a bar at a time.
"""

from io import BytesIO
from typing import Final, TypedDict

from lxml import etree


class Parsing(TypedDict):
    """How every tree of a score is parsed: nothing is fetched, expanded or allowed to grow beyond libxml2's bounds."""

    resolve_entities: bool
    no_network: bool
    load_dtd: bool
    huge_tree: bool
    strip_cdata: bool


PARSING: Final[Parsing] = {
    "resolve_entities": False,
    "no_network": True,
    "load_dtd": False,
    "huge_tree": False,
    "strip_cdata": True,
}

_STAND_IN = "inbreath-bar"


def serialized_by_bars(text: bytes) -> bytes | None:
    """What `etree.tostring` gives of the parsed document with a declaration, in UTF-8.

    Args:
        text: a partwise score in UTF-8, without namespaces.

    Returns:
        the bytes, or None where the document does not divide into bars.

    Raises:
        XMLSyntaxError: it is not well-formed.
    """
    bars: list[bytes] = []
    walk = etree.iterparse(BytesIO(text), events=("end",), tag="measure", encoding="utf-8", **PARSING)
    for _, measure in walk:
        bars.append(etree.tostring(measure, encoding="UTF-8", xml_declaration=False, with_tail=False))
        measure.clear(keep_tail=True)
        measure.tag = _STAND_IN
    rest: bytes = etree.tostring(walk.root.getroottree(), encoding="UTF-8", xml_declaration=True)
    between = rest.split(f"<{_STAND_IN}/>".encode())
    if len(between) != len(bars) + 1:
        return None
    return b"".join(piece for pair in zip(between, (*bars, b""), strict=True) for piece in pair)
