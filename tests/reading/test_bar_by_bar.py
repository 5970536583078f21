"""Bytes written bar by bar against lxml's own serialization of the whole tree (lxml.etree.tostring)."""

from pathlib import Path

import music21
import pytest
from lxml import etree

from score.reading.archive import ZIP_MAGIC, unpack_score
from score.reading.bar_by_bar import PARSING, serialized_by_bars
from score.reading.reading_log import WarningLog

CORPUS = Path(music21.__file__).parent / "corpus"
FILES = sorted([*CORPUS.rglob("*.mxl"), *CORPUS.rglob("*.xml")])[::40]
STRANGE = (
    "<score-partwise><part><measure/><!-- a word --><measure number='1'>\n<note/>\r\n</measure>tail</part>"
    "</score-partwise>",
    "<score-partwise><part><measure><![CDATA[<&]]><?go on?></measure></part></score-partwise>",
    "<score-partwise><part><measure><measure><note a='\"'/></measure> x</measure></part></score-partwise>",
    "<?xml version='1.0'?><!DOCTYPE score-partwise SYSTEM 'a.dtd'><score-partwise><part>é<measure>&#233;</measure>"
    "</part></score-partwise><!-- after -->",
)


def _of_tree(text: bytes) -> bytes:
    root = etree.fromstring(text, etree.XMLParser(encoding="utf-8", **PARSING))
    whole: bytes = etree.tostring(root.getroottree(), encoding="UTF-8", xml_declaration=True)
    return whole


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_the_corpus_comes_out_as_from_the_whole_tree(path: Path) -> None:
    content = path.read_bytes()
    text = unpack_score(path.name, content, WarningLog()) if content.startswith(ZIP_MAGIC) else content
    if b"UTF-16" in text[:100] or text[:2] in (b"\xff\xfe", b"\xfe\xff"):
        text = text.decode("utf-16").encode()
    assert serialized_by_bars(text) == _of_tree(text)


@pytest.mark.parametrize("text", STRANGE)
def test_strange_documents_come_out_the_same_or_not_at_all(text: str) -> None:
    assert serialized_by_bars(text.encode()) in (_of_tree(text.encode()), None)


def test_a_broken_document_is_said() -> None:
    with pytest.raises(etree.XMLSyntaxError):
        serialized_by_bars(b"<score-partwise><part><measure></part></score-partwise>")
