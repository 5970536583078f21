"""The score for all players against the score's own file and against readers of PDF and SVG that are not ours.

What must be there is counted in the MusicXML (with lxml); what is there, in the engraver's drawing and in the text that
pypdfium2 reads back from the pages.
"""

import re
from collections import Counter
from fractions import Fraction
from itertools import combinations
from pathlib import Path

import pypdfium2
import pytest
from lxml import etree

from score.activity.from_group import agreed_marks
from score.chunks.chunk import ChunkEdits
from score.chunks.division import divide
from score.errors import InbreathError
from score.group.group_file import Group, read_group
from score.parts.drawn_staves import SVG, staff_edges
from score.parts.engraved_score import engraved_score
from score.parts.engraver import systems_that_fit
from score.parts.full_score import full_score, place_marks
from score.parts.score_jobs import Curve, ScoreMark, ScoreOptions
from score.parts.score_marks import score_marks
from score.parts.score_overlay import written_over
from score.parts.score_pages import pages_of
from score.parts.write_score import printing_score
from score.printing.hand_signs import HandMark, HandSign
from score.reading import read_score
from score.reading.reading_result import Reading
from score.time.pulse import PulseOptions
from score.time.shapes import Shape, ShapeKind
from score.time.tempo_map import Hold

pytestmark = pytest.mark.campaign

SAMPLES = Path(__file__).parents[2] / "samples"


@pytest.fixture(scope="module")
def quartet() -> Reading:
    return read_score(SAMPLES / "quartet.musicxml")


def marks_of(reading: Reading, edits: ChunkEdits | None = None, pulse: PulseOptions | None = None) -> list[ScoreMark]:
    piece = reading.piece
    return score_marks(piece, divide(piece), edits or ChunkEdits(), pulse or PulseOptions())


def words(pdf: bytes) -> list[str]:
    return [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(pdf)]


def test_the_size_of_notes_is_no_note(tmp_path: Path) -> None:
    """MusicXML's appearance (note-size) stands before the music in many scores."""
    source = (SAMPLES / "trio-plain.musicxml").read_bytes()
    sizes = b'<defaults><appearance><note-size type="grace">60</note-size></appearance></defaults>'
    path = tmp_path / "sizes.musicxml"
    path.write_bytes(source.replace(b"<part-list>", sizes + b"<part-list>", 1))
    reading = read_score(path)
    assert b"<note-size" in reading.source.xml
    assert engraved_score(reading, ScoreOptions(), []).bars


@pytest.mark.parametrize("name", ["quartet", "trio-plain"])
def test_every_note_bar_tempo_and_mark_is_engraved(name: str) -> None:
    reading = read_score(SAMPLES / f"{name}.musicxml")
    root = etree.fromstring(reading.source.xml)
    score = full_score(reading)
    systems = systems_that_fit(etree.tostring(score.root, encoding="unicode"), 180, 5)
    bars, first = [], 0
    for system in systems:
        bars.append(range(first, first + len(system.measures)))
        first += len(system.measures)
    place_marks(score, bars, reading.piece)
    drawn = systems_that_fit(etree.tostring(score.root, encoding="unicode"), 180, 5)
    groups = Counter(
        (group.get("class") or "").split(" ")[0]
        for system in drawn
        for group in etree.fromstring(system.svg).iter(SVG + "g")
    )
    # Notes that only keep a staff in sight are not drawn.
    assert groups["note"] == len([note for note in root.iter("note") if note.find("rest") is None])
    assert groups["measure"] == len(reading.piece.bars)
    assert groups["reh"] == len(list(root.iter("rehearsal")))
    assert groups["tempo"] == len(list(root.iter("metronome")))


@pytest.mark.parametrize(
    ("paper", "landscape", "staff"),
    [("a4", False, 4.0), ("letter", True, 5.0), ("a3", True, 6.0)],
)
def test_pages_have_the_size_asked_for_and_nothing_leaves_them(
    quartet: Reading, paper: str, landscape: bool, staff: float
) -> None:
    pages = engraved_score(quartet, ScoreOptions(paper, landscape, staff), marks_of(quartet))
    assert pages.warnings == ()
    # ISO 216 and 8.5 by 11 inches, in points of 1/72 inch.
    width, height = {"a4": (595.28, 841.89), "a3": (841.89, 1190.55), "letter": (612.0, 792.0)}[paper]
    wanted = (height, width) if landscape else (width, height)
    for page in pypdfium2.PdfDocument(pages.pdf):
        assert page.get_size() == pytest.approx(wanted, abs=0.5)
        edge = page.render(scale=0.5, grayscale=True).to_numpy()
        assert (edge[:3].min(), edge[-3:].min(), edge[:, :3].min(), edge[:, -3:].min()) == (255, 255, 255, 255)
    assert [index for page in pages.bars for system in page for index in system] == list(range(116))


def test_staves_have_the_height_asked_for(quartet: Reading) -> None:
    score = full_score(quartet)
    for staff in (4.0, 5.0, 6.0):
        system = systems_that_fit(etree.tostring(score.root, encoding="unicode"), 180, staff)[0]
        group = next(each for each in system.measures[0].iter(SVG + "g") if each.get("class") == "staff")
        lines = [float(re.split("[ M]", path.get("d") or "")[2]) for path in group.findall(SVG + "path")]
        assert max(lines) - min(lines) == pytest.approx(staff * 100, abs=1)


