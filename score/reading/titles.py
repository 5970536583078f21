"""The title of a score.

Source: MusicXML 4.0, work-title, movement-title, credit with credit-type "title".
"""

from score.reading.xml_cursor import Element


def score_title(root: Element, stem: str) -> str:
    """The printed title, the movement's after the work's where both are there, else the file's stem."""
    work, movement = _text(root, "work/work-title"), _text(root, "movement-title")
    if work and movement and movement.casefold() not in work.casefold():
        return f"{work}, {movement}"
    return work or movement or _credit(root) or stem


def _credit(root: Element) -> str:
    for credit in root.iterfind("credit"):
        if any((kind.text or "").strip() == "title" for kind in credit.iterfind("credit-type")):
            return _text(credit, "credit-words")
    return ""


def _text(root: Element, path: str) -> str:
    return " ".join(root.findtext(path, "").split())
