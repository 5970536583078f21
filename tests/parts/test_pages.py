"""Engraved pages, read back from the PDF and from the engraver's own drawing."""

import re
import subprocess
import sys
from functools import cache
from itertools import groupby, pairwise
from pathlib import Path
from typing import Any

import music21
import numpy as np
import pypdfium2
import pytest
from lxml import etree

from score.cues.cue_choice import choose_cues
from score.cues.sheet import Level
from score.parts.cue_staff import ARROW
from score.parts.cued_part import cue_rows
from score.parts.drawn_staves import SVG
from score.parts.engraver import in_systems
from score.parts.mei import Document, part_document
from score.parts.paper import PageOptions, PartPages
from score.parts.part_pages import part_pages
from score.parts.system_marks import set_systems
from score.parts.uncued_part import uncued_part
from score.reading import read_score
from score.reading.reading_result import Reading

CORPUS = Path(music21.__file__).parent / "corpus"
QUARTETS = [CORPUS / name for name in ("haydn/opus74no1/movement3.mxl", "mozart/k155/movement2.mxl")]
SAMPLES = Path(__file__).parents[2] / "samples"
MM = 25.4 / 72
DOTS = 16
"""A millimetre."""


@cache
def read(path: Path) -> Reading:
    return read_score(path)


@cache
def made(path: Path, player: int, level: Level = Level.USUAL, paper: str = "a4", staff_mm: float = 7.0) -> PartPages:
    reading = read(path)
    sheet = choose_cues(reading.piece, player, level)
    return part_pages(uncued_part(reading, sheet), reading.piece, sheet, PageOptions(paper, staff_mm))


def document(path: Path, player: int) -> Document:
    reading = read(path)
    sheet = choose_cues(reading.piece, player, Level.USUAL)
    blank = uncued_part(reading, sheet)
    return part_document(blank.mei, reading.piece, player, cue_rows(reading.piece, sheet), blank.own.staves)


def texts(pages: PartPages) -> list[str]:
    pdf = pypdfium2.PdfDocument(pages.pdf)
    return [" ".join(page.get_textpage().get_text_bounded().split()) for page in pdf]


def horizontal_lines(pdf: bytes, page: int) -> list[tuple[float, float, float]]:
    """(y, left, right) in mm of long flat lines as they are seen, from the top of the page."""
    sheet = pypdfium2.PdfDocument(pdf)[page]
    ink = 255 - sheet.render(scale=DOTS * MM, grayscale=True).to_numpy().squeeze().astype(int)
    long: dict[int, tuple[int, int]] = {}
    for y, row in enumerate(ink > 40):
        ends = np.flatnonzero(np.diff(row.astype(int), prepend=0, append=0)).reshape(-1, 2)
        runs = [(int(left), int(right)) for left, right in ends if right - left > 20 * DOTS]
        if runs:
            long[y] = (runs[0][0], runs[-1][1])
    lines = []
    for _, together in groupby(enumerate(long), lambda each: each[1] - each[0]):
        ys = [y for _, y in together]
        left, right = min(long[y][0] for y in ys), max(long[y][1] for y in ys)
        dark = ink[ys[0] : ys[-1] + 1, left:right].sum(axis=1)
        lines.append((float((np.array(ys) + 0.5) @ dark / dark.sum()) / DOTS, left / DOTS, right / DOTS))
    return lines


@pytest.mark.parametrize(("paper", "size"), [("a4", (210.0, 297.0)), ("letter", (215.9, 279.4))])
def test_paper_is_the_standard_s(paper: str, size: tuple[float, float]) -> None:
    # ISO 216 A4; ANSI/ASME Y14.1 Letter.
    for page in pypdfium2.PdfDocument(made(QUARTETS[1], 2, paper=paper).pdf):
        assert (page.get_width() * MM, page.get_height() * MM) == pytest.approx(size, abs=0.1)