def test_players_who_rest_through_a_system_are_hidden_and_come_back_with_their_name(quartet: Reading) -> None:
    pages = engraved_score(quartet, ScoreOptions(), [])
    text = words(pages.pdf)
    # Everybody is named in full once, at the first system; the triangle only where it sounds.
    assert all(name in text[0] for player in quartet.piece.players for name in player.part_names)
    systems = [system for page in pages.bars for system in page]
    triangle = etree.fromstring(quartet.source.xml).findall("part")[1].findall("measure")
    strokes = {n for n, measure in enumerate(triangle) if measure.find("note/unpitched") is not None}
    with_triangle = sum(1 for bars in systems[1:] if strokes & set(bars))
    assert sum(page.count("1 tri.") for page in text) == with_triangle


def test_chunks_leads_and_words_stand_over_their_bars(quartet: Reading) -> None:
    piece = quartet.piece
    edits = ChunkEdits(leads=((range(16, 24), 3), (range(24, 28), 1)))
    start, end = piece.bars[56].start, piece.bars[64].start
    pulse = PulseOptions(
        shapes=(Shape(ShapeKind.BACK, start, end, 8.0, by=2),),
        holds=(Hold(piece.bars[112].start, 3.5), Hold(piece.bars[41].start, 0.5, before=True)),
    )
    pages = engraved_score(quartet, ScoreOptions(), marks_of(quartet, edits, pulse))
    text = " ".join(words(pages.pdf))
    for said in ("3 leads", "1 leads", "2: hold back 8 %", "hold 3.5 s", "wait 0.5 s"):
        assert said in text
    # A bar number may stand close before a name.
    assert set(re.findall(r"(?<![A-Za-z])[A-F]\+?\d*\b", text)) >= {chunk.name for chunk in divide(piece)}


def test_breaths_looks_and_words_stand_over_the_score(quartet: Reading) -> None:
    group = read_group(SAMPLES / "quartet.group.toml")
    marks = agreed_marks(group, quartet.piece)
    over = score_marks(quartet.piece, (), ChunkEdits(), PulseOptions(), marks)
    assert [(mark.bar, mark.mark.text, mark.mark.sign) for mark in over] == [
        (16, "1", HandSign.BREATH),
        (48, "4: soft, under 1", HandSign.NONE),
        (87, "2 at 3", HandSign.LOOK),
        (104, "1", HandSign.BREATH),
    ]


def test_marks_stand_above_the_music_and_beside_each_other(quartet: Reading) -> None:
    score = full_score(quartet)
    systems = systems_that_fit(etree.tostring(score.root, encoding="unicode"), 180, 5)
    bars = range(len(systems[0].measures))
    crowd = [
        ScoreMark(bar, Fraction(at), HandMark(f"word {n}", sign))
        for bar in bars
        for at, (n, sign) in enumerate(enumerate(HandSign))
    ]
    over = written_over(systems[0], bars, quartet.piece, crowd, None)
    assert over.bottom == systems[0].bottom
    drawn = over.svg[len(systems[0].svg) - len("</g>") :]
    boxes = []
    for x, y, size, text in re.findall(r'<text x="(.*?)" y="(.*?)".*?font-size="(.*?)px".*?>(.*?)</text>', drawn):
        left, line, em = float(x), float(y), float(size)
        boxes.append((left, line - 0.76 * em, left + 0.602 * em * len(text), line + 0.24 * em))
    assert len(boxes) == len(crowd)
    for one, other in combinations(boxes, 2):
        assert one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
    assert all(over.top <= top and bottom <= systems[0].top for _, top, _, bottom in boxes)
    assert max(right for _, _, right, _ in boxes) <= staff_edges(systems[0].measures[-1])[1] + 1


def test_the_tempo_is_drawn_only_where_a_shape_stands(quartet: Reading) -> None:
    piece = quartet.piece
    pulse = PulseOptions(shapes=(Shape(ShapeKind.BACK, piece.bars[56].start, piece.bars[64].start, 10.0),))
    score = full_score(quartet)
    systems = systems_that_fit(etree.tostring(score.root, encoding="unicode"), 180, 5)
    first = 0
    for system in systems:
        bars = range(first, first + len(system.measures))
        first = bars.stop
        over = written_over(system, bars, piece, [], Curve(piece, pulse))
        shaped = bool(set(bars) & set(range(56, 64)))
        assert ("stroke-dasharray" in over.svg) is shaped
        assert (over == system) is not shaped
    # Bar 57 begins "c. 88" and the shape at 1: so much stands at the left end of its curve.
    assert "88" in " ".join(words(engraved_score(quartet, ScoreOptions(curve=True), [], Curve(piece, pulse)).pdf))


@pytest.mark.parametrize(
    ("heights", "pages"),
    [
        ([40.0] * 8, [3, 3, 2]),
        ([40.0] * 3, [3]),
        ([200.0, 10.0], [1, 1]),
        ([], []),
    ],
)
def test_pages_are_as_few_as_can_be(heights: list[float], pages: list[int]) -> None:
    # Three systems of 40 with gaps of 5 fill 130 of 140.
    assert [len(page) for page in pages_of(heights, 140.0, 140.0, 5.0)] == pages


def test_a_process_writes_the_same_and_says_what_cannot_be(quartet: Reading, tmp_path: Path) -> None:
    chunks = divide(quartet.piece)
    with printing_score(quartet, Group(), ScoreOptions(), chunks) as printing:
        file = printing.write(tmp_path)
    assert file.pdf.name == "quartet-score.pdf"
    assert file.pdf.read_bytes() == engraved_score(quartet, ScoreOptions(), marks_of(quartet)).pdf
    assert len(pypdfium2.PdfDocument(file.pdf)) == file.page_count
    broken = quartet._replace(source=quartet.source._replace(xml=b"<score-partwise/>"))
    with printing_score(broken, Group(), ScoreOptions(), chunks) as printing, pytest.raises(InbreathError) as error:
        printing.write(tmp_path)
    assert "refuses" in error.value.line
