"""The title of a score.

Source: MusicXML 4.0, work-title, movement-title, credit with credit-type "title".
"""

from score.reading.xml_cursor import Element


def score_title(root: Element) -> str:
    """The printed title, the movement's after the work's where both are there; "" where the score has none."""
    work, movement = _text(root, "work/work-title"), _text(root, "movement-title")
    if work and movement and movement.casefold() not in work.casefold():
        return f"{work}, {movement}"
    return work or movement or _credit(root)


def _credit(root: Element) -> str:
    for credit in root.iterfind("credit"):
        if any((kind.text or "").strip() == "title" for kind in credit.iterfind("credit-type")):
            return _text(credit, "credit-words")
    return ""


def _text(root: Element, path: str) -> str:
    return " ".join(root.findtext(path, "").split())
