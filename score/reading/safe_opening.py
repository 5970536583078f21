"""A score file to a partwise tree, trusting nothing: sizes, archive, encoding, markup, then the parser.

Everything that is refused is refused before a tree is built where that can be told from the bytes, with
one line. The file itself is only ever read.
"""

import stat
from collections.abc import Iterator
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple
from xml.parsers import expat

from lxml import etree

from score.errors import ScoreFileError
from score.reading.archive import ZIP_MAGIC, unpack_score
from score.reading.bar_by_bar import PARSING, serialized_by_bars
from score.reading.clean_texts import clean_texts, needs_cleaning
from score.reading.encoding import to_utf8
from score.reading.reading_log import WarningLog
from score.reading.reading_result import Source
from score.reading.size_limits import MOST_BYTES, check_score, check_size, check_text
from score.reading.timewise import partwise
from score.reading.xml_cursor import Element

_ROOTS = ("score-partwise", "score-timewise")
_SMALL = 2**20
_USE_SCORE = "use a MusicXML score (.musicxml, .xml or .mxl)"
_KNOWN = (
    (b"MThd", "a MIDI file"),
    (b"%PDF", "a PDF file"),
    (b"\x1f\x8b", "a gzip file"),
    (b"\x89PNG", "a picture"),
    (b"RIFF", "a sound file"),
)


class OpenedScore(NamedTuple):
    """A score that has been opened.

    Attributes:
        root: `<score-partwise>` without namespaces and without blanks between elements, unrepaired; for reading only.
        source: the same as bytes, blanks and all.
    """

    root: Element
    source: Source


def open_document(path: Path, log: WarningLog) -> OpenedScore:
    """Open a MusicXML 1.0-4.0 score, plain or compressed, partwise or timewise.

    Raises:
        ScoreFileError: whatever cannot be read as a score, or should not be.
    """
    name = path.name or str(path)
    text = to_utf8(name, _score_bytes(name, path, log), log)
    _check_head(name, text)
    # Of a small file the plainest word comes first, of a large one the cheapest check.
    checks = (_check_markup, check_text) if len(text) < _SMALL else (check_text, _check_markup)
    for check in checks:
        check(name, text)
    xml = _untouched(name, text) or _put_right(name, text, log)
    del text
    # Reading asks for no blank between elements: without it a tree is little more than half as large.
    root = _parse(name, xml, blanks=False)
    check_score(name, root)
    return OpenedScore(root, Source(path, xml, sha256(xml).hexdigest()))


def _untouched(name: str, text: bytes) -> bytes | None:
    """The bytes of a score that needs nothing put right, serialized as the whole tree would be; None for any other."""
    if b"xmlns" in text or needs_cleaning(text) or b"<score-timewise" in text[:4096]:
        return None
    with _syntax_said(name):
        return serialized_by_bars(text)


def _put_right(name: str, text: bytes, log: WarningLog) -> bytes:
    """The same from a whole tree, which goes again when this returns: foreign names, foul texts, timewise scores."""
    root = _parse(name, text)
    if b"xmlns" in text:
        _drop_namespaces(root, log)
    clean_texts(root, text, log)
    xml: bytes = etree.tostring(_partwise_root(name, root).getroottree(), encoding="UTF-8", xml_declaration=True)
    return xml


def _score_bytes(name: str, path: Path, log: WarningLog) -> bytes:
    content = _file_bytes(name, path)
    if content.startswith(ZIP_MAGIC):
        content = unpack_score(name, content, log)
    if not content.strip(b"\0 \t\r\n"):
        raise ScoreFileError("Empty file", f"{name} holds nothing", _USE_SCORE)
    for magic, kind in _KNOWN:
        if content.startswith(magic):
            raise ScoreFileError("Not a score", f"{name} is {kind}", _USE_SCORE)
    return content


