"""What is opened and what is refused: MusicXML 4.0 "Compressed .mxl files", XML 1.0 appendix F, common attacks."""

import subprocess
import sys
import zipfile
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import pytest
from lxml import etree

from score.errors import InbreathError, ScoreFileError
from score.piece import Piece
from score.reading import read_score
from score.reading.reading_log import WarningLog
from score.reading.safe_opening import open_document

Read = Callable[..., Piece]
Make = Callable[..., str]

DOCTYPE = (
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 3.1 Partwise//EN" '
    '"http://www.musicxml.org/dtds/partwise.dtd">'
)
LAUGHS = "".join(
    f'<!ENTITY l{n} "{"&l" + str(n - 1) + ";" if n else "ha"}{("&l" + str(n - 1) + ";") * 9 if n else ""}">'
    for n in range(12)
)


@pytest.fixture
def plain(score_xml: Make, attributes: Make, note: Make) -> str:
    return score_xml([attributes() + note("C4", 16)])


def test_the_parts_and_the_notes_of_a_plain_score(read: Read, plain: str) -> None:
    piece = read(plain)
    assert [stroke.pitches for stroke in piece.players[0].strokes] == [(60,)]
    assert piece.warnings == ()


@pytest.mark.parametrize("version", ["1.0", "1.1", "2.0", "3.0", "3.1", "4.0"])
def test_every_version_with_its_public_doctype(read: Read, plain: str, version: str) -> None:
    xml = plain.replace('version="4.0"', f'version="{version}"').replace("<score-partwise", DOCTYPE + "<score-partwise")
    assert len(read(xml).players[0].strokes) == 1


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "latin-1"])
def test_encodings(read: Read, score_xml: Make, attributes: Make, note: Make, encoding: str) -> None:
    xml = score_xml([attributes() + note("C4", 16)], names=("Gro\u00dfe Trommel",))
    declared = {"latin-1": "ISO-8859-1"}.get(encoding, encoding.removesuffix("-sig").upper().removesuffix("-LE"))
    data = xml.replace('encoding="UTF-8"', f'encoding="{declared}"').encode(encoding)
    piece = read(data)
    assert piece.players[0].name == "Gro\u00dfe Trommel"
    assert piece.warnings == ()