@pytest.mark.parametrize("staff_mm", [7.0, 8.0])
def test_the_staff_is_as_high_as_asked(staff_mm: float) -> None:
    lines = horizontal_lines(made(QUARTETS[1], 2, staff_mm=staff_mm).pdf, 0)
    gaps = [below - above for (above, *_), (below, *_) in pairwise(lines)]
    # Beams may touch a line and hairpins lie between: most of all gaps are spaces of staves, and exact.
    spaces = [gap for gap in gaps if gap == pytest.approx(staff_mm / 4, abs=0.02)]
    assert len(spaces) > 0.6 * len([gap for gap in gaps if gap < 2 * staff_mm])


@pytest.mark.parametrize("path", QUARTETS, ids=lambda path: path.parent.name)
def test_music_stays_inside_the_margins(path: Path) -> None:
    pages = made(path, 2)
    for number in range(pages.page_count):
        for y, left, right in horizontal_lines(pages.pdf, number):
            assert left > 18.5
            assert right < 210 - 18.5
            assert 14 < y < 297 - 17


@pytest.mark.parametrize("path", QUARTETS, ids=lambda path: path.parent.name)
def test_title_player_legend_and_cue_words_can_be_read(path: Path) -> None:
    reading, pages = read(path), made(path, 2)
    first = texts(pages)[0]
    assert reading.piece.title in first
    assert reading.piece.player(2).name in first
    assert "Instruments:" in first
    assert "the rhythm of the player named there" in first
    everything = " ".join(texts(pages))
    sheet = choose_cues(reading.piece, 2, Level.USUAL)
    for cue in sheet.cues:
        assert reading.piece.player(cue.source).short in everything
    assert everything.count(ARROW) == sum(bool(bar.next) for row in cue_rows(reading.piece, sheet) for bar in row)


@pytest.mark.parametrize("path", QUARTETS, ids=lambda path: path.parent.name)
def test_pages_are_numbered_and_turns_named(path: Path) -> None:
    pages = made(path, 2)
    for number, text in enumerate(texts(pages), start=1):
        assert re.search(rf"\b{number}\b", text)
        assert ("turn:" in text) == (number < pages.page_count)
    bad = [turn for turn in pages.turns if turn.seconds < 2]
    assert sum("must be turned" in warning for warning in pages.warnings) == len(bad)


@pytest.mark.parametrize("path", QUARTETS, ids=lambda path: path.parent.name)
def test_every_note_and_every_bar_is_engraved_once(path: Path) -> None:
    # Outside: music21 counts the notes of the part; the engraver draws them.
    here = document(path, 2)
    breaks = list(range(6, len(here.bars), 6))
    lines = [range(a, b) for a, b in pairwise((0, *breaks, len(here.bars)))]
    set_systems(here, lines, ())
    systems = in_systems(etree.tostring(here.root, encoding="unicode"), 172.0, 7.0)
    assert [len(system.measures) for system in systems] == [
        after - first for first, after in zip((0, *breaks), (*breaks, len(here.bars)), strict=True)
    ]
    part = music21.converter.parse(path).parts[1]
    wanted = sum(len(note.pitches) for note in part.recurse().notes)
    drawn = sum(own_notes(measure) for system in systems for measure in system.measures)
    assert drawn == wanted


def own_notes(measure: etree._Element) -> int:
    """Noteheads of the lowest staff that are seen."""
    staves = [group for group in measure.iter(SVG + "g") if group.get("class") == "staff"]
    return sum(
        group.get("class") == "note" and group.get("visibility") != "hidden" and len(list(group.iter(SVG + "use"))) > 0
        for group in staves[-1].iter(SVG + "g")
    )


def test_multi_bar_rests_break_at_cues() -> None:
    here = document(QUARTETS[0], 2)
    for bar in here.bars:
        assert bar.first <= bar.last
        if bar.last > bar.first:
            assert not bar.cued
    assert [i for bar in here.bars for i in range(bar.first, bar.last + 1)] == list(range(113))


def test_the_same_part_gives_the_same_bytes() -> None:
    once = made(QUARTETS[1], 2)
    made.cache_clear()
    assert made(QUARTETS[1], 2).pdf == once.pdf


