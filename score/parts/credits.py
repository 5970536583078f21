"""Who wrote a piece and whose it is, as the score's own document says."""

from typing import NamedTuple

from lxml import etree


class Credits(NamedTuple):
    """What a part's first page says besides title and player.

    Attributes:
        authors: composer and arranger, a line each.
        rights: the copyright line, or "".
    """

    authors: tuple[str, ...] = ()
    rights: str = ""


def credits_of(head: bytes) -> Credits:
    """The credits of a document.

    Args:
        head: a MusicXML document up to its first part.
    """
    parser = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False, recover=True)
    root = etree.fromstring(head, parser)
    composer, arranger = _creator(root, "composer"), _creator(root, "arranger")
    if arranger and not arranger.lower().startswith("arr"):
        arranger = f"arr. {arranger}"
    rights = _words(root.findall("identification/rights")) or _credit(root, "rights")
    return Credits(tuple(line for line in (composer, arranger) if line), rights)


def _creator(root: etree._Element, kind: str) -> str:
    creators = [item for item in root.findall("identification/creator") if item.get("type") == kind]
    return _words(creators) or _credit(root, kind)


def _credit(root: etree._Element, kind: str) -> str:
    for credit in root.findall("credit"):
        if any((item.text or "").strip() == kind for item in credit.findall("credit-type")):
            return _words(credit.findall("credit-words"))
    return ""


def _words(elements: list[etree._Element]) -> str:
    texts = (" ".join((element.text or "").split()) for element in elements)
    return ", ".join(dict.fromkeys(text for text in texts if text))