def test_latin_1_that_says_it_is_utf_8_is_repaired(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    xml = score_xml([attributes() + note("C4", 16)], names=("Gro\u00dfe Trommel",))
    piece = read(xml.encode("latin-1"))
    assert piece.players[0].name == "Gro\u00dfe Trommel"
    assert "Latin-1" in piece.warnings[0].line


def test_compressed_scores(read: Read, plain: str, mxl: Callable[..., bytes]) -> None:
    assert len(read(mxl({"a/b.musicxml": plain.encode()}), "x.mxl").players) == 1
    assert len(read(mxl({"u.xml": plain.replace("UTF-8", "UTF-16").encode("utf-16")}), "x.xml").players) == 1


def test_the_first_score_of_a_container_counts(read: Read, plain: str, mxl: Callable[..., bytes]) -> None:
    container = (
        b'<container><rootfiles><rootfile full-path="p.pdf" media-type="application/pdf"/>'
        b'<rootfile full-path="s.xml" media-type="application/vnd.recordare.musicxml+xml"/></rootfiles></container>'
    )
    assert len(read(mxl({"p.pdf": b"%PDF", "s.xml": plain.encode()}, container), "x.mxl").players) == 1


def test_an_archive_without_container_gives_its_only_score(read: Read, plain: str) -> None:
    buffer = BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        archive.writestr("s.musicxml", plain)
    assert "META-INF" in read(buffer.getvalue(), "x.mxl").warnings[0].line


@pytest.mark.parametrize("packing", [zipfile.ZIP_DEFLATED, zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_a_damaged_score_in_an_archive_is_refused_however_it_is_packed(read: Read, plain: str, packing: int) -> None:
    buffer = BytesIO()
    with zipfile.ZipFile(buffer, "w", packing) as archive:
        archive.writestr("s.musicxml", plain)
    packed = bytearray(buffer.getvalue())
    middle = packed.index(b"s.musicxml") + len("s.musicxml") + archive.infolist()[0].compress_size // 2
    packed[middle : middle + 40] = b"\0" * 40
    with pytest.raises(ScoreFileError, match="Archive broken"):
        read(bytes(packed), "x.mxl")


def test_a_namespace_is_dropped_with_a_warning(read: Read, plain: str) -> None:
    piece = read(plain.replace("<score-partwise", '<score-partwise xmlns="http://example.org/x"'))
    assert len(piece.players[0].strokes) == 1
    assert "namespace" in piece.warnings[0].line


def test_timewise_is_the_same_score(tmp_path: Path, score_xml: Make, attributes: Make, note: Make) -> None:
    bars = [[attributes() + note("C4", 16), note("D4", 16)], [attributes() + note("E4", 16), note("F4", 16)]]
    partwise = etree.fromstring(score_xml(*bars).encode())
    path = tmp_path / "t.xml"
    path.write_bytes(_timewise(partwise))
    opened = open_document(path, WarningLog())
    assert etree.tostring(opened.root, method="c14n") == etree.tostring(partwise, method="c14n")
    assert etree.fromstring(opened.source.xml).tag == "score-partwise"


def _timewise(root: etree._Element) -> bytes:
    """The published conversion the other way round: measures outside, parts inside."""
    made = etree.Element("score-timewise", dict(root.attrib))  # type: ignore[misc]
    made.append(etree.fromstring(etree.tostring(root.find("part-list"))))  # type: ignore[arg-type]
    parts = root.findall("part")
    for index, measure in enumerate(parts[0].findall("measure")):
        outer = etree.SubElement(made, "measure", dict(measure.attrib))  # type: ignore[misc]
        for part in parts:
            inner = etree.SubElement(outer, "part", id=part.get("id"))  # type: ignore[arg-type]
            inner.extend(list(etree.fromstring(etree.tostring(part.findall("measure")[index]))))
    return etree.tostring(made)


def test_the_source_keeps_every_element_of_the_score(corpus: Path, tmp_path: Path) -> None:
    path = corpus / "beethoven" / "opus18no1" / "movement1.mxl"
    with zipfile.ZipFile(path) as archive:
        xml = archive.read(next(name for name in archive.namelist() if "META-INF" not in name))
    before = path.read_bytes()
    reading = read_score(path)
    parser = etree.XMLParser(load_dtd=False, no_network=True)
    kept, original = etree.fromstring(reading.source.xml), etree.fromstring(xml, parser)
    assert etree.tostring(kept, method="c14n") == etree.tostring(original, method="c14n")
    assert path.read_bytes() == before


def test_the_digest_follows_the_content_not_the_name(tmp_path: Path, plain: str) -> None:
    for name in ("a.xml", "b.musicxml"):
        (tmp_path / name).write_text(plain)
    first, second = read_score(tmp_path / "a.xml"), read_score(tmp_path / "b.musicxml")
    assert first.piece.digest == second.piece.digest
    (tmp_path / "a.xml").write_text(plain.replace("<step>C", "<step>D"))
    assert read_score(tmp_path / "a.xml").piece.digest != first.piece.digest


REFUSED: dict[str, tuple[bytes, str]] = {
    "empty": (b"", "Empty file"),
    "blank": (b" \n\0 ", "Empty file"),
    "text": (b"Dear group, see you on Monday", "Not XML"),
    "midi": (b"MThd\0\0\0\6\0\1\0\1\0\x60", "Not a score"),
    "pdf": (b"%PDF-1.7 ...", "Not a score"),
    "html": (b"<!DOCTYPE html><html><body>Not found</body></html>", "web page"),
    "xhtml": (b'<?xml version="1.0"?><html xmlns="http://www.w3.org/1999/xhtml"/>', "web page"),
    "svg": (b"<svg/>", "begins with <svg>"),
    "opus": (b"<opus/>", "list of scores"),
    "truncated": (b"<score-partwise><part-list><score-part", "cut short"),
    "unclosed": (b"<score-partwise><part id='P1'><measure><note></measure>", "well-formed"),
    "no notes": (b"<score-partwise><part-list/><part id='P1'><measure/></part></score-partwise>", "No notes"),
    "internal subset": (b"<!DOCTYPE score-partwise [<!ELEMENT a ANY>]><score-partwise/>", "refused"),
    "laughs": (f"<!DOCTYPE score-partwise [{LAUGHS}]><score-partwise>&l11;</score-partwise>".encode(), "refused"),
    "outside entity": (
        b'<!DOCTYPE score-partwise [<!ENTITY x SYSTEM "file:///etc/hostname">]><score-partwise>&x;</score-partwise>',
        "refused",
    ),
    "parameter entity": (
        b'<!DOCTYPE score-partwise [<!ENTITY % x SYSTEM "http://localhost:9/x">%x;]><score-partwise/>',
        "refused",
    ),
    "undeclared entity": (DOCTYPE.encode() + b"<score-partwise><note/>&x;</score-partwise>", "entity"),
    "broken zip": (b"PK\3\4 and then nothing", "Archive broken"),
    "strange encoding": (b'<?xml version="1.0" encoding="zlib"?><score-partwise/>', "not readable as zlib"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_refusals(read: Read, name: str) -> None:
    data, said = REFUSED[name]
    with pytest.raises(ScoreFileError) as caught:
        read(data)
    assert said in caught.value.line
    assert "score.musicxml" in caught.value.line
    assert "\n" not in caught.value.line


@pytest.mark.parametrize("divisions", ["0", "-4", "", "many", "1e9", "99999999999999", "4/2"])
def test_impossible_divisions(read: Read, score_xml: Make, attributes: Make, note: Make, divisions: str) -> None:
    with pytest.raises(ScoreFileError, match=r"Impossible divisions.*P1.*bar 1"):
        read(score_xml([attributes(divisions) + note("C4", 4)]))


def test_absurd_durations(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    with pytest.raises(ScoreFileError, match="Absurd durations"):
        read(score_xml([attributes(1) + note("C4", 10**9)]))


def test_only_rests_is_no_notes(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    with pytest.raises(ScoreFileError, match="No notes"):
        read(score_xml([attributes() + note("rest", 16) * 3]))


def test_folders_and_missing_files(tmp_path: Path) -> None:
    with pytest.raises(ScoreFileError, match="folder"):
        read_score(tmp_path)
    with pytest.raises(ScoreFileError, match="No such file"):
        read_score(tmp_path / "none.xml")


@pytest.mark.parametrize("path", ["../../x.xml", "/etc/x.xml", "a/../../x.xml", "..\\x.xml", "C:\\x.xml"])
def test_paths_out_of_the_archive(read: Read, plain: str, mxl: Callable[..., bytes], path: str) -> None:
    named = f'<container><rootfiles><rootfile full-path="{path}"/></rootfiles></container>'.encode()
    with pytest.raises(ScoreFileError, match="outside itself"):
        read(mxl({"s.xml": plain.encode()}, named), "x.mxl")
    with pytest.raises(ScoreFileError, match="outside itself"):
        read(mxl({path: plain.encode()}, named), "x.mxl")


def test_archives_that_name_what_they_do_not_hold(read: Read, plain: str, mxl: Callable[..., bytes]) -> None:
    with pytest.raises(ScoreFileError, match="does not hold"):
        read(mxl({"s.xml": plain.encode()}, b'<container><rootfile full-path="t.xml"/></container>'), "x.mxl")
    with pytest.raises(ScoreFileError, match="names no score"):
        read(mxl({"s.xml": plain.encode()}, b"<container/>"), "x.mxl")
    with pytest.raises(ScoreFileError, match="not XML"):
        read(mxl({"s.xml": plain.encode()}, b"<container"), "x.mxl")


def _zeros(size: int) -> bytes:
    buffer = BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("META-INF/container.xml", '<container><rootfile full-path="s.xml"/></container>')
        with archive.open("s.xml", "w", force_zip64=True) as file:
            for _ in range(size // 2**20):
                file.write(b" " * 2**20)
    return buffer.getvalue()


def _lying(data: bytes) -> bytes:
    """The same archive, its directory saying that the score is small."""
    at = data.rindex(b"PK\x01\x02")
    return data[: at + 24] + (1000).to_bytes(4, "little") + data[at + 28 :]


PART = b'<score-partwise><part-list/><part id="P1">'
BOMBS: dict[str, Callable[[], bytes]] = {
    "archive": lambda: _zeros(1024 * 2**20),
    "archive that lies": lambda: _lying(_zeros(512 * 2**20)),
    "entries": lambda: b"PK\3\4" + b"PK\1\2" * 15_000_000,
    "too large": lambda: b" " * (64 * 2**20 + 1),
    "bars": lambda: PART + b"<measure/>" * 5_001 + b"<measure><note/></measure></part></score-partwise>",
    "notes": lambda: PART + b"<measure>" + b"<note><pitch/></note>" * 400_001 + b"</measure></part></score-partwise>",
    "tags": lambda: b"<score-partwise><note/>" + b"<a/>" * 8_000_001 + b"</score-partwise>",
    "depth": lambda: b"<score-partwise><note/>" + b"<a>" * 3_000_000 + b"</a>" * 3_000_000 + b"</score-partwise>",
    "cut at 50 MB": lambda: PART + b"<measure><note/></measure>" * 100 + b"<words>la la</words>" * 2_500_000,
    "long text": lambda: b"<score-partwise><note/><x>" + b"a" * (60 * 2**20) + b"</x></score-partwise>",
    "attributes": lambda: (
        b"<score-partwise><note/><x " + b" ".join(b'a%d="1"' % n for n in range(3_000_000)) + b"/></score-partwise>"
    ),
    "wide letters": lambda: b"<score-partwise><note/>" + "\U0001f941".encode() * (15 * 2**20) + b"</score-partwise>",
}

MEASURE = """
import resource, sys
from pathlib import Path
from score.errors import ScoreFileError
from score.reading import read_score
import lxml.etree
try:
    read_score(Path(sys.argv[1]))
    said = "READ"
except ScoreFileError as error:
    said = error.line
status = Path("/proc/self/status")
# ru_maxrss would count what the parent held before this process began.
peak = [line.split()[1] for line in status.read_text().splitlines() if "VmHWM" in line] if status.exists() else []
print(int(peak[0] if peak else resource.getrusage(resource.RUSAGE_SELF).ru_maxrss) // 1024, said)
"""


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=pytest.mark.campaign) if name == "archive" else name for name in BOMBS]
)
def test_bombs_are_refused_in_one_line_and_500_mb(tmp_path: Path, name: str) -> None:
    path = tmp_path / "bomb.mxl"
    path.write_bytes(BOMBS[name]())
    done = subprocess.run([sys.executable, "-c", MEASURE, str(path)], capture_output=True, text=True, check=True)
    megabytes, said = done.stdout.split(maxsplit=1)
    print(f"{name}: {megabytes} MB: {said}")
    assert "READ" not in said
    assert said.count("\n") == 1
    assert int(megabytes) < 500


def test_the_error_is_of_the_one_family() -> None:
    assert issubclass(ScoreFileError, InbreathError)
