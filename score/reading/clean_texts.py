"""Every text of a score made harmless, once, before anything reads it; letters in a wrong encoding are set right.

Exporters write bytes of another encoding as if they were Latin-1. Control characters from 0x80 to 0x9F give it away:
Latin-1 has no letters there, Windows-1252 has quotation marks, and Shift-JIS (cp932) has first halves of kana and
kanji. What is left of controls and of marks that turn the direction of writing is dropped.
"""

import re

from lxml import etree

from score.plain_text import harmless, is_harmless
from score.reading.reading_log import WarningLog
from score.reading.xml_cursor import Element

_C1 = re.compile("[\x80-\x9f]")
# In UTF-8: C1, U+061C, U+200E to U+202E, U+2066 to U+206F, U+FEFF and U+FFF9 to U+FFFB, tags; and written as numbers.
_SUSPECT = re.compile(
    rb"\xc2[\x80-\x9f]|\xd8\x9c|\xe2\x80[\x8e\x8f\xa8-\xae]|\xe2\x81[\xa6-\xaf]|\xef\xbb\xbf|\xef\xbf[\xb9-\xbb]"
    rb"|\xf3\xa0[\x80\x81]|\x7f|&#"
)
_JAPANESE = re.compile("[\u3040-\u30ff\u4e00-\u9fff\uff01-\uff5e\uff61-\uff9f\u3000-\u303f]+")
_KANA = re.compile("[\u3041-\u30fe\uff66-\uff9d]")


def clean_texts(root: Element, xml: bytes, log: WarningLog) -> None:
    """Clean every text and attribute of a score in place; most scores need no look.

    Args:
        root: the score.
        xml: the UTF-8 bytes it came from.
        log: notes that something was left out or set right.
    """
    if not needs_cleaning(xml):
        return
    said: set[str] = set()
    for element in root.iter():
        if not isinstance(element, etree._Element) or not isinstance(element.tag, str):
            continue
        if element.text and not is_harmless(element.text):
            element.text = _cleaned(element.text, said)
        if element.tail and not is_harmless(element.tail):
            element.tail = _cleaned(element.tail, said)
        for name, value in element.attrib.items():
            if not is_harmless(str(value)):
                element.set(name, _cleaned(str(value), said))
    for what in sorted(said):
        log.add(what)


def needs_cleaning(xml: bytes) -> bool:
    """Whether the UTF-8 bytes of a score hold anything that must be looked at."""
    return _SUSPECT.search(xml) is not None


def readable(text: str) -> str:
    """A text whose letters were taken for Latin-1, as it was meant; any other as it is.

    cp932 counts only where all it gives is Japanese with kana among it: an apostrophe of Windows-1252 before a letter
    makes a kanji too.
    """
    if not _C1.search(text):
        return text
    try:
        letters = text.encode("latin-1")
    except UnicodeEncodeError:
        return text
    japanese = letters.decode("cp932", "replace")
    words = "".join(re.split(r"[\s\d()/.,-]+", japanese))
    if _JAPANESE.fullmatch(words) and _KANA.search(words):
        return japanese
    return letters.decode("cp1252", "ignore")


def _cleaned(text: str, said: set[str]) -> str:
    meant = readable(text)
    if meant != text:
        said.add("some of its texts stand in another encoding than the file says; they were set right")
    plain = harmless(meant)
    if plain != meant:
        said.add("control characters, or marks that turn the direction of writing, were left out of its texts")
    return plain
