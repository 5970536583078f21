"""Short scores for the tests of this room, and where music21 keeps its files."""

import zipfile
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import music21
import pytest

from score.group.group_file import Group
from score.piece import Piece
from score.reading import read_score

MUSIC21 = Path(music21.__file__).parent


@pytest.fixture(scope="session")
def corpus() -> Path:
    """music21's corpus folder."""
    return MUSIC21 / "corpus"


@pytest.fixture(scope="session")
def suite() -> Path:
    """music21's copy of the public MusicXML test suite, one file a feature."""
    return MUSIC21 / "musicxml" / "lilypondTestSuite"


@pytest.fixture(scope="session")
def score_xml() -> Callable[..., str]:
    """Makes a partwise score from the bars of its parts.

    Each part is a list of bars, each the inside of a `<measure>`; names gives the parts' names, listed what
    stands in their `<score-part>` beside the name.
    """
    return _score_xml


def _score_xml(
    *parts: list[str], names: tuple[str, ...] = (), listed: tuple[str, ...] = (), version: str = "4.0"
) -> str:
    entries, bodies = [], []
    for index, bars in enumerate(parts):
        name = names[index] if index < len(names) else f"Marimba {index + 1}"
        inside = listed[index] if index < len(listed) else ""
        entries.append(f'<score-part id="P{index + 1}"><part-name>{name}</part-name>{inside}</score-part>')
        measures = "".join(f'<measure number="{number}">{bar}</measure>' for number, bar in enumerate(bars, 1))
        bodies.append(f'<part id="P{index + 1}">{measures}</part>')
    return (
        f'<?xml version="1.0" encoding="UTF-8"?><score-partwise version="{version}">'
        f"<part-list>{''.join(entries)}</part-list>{''.join(bodies)}</score-partwise>"
    )


@pytest.fixture(scope="session")
def attributes() -> Callable[..., str]:
    """Makes an `<attributes>`: divisions, meter, and further elements in their order."""

    def make(divisions: int | str = 4, beats: str = "4", unit: str = "4", more: str = "") -> str:
        time = f"<time><beats>{beats}</beats><beat-type>{unit}</beat-type></time>" if beats else ""
        return f"<attributes><divisions>{divisions}</divisions>{time}{more}</attributes>"

    return make


@pytest.fixture(scope="session")
def note() -> Callable[..., str]:
    """Makes a `<note>` at a pitch like "C#4" (or "rest", or "u:E4" for unpitched) of some divisions."""
    return _note


def _note(pitch: str, duration: int | str | None = 4, inside: str = "", before: str = "", attributes: str = "") -> str:
    length = "" if duration is None else f"<duration>{duration}</duration>"
    return f"<note{attributes}>{before}{_pitch(pitch)}{length}{inside}</note>"


def _pitch(pitch: str) -> str:
    if pitch == "rest":
        return "<rest/>"
    if pitch == "bar":
        return '<rest measure="yes"/>'
    if pitch.startswith("u:"):
        shown = f"<display-step>{pitch[2]}</display-step><display-octave>{pitch[3]}</display-octave>"
        return f"<unpitched>{shown if pitch[2:] else ''}</unpitched>"
    alter = {"#": "<alter>1</alter>", "b": "<alter>-1</alter>"}.get(pitch[1:-1], "")
    return f"<pitch><step>{pitch[0]}</step>{alter}<octave>{pitch[-1]}</octave></pitch>"


@pytest.fixture
def read(tmp_path: Path) -> Callable[..., Piece]:
    """Writes a score and reads it."""

    def make(xml: str | bytes, name: str = "score.musicxml", group: Group | None = None) -> Piece:
        path = tmp_path / name
        path.write_bytes(xml.encode() if isinstance(xml, str) else xml)
        return read_score(path, group).piece

    return make


@pytest.fixture
def mxl() -> Callable[..., bytes]:
    """Makes a compressed score from names and contents; a container naming the first unless one is given."""

    def make(files: dict[str, bytes], container: bytes | None = None) -> bytes:
        buffer = BytesIO()
        with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
            named = f'<container><rootfiles><rootfile full-path="{next(iter(files))}"/></rootfiles></container>'
            archive.writestr("META-INF/container.xml", named.encode() if container is None else container)
            for name, data in files.items():
                archive.writestr(name, data)
        return buffer.getvalue()

    return make
