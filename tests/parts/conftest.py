"""Small scores of our own, written as text, that show one thing each, and what becomes of them."""

from collections import Counter
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path

import musicxml.generate_classes
import pytest
import xmlschema
from lxml import etree

from score.cues.cue_choice import choose_cues
from score.cues.sheet import Level
from score.parts.cued_part import cue_rows
from score.parts.drawing_tree import parsed_engraving
from score.parts.drawn_staves import SVG
from score.parts.engraver import EngravedSystem
from score.parts.mei import Document, part_document
from score.parts.page_fitting import fit_pages
from score.parts.page_turns import free_seconds
from score.parts.paper import PageOptions, PartPages, paper_named
from score.parts.part_pages import part_pages
from score.parts.uncued_part import uncued_part
from score.reading import read_score
from score.reading.reading_result import Reading

SAMPLES = Path(__file__).parents[2] / "samples"
_START = (
    "<attributes><divisions>4</divisions><key><fifths>0</fifths></key><time><beats>4</beats><beat-type>4</beat-type>"
    "</time><clef><sign>percussion</sign></clef></attributes>"
)


def note(quarters: int = 1, inside: str = "", before: str = "") -> str:
    """An unpitched note of so many quarters; what stands before its type and after it."""
    kinds = {1: "quarter", 2: "half", 4: "whole"}
    return (
        f"<note><unpitched><display-step>C</display-step><display-octave>5</display-octave></unpitched>"
        f"<duration>{4 * quarters}</duration>{before}<voice>1</voice><type>{kinds[quarters]}</type>{inside}</note>"
    )


def rest_bar() -> str:
    """A bar of rest."""
    return '<note><rest measure="yes"/><duration>16</duration><voice>1</voice></note>'


def score(folder: Path, *parts: Sequence[str], names: Sequence[str] = ()) -> Reading:
    """Read a score of these parts, each a sequence of bars."""
    listed, music = "", ""
    for number, bars in enumerate(parts, 1):
        name = names[number - 1] if names else f"Player {number}"
        listed += f'<score-part id="P{number}"><part-name>{name}</part-name></score-part>'
        measures = (
            f'<measure number="{index}">{_START if index == 1 else ""}{bar}</measure>'
            for index, bar in enumerate(bars, 1)
        )
        music += f'<part id="P{number}">{"".join(measures)}</part>'
    path = folder / "small.musicxml"
    path.write_text(
        f'<?xml version="1.0" encoding="UTF-8"?><score-partwise version="4.0"><part-list>{listed}</part-list>{music}'
        "</score-partwise>",
        encoding="utf-8",
    )
    return read_score(path)


@cache
def sample(name: str = "quartet") -> Reading:
    """One of the samples."""
    return read_score(SAMPLES / f"{name}.musicxml")


def document(reading: Reading, player: int, level: Level = Level.USUAL) -> Document:
    """A player's part ready to engrave."""
    sheet = choose_cues(reading.piece, player, level)
    part = uncued_part(reading, sheet)
    rows = cue_rows(reading.piece, sheet)
    return part_document(part.mei, reading.piece, player, rows=rows, staves=part.own.staves, signs=part.signs)


def systems(reading: Reading, player: int, level: Level = Level.USUAL) -> tuple[EngravedSystem, ...]:
    """A player's part as the engraver draws it, divided as it is printed."""
    free = free_seconds(reading.piece, player)
    fitted = fit_pages(document(reading, player, level), free, (), paper_named("a4"), 30.0, PageOptions())
    return tuple(system for page in fitted.systems for system in page)


def groups(reading: Reading, name: str, player: int = 1) -> list[etree._Element]:
    """What the engraver has drawn under such a name, in order."""
    drawn = [group for system in systems(reading, player) for group in parsed_engraving(system.svg).iter(SVG + "g")]
    return [group for group in drawn if (group.get("class") or "").split()[:1] == [name]]


def pages(reading: Reading, player: int, level: Level = Level.USUAL, staff_mm: float = 7.0) -> PartPages:
    """A player's part as pages."""
    sheet = choose_cues(reading.piece, player, level)
    return part_pages(uncued_part(reading, sheet), reading.piece, sheet, PageOptions(staff_mm=staff_mm))


@cache
def sample_systems(player: int, level: Level = Level.USUAL) -> tuple[EngravedSystem, ...]:
    """A player's part of the quartet as the engraver draws it."""
    return systems(sample(), player, level)


@cache
def sample_pages(player: int) -> PartPages:
    """A player's part of the quartet as pages, on a staff of the usual height."""
    return pages(sample(), player, staff_mm=7.5)


class Small:
    """Small scores, the samples, and what becomes of them."""

    note, rest_bar, score = staticmethod(note), staticmethod(rest_bar), staticmethod(score)
    sample, document = staticmethod(sample), staticmethod(document)
    systems, groups, pages = staticmethod(systems), staticmethod(groups), staticmethod(pages)
    sample_systems, sample_pages = staticmethod(sample_systems), staticmethod(sample_pages)


@pytest.fixture(scope="session")
def small() -> Small:
    """Writes small scores, and makes parts of them and of the samples."""
    return Small()


class _Local(etree.Resolver):
    """The schema's imports, from the xmlschema package: nothing is fetched."""

    def resolve(self, system_url: str, public_id: str, context: object) -> object:  # type: ignore[override]
        name = Path(system_url).name
        folder = {"xml.xsd": "XML", "xlink.xsd": "XLINK"}.get(name)
        if folder:
            path = Path(xmlschema.__file__).parent / "schemas" / folder / name
            return self.resolve_filename(str(path), context)  # type: ignore[attr-defined]
        return None


@cache
def schema() -> etree.XMLSchema:
    """MusicXML 4.0 as the W3C community group publishes it."""
    parser = etree.XMLParser(no_network=True)
    parser.resolvers.add(_Local())
    package = Path(musicxml.generate_classes.__file__ or "").parent
    return etree.XMLSchema(etree.parse(str(package / "musicxml_4_0.xsd"), parser))


def _errors(document: etree._Element) -> Counter[str]:
    schema().validate(document)
    return Counter(entry.message for entry in schema().error_log)  # type: ignore[attr-defined]


@pytest.fixture(scope="session")
def musicxml_errors() -> Callable[[etree._Element], Counter[str]]:
    """What the MusicXML schema says against a document, and how often."""
    return _errors
