"""Bytes of an XML document to UTF-8, whatever encoding it is in or claims to be in.

Source: XML 1.0, appendix F (detection of encodings): a byte order mark, then the shape of the first
bytes, then the declaration, then UTF-8.
"""

import codecs
import re

from score.errors import ScoreFileError
from score.reading.reading_log import WarningLog

_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_SHAPES = ((b"<\0?\0", "utf-16-le"), (b"\0<\0?", "utf-16-be"), (b"<\0s\0", "utf-16-le"), (b"\0<\0s", "utf-16-be"))
_DECLARED = re.compile(rb"""^\s*<\?xml[^>]{0,200}?encoding\s*=\s*["']([A-Za-z0-9._-]{1,40})["']""")
_DECLARATION = re.compile(r"^\s*<\?xml\b[^>]{0,400}\?>")
_TEXT_ENCODINGS = re.compile(
    r"utf-?8|us-?ascii|ascii|iso-?8859-?\d{1,2}|latin-?\d{1,2}|windows-?125\d|cp125\d|macintosh|mac-?roman"
    r"|shift-?jis|euc-?(jp|kr)|gbk?|gb2312|gb18030|big5|koi8-?[ru]"
)


def to_utf8(name: str, content: bytes, log: WarningLog) -> bytes:
    """The document as UTF-8 without byte order mark and without XML declaration.

    Raises:
        ScoreFileError: an encoding that is not for text, or bytes that do not fit theirs.
    """
    text = _decode(name, content, log)
    declaration = _DECLARATION.match(text)
    return (text[declaration.end() :] if declaration else text).encode("utf-8", "surrogatepass")


def _decode(name: str, content: bytes, log: WarningLog) -> str:
    for mark, encoding in _MARKS:
        if content.startswith(mark):
            return _strict(name, content[len(mark) :], encoding)
    for shape, encoding in _SHAPES:
        if content.startswith(shape):
            return _strict(name, content, encoding)
    declared = _declared(name, content)
    try:
        return content.decode(declared)
    except UnicodeDecodeError:
        if declared not in ("utf-8", "utf8", "ascii", "us-ascii"):
            raise _unreadable(name, declared) from None
    log.add(f"the file says it is {declared.upper()} but is not; it was read as Latin-1")
    return content.decode("latin-1")


def _declared(name: str, content: bytes) -> str:
    declaration = _DECLARED.match(content[:600])
    encoding = declaration.group(1).decode("ascii").lower().replace("_", "-") if declaration else "utf-8"
    if encoding.startswith("utf-16"):
        return "utf-8"  # It cannot be: the declaration itself was readable byte by byte.
    if not _TEXT_ENCODINGS.fullmatch(encoding):
        raise _unreadable(name, encoding)
    try:
        return codecs.lookup(encoding).name
    except LookupError:
        raise _unreadable(name, encoding) from None


def _strict(name: str, content: bytes, encoding: str) -> str:
    try:
        return content.decode(encoding)
    except UnicodeDecodeError:
        raise _unreadable(name, encoding) from None


def _unreadable(name: str, encoding: str) -> ScoreFileError:
    return ScoreFileError("Encoding unreadable", f"{name} is not readable as {encoding}", "save the score as UTF-8")