def test_every_other_player_has_a_line_at_full() -> None:
    pages = made(QUARTETS[1], 2, Level.FULL)
    assert "the rhythms of Vln. I, Vla. and Vc." in texts(pages)[0]
    assert pages.page_count >= made(QUARTETS[1], 2).page_count


def drawn(player: int) -> list[etree._Element]:
    """The sample's part as the engraver draws it in systems of six printed bars."""
    here = document(SAMPLES / "quartet.musicxml", player)
    firsts = list(range(6, len(here.bars), 6))
    lines = [range(a, b) for a, b in pairwise((0, *firsts, len(here.bars)))]
    set_systems(here, lines, ())
    return [
        etree.fromstring(system.svg) for system in in_systems(etree.tostring(here.root, encoding="unicode"), 172.0, 7.0)
    ]


@pytest.mark.parametrize("player", [1, 2, 3, 4])
def test_endings_have_one_bracket_a_system_even_where_the_cue_staff_is_hidden(player: int) -> None:
    for group in drawn(player):
        for ending in group.iter(SVG + "g"):
            if "ending" in (ending.get("class") or "").split():
                assert sum(g.get("class") == "voltaBracket" for g in ending.iter(SVG + "g")) <= 1
    brackets = sum(g.get("class") == "voltaBracket" for group in drawn(player) for g in group.iter(SVG + "g"))
    assert brackets >= 2


def test_tempo_marks_print_their_words_note_and_figure() -> None:
    text = texts(made(SAMPLES / "quartet.musicxml", 2))
    assert "Still" in text[0]
    assert "= 60-66" in text[0].replace("\u00a0", " ")
    # The note is a glyph of the music font (SMuFL U+ECA5 metNoteQuarterUp), not an empty box of the text font.
    assert "\ueca5" in "".join(text)


def test_marks_are_as_large_above_a_cue_as_elsewhere() -> None:
    sizes = set()
    for group in drawn(1):
        for tempo in group.iter(SVG + "g"):
            if tempo.get("class") == "tempo":
                sizes |= {span.get("font-size") for span in tempo.iter(SVG + "tspan") if (span.text or "").strip()}
    rounded = {round(float(size.rstrip("px")) / 10) for size in sizes if size and size != "0px"}
    assert len(rounded) == 2  # one of words, one of the music font


def test_a_player_of_two_parts_has_both_and_their_names() -> None:
    first = texts(made(SAMPLES / "quartet.musicxml", 1))[0]
    assert "marimba" in first
    assert "Player 1 –" not in first
    assert {"triangle", "marimba"} <= set(first.lower().replace(",", " ").split())


def test_planned_turns_are_in_rests(small: Any, tmp_path: Path) -> None:
    pages = made(SAMPLES / "quartet.musicxml", 1)
    assert pages.turns
    assert all(turn.seconds >= 2 for turn in pages.turns)
    assert pages.warnings == ()
    # A player who never rests has no time to turn.
    warned = small.pages(small.score(tmp_path, [small.note() * 4] * 150, [small.rest_bar()] * 150), 1)
    assert len(warned.turns) == len([w for w in warned.warnings if "must be turned" in w]) > 0


@pytest.mark.parametrize("staves", ["two", "0", "-1", "", "1000000"])
def test_a_number_of_staves_that_is_none_is_engraved_as_one_staff(tmp_path: Path, staves: str) -> None:
    # In a process of its own: it would not come back. MusicXML 4.0, staves: a positive whole number.
    music = (SAMPLES / "study.musicxml").read_text(encoding="utf-8")
    music = re.sub(r"<staves>[^<]*</staves>", "", music)
    music, count = re.subn(r"(?=<clef\b)", f"<staves>{staves}</staves>", music, count=1)
    assert count == 1
    path = tmp_path / "study.musicxml"
    path.write_text(music, encoding="utf-8")
    command = [sys.executable, "-m", "tui", "parts", str(path), "--out", str(tmp_path)]
    asked = subprocess.run(command, capture_output=True, text=True, timeout=60)
    assert (asked.returncode, "Traceback" in asked.stderr) == (0, False), asked.stderr
    assert list(tmp_path.glob("*.pdf"))