def _file_bytes(name: str, path: Path) -> bytes:
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            raise ScoreFileError("Not a score", f"{name} is a folder", "name a score file inside it")
        if not stat.S_ISREG(status.st_mode):
            raise ScoreFileError("Not a score", f"{name} is not an ordinary file", _USE_SCORE)
        check_size(name, status.st_size)
        with path.open("rb") as file:
            content = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise ScoreFileError("No such file", str(path), "check the name and the folder") from None
    except (OSError, ValueError) as error:
        raise ScoreFileError("File unreadable", f"{name}: {error}", "check that you may read it") from error
    check_size(name, len(content))
    return content


class _MarkupCheck:
    """Looks at document type and root element as they come, so that nothing is expanded first."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.parser = expat.ParserCreate("utf-8")
        self.parser.StartDoctypeDeclHandler = self._doctype
        self.parser.StartElementHandler = self._root

    def _doctype(self, root: str, system: str | None, public: str | None, has_internal_subset: int) -> None:
        if root.lower() == "html":
            raise _not_a_score(self.name, "html")
        if has_internal_subset:
            raise ScoreFileError(
                "Document type refused",
                f"{self.name} declares entities or elements of its own",
                "export the score again; MusicXML needs no such declarations",
            )

    def _root(self, tag: str, attributes: dict[str, str]) -> None:
        if tag.rpartition(":")[2] not in _ROOTS:
            raise _not_a_score(self.name, tag)
        self.parser.StartElementHandler = None


def _check_head(name: str, text: bytes) -> None:
    """What the beginning tells already."""
    head = text[:1000].lstrip().lower()
    if head.startswith((b"<!doctype html", b"<html")):
        raise _not_a_score(name, "html")
    if not head.startswith(b"<"):
        raise ScoreFileError("Not XML", f"{name} is not XML", _USE_SCORE)


def _check_markup(name: str, text: bytes) -> None:
    check = _MarkupCheck(name)
    try:
        check.parser.Parse(text, True)
    except expat.ExpatError as error:
        raise _broken(name, text, str(error)) from error


def _broken(name: str, text: bytes, why: str) -> ScoreFileError:
    if not text.rstrip().endswith(b">") or "no element found" in why or "unclosed" in why:
        return ScoreFileError("Score cut short", f"{name} ends too early ({why})", "copy or export it again")
    return ScoreFileError("Broken XML", f"{name} is not well-formed ({why})", "export the score again")


def _not_a_score(name: str, tag: str) -> ScoreFileError:
    if tag == "html":
        return ScoreFileError("Not a score", f"{name} is a web page", "download the score file itself")
    if tag == "opus":
        return ScoreFileError("Not a score", f"{name} is a list of scores", "open one of the scores it names")
    return ScoreFileError("Not a score", f"{name} is XML, but begins with <{tag[:40]}>", _USE_SCORE)


def _parse(name: str, text: bytes, blanks: bool = True) -> Element:
    with _syntax_said(name):
        root = etree.fromstring(text, etree.XMLParser(encoding="utf-8", remove_blank_text=not blanks, **PARSING))
    entity = next(root.iter(etree.Entity), None)
    if entity is not None:
        raise ScoreFileError("Document type refused", f"{name} uses the entity {entity.text}", "export the score again")
    return root


@contextmanager
def _syntax_said(name: str) -> Iterator[None]:
    try:
        yield
    except (etree.XMLSyntaxError, ValueError) as error:
        raise ScoreFileError("Broken XML", f"{name} is not well-formed ({error})", "export the score again") from error


def _partwise_root(name: str, root: Element) -> Element:
    if root.tag not in _ROOTS:
        raise _not_a_score(name, str(root.tag))
    return partwise(root) if root.tag == "score-timewise" else root


def _drop_namespaces(root: Element, log: WarningLog) -> None:
    spaced = [item for item in root.iter("{*}*") if str(item.tag).startswith("{")]
    for item in spaced:
        item.tag = etree.QName(item).localname
    if spaced:
        etree.cleanup_namespaces(root)
        log.add("the elements stand in an XML namespace, which MusicXML has none of; it was dropped")
