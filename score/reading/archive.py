"""The score inside a compressed MusicXML file (.mxl), unpacked without trusting the archive.

Source: MusicXML 4.0, "Compressed .mxl files": a zip whose META-INF/container.xml names the root files,
the first of which is the score.
"""

import zipfile
from io import BytesIO

from lxml import etree

from score.errors import ScoreFileError
from score.reading.reading_log import WarningLog
from score.reading.size_limits import MOST_BYTES, check_size

ZIP_MAGIC = b"PK"
_ENTRY_MAGIC = b"PK\x01\x02"
_MOST_ENTRIES = 2_000
_CONTAINER = "META-INF/container.xml"
_MOST_CONTAINER_BYTES = 256 * 1024
_SCORE_TYPES = ("", "application/vnd.recordare.musicxml+xml", "application/vnd.recordare.musicxml")
_REMEDY = "export the score again, or unpack it and use the .musicxml inside"


def unpack_score(name: str, packed: bytes, log: WarningLog) -> bytes:
    """The score's own bytes out of an .mxl archive.

    Args:
        name: the file's name, for messages.
        packed: the whole archive.
        log: notes an archive without a container.

    Raises:
        ScoreFileError: broken, encrypted, too large once unpacked, or naming paths outside itself.
    """
    if packed.count(_ENTRY_MAGIC) > _MOST_ENTRIES:
        raise ScoreFileError("Archive refused", f"{name} lists over {_MOST_ENTRIES} files", _REMEDY)
    try:
        with zipfile.ZipFile(BytesIO(packed)) as archive:
            _check_entries(name, archive)
            return _read(name, archive, _root_file(name, archive, log), MOST_BYTES)
    except ScoreFileError:
        raise
    except Exception as error:  # each way of packing has errors of its own
        raise ScoreFileError("Archive broken", f"{name} cannot be unpacked ({error})", _REMEDY) from error


def _check_entries(name: str, archive: zipfile.ZipFile) -> None:
    total = 0
    for entry in archive.infolist():
        _check_path(name, entry.filename)
        total += entry.file_size
    check_size(f"{name}, unpacked,", total)


def _check_path(name: str, path: str) -> None:
    plain = path.replace("\\", "/")
    if ".." in plain.split("/") or plain.startswith("/") or ":" in plain or "\0" in plain:
        raise ScoreFileError("Archive refused", f"{name} names a path outside itself ({path[:60]!r})", _REMEDY)


def _root_file(name: str, archive: zipfile.ZipFile, log: WarningLog) -> str:
    names = archive.namelist()
    if _CONTAINER in names:
        return _container_root(name, _read(name, archive, _CONTAINER, _MOST_CONTAINER_BYTES))
    scores = [item for item in names if item.lower().endswith((".musicxml", ".xml")) and "META-INF" not in item]
    if len(scores) != 1:
        raise ScoreFileError("Archive without a score", f"{name} does not say which file is its score", _REMEDY)
    log.add(f"the archive has no {_CONTAINER}; its only score, {scores[0]}, was taken")
    return scores[0]


def _container_root(name: str, container: bytes) -> str:
    parser = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False)
    try:
        root = etree.fromstring(container, parser)
    except (etree.XMLSyntaxError, ValueError) as error:
        raise ScoreFileError("Archive broken", f"{name}: {_CONTAINER} is not XML ({error})", _REMEDY) from error
    for item in root.iter("{*}rootfile"):
        path = item.get("full-path", "")
        if path and item.get("media-type", "") in _SCORE_TYPES:
            _check_path(name, path)
            return path
    raise ScoreFileError("Archive without a score", f"{name}: {_CONTAINER} names no score", _REMEDY)


def _read(name: str, archive: zipfile.ZipFile, path: str, most: int) -> bytes:
    if path not in archive.namelist():
        raise ScoreFileError("Archive broken", f"{name} names {path[:60]!r}, which it does not hold", _REMEDY)
    with archive.open(path) as file:
        # The size an archive states may be a lie: read one byte more than is allowed and look.
        content = file.read(most + 1)
    if len(content) > most:
        check_size(f"{name}, unpacked,", MOST_BYTES + 1)
    return content
