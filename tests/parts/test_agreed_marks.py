"""What the group has agreed, in the parts: over nothing, in its own letters, and out again without a trace."""

import random
from functools import cache
from pathlib import Path

import music21
import numpy as np
import pypdfium2
import pytest
from lxml import etree

from score.activity.agreed_marks import AgreedMark, MarkSort
from score.activity.from_group import agreed_marks
from score.cues.cue_choice import choose_cues
from score.cues.sheet import Level
from score.errors import GroupFileError
from score.group.group_file import agreed_only, read_group
from score.parts import binding
from score.parts.agreed_directions import with_directions
from score.parts.agreed_overlay import marks_for, with_marks
from score.parts.cued_part import cue_rows
from score.parts.drawn_boxes import drawn_boxes
from score.parts.drawn_staves import SVG
from score.parts.engraver import EngravedSystem, in_systems
from score.parts.make_part import make_part
from score.parts.mei import Document, part_document
from score.parts.paper import PAPERS, PageOptions
from score.parts.part_pages import part_pages
from score.parts.score_jobs import Curve
from score.parts.score_overlay import with_curve
from score.parts.system_marks import set_systems
from score.parts.uncued_part import uncued_part
from score.printing.typesetting import to_pdf
from score.reading import read_score
from score.reading.reading_result import Reading
from score.time.from_group import pulse_options
from tests.parts.conftest import schema

CORPUS = Path(music21.__file__).parent / "corpus"
SAMPLES = Path(__file__).parents[2] / "samples"
REAL = [
    CORPUS / name
    for name in (
        "haydn/opus74no1/movement3.mxl", "mozart/k155/movement2.mxl", "mozart/k458/movement3.mxl",
        "beethoven/opus18no1/movement2.mxl", "beethoven/opus59no2/movement3.mxl", "haydn/opus1no1/movement4.mxl",
        "mozart/k156/movement1.mxl", "mozart/k80/movement3.mxl",
    )
]  # fmt: skip
SORTS = [sort for sort in MarkSort if sort is not MarkSort.HOLD]
WORDS = {MarkSort.BREATH: "P1", MarkSort.LEAD: "P3 leads", MarkSort.LOOK: "P4", MarkSort.SHAPE: "hold back"}
DOTS_A_POINT = 150 / 72


@cache
def read(path: Path) -> Reading:
    return read_score(path)


def some_marks(reading: Reading, count: int, seed: int) -> tuple[AgreedMark, ...]:
    rng, piece = random.Random(seed), reading.piece
    everybody = frozenset(player.number for player in piece.players)
    marks = []
    for number in range(count):
        stroke = rng.choice(rng.choice([player for player in piece.players if player.strokes]).strokes)
        bar, at = (stroke.bar, stroke.at) if rng.random() < 0.5 else (rng.randrange(len(piece.bars)), stroke.at * 0)
        sort = rng.choice(SORTS)
        text = WORDS.get(sort, "breathe with P1")
        marks.append(AgreedMark(sort, bar, at, text=text, players=everybody, name=f"m{number}"))
    return tuple(sorted(marks, key=lambda mark: (mark.bar, mark.at)))


def document(reading: Reading, player: int, marks: tuple[AgreedMark, ...]) -> Document:
    sheet = choose_cues(reading.piece, player, Level.USUAL)
    blank = uncued_part(reading, sheet)
    rows = cue_rows(reading.piece, sheet)
    return part_document(
        blank.mei, reading.piece, player, rows=rows, staves=blank.own.staves, signs=blank.signs, marks=marks
    )


def systems(made: Document) -> list[EngravedSystem]:
    lines = [range(first, min(first + 4, len(made.bars))) for first in range(0, len(made.bars), 4)]
    set_systems(made, lines, [lines[0][0]])
    return in_systems(etree.tostring(made.root, encoding="unicode"), 172.0, 7.5)


def apart(system: EngravedSystem) -> tuple[EngravedSystem, EngravedSystem, int]:
    """The music without the marks, the marks without the music, and how many there are."""
    group = etree.fromstring(system.svg)
    marks = [each for each in group.iter(SVG + "g") if each.get("class") == "agreed"]
    for mark in marks:
        holder = mark.getparent()
        assert holder is not None
        holder.remove(mark)
    drawn = "".join(etree.tostring(mark, encoding="unicode", with_tail=False) for mark in marks)
    return (
        system._replace(svg=etree.tostring(group, encoding="unicode")),
        system._replace(svg=f"<g>{drawn}</g>"),
        len(marks),
    )


def pictures(drawings: list[EngravedSystem]) -> list[np.ndarray]:
    paper = PAPERS["a4"]
    pages = [
        f"#page(width: {paper.width}mm, height: {each.height_mm + 6}mm, margin: 0mm)"
        f"[{binding._music([binding.PlacedSystem(each, 3.0)], paper)}]"
        for each in drawings
    ]
    pdf = pypdfium2.PdfDocument(to_pdf("\n".join(pages)))
    return [page.render(scale=DOTS_A_POINT, grayscale=True).to_numpy().squeeze() for page in pdf]


def overlapping(path: Path, count: int, seed: int, *, crowded: bool = False) -> tuple[int, int]:
    """(marks drawn, systems in which a mark and the music share a dark dot)."""
    reading = read(path)
    marks = some_marks(reading, count, seed)
    music, hands, drawn = [], [], 0
    for player in reading.piece.players:
        made = document(reading, player.number, marks)
        assert made.in_bars
        for system in systems(made):
            marked = with_marks(system, marks, crowded=crowded)
            plain, alone, number = apart(marked)
            if number:
                music.append(plain)
                hands.append(alone)
                drawn += number
    both = zip(pictures(music), pictures(hands), strict=True)
    return drawn, sum(bool(((one < 128) & (two < 128)).any()) for one, two in both)


@pytest.mark.parametrize("name", ["quartet", "trio-ids", "trio-noteheads", "trio-plain", "study"])
def test_no_mark_stands_on_anything_in_the_samples(name: str) -> None:
    path = SAMPLES / f"{name}.musicxml"
    players = len(read(path).piece.players)
    assert overlapping(path, 20, seed=1) == (20 * players, 0)


def test_no_mark_of_a_crowded_page_stands_on_anything() -> None:
    assert overlapping(SAMPLES / "trio-ids.musicxml", 40, seed=4, crowded=True) == (120, 0)


@pytest.mark.parametrize("path", [pytest.param(p, marks=pytest.mark.campaign) if n else p for n, p in enumerate(REAL)])
def test_no_mark_stands_on_anything_in_real_scores(path: Path) -> None:
    players = len(read(path).piece.players)
    assert overlapping(path, 30, seed=2) == (30 * players, 0)


def test_no_system_moves_for_an_anchor() -> None:
    reading = read(SAMPLES / "quartet.musicxml")
    marks = some_marks(reading, 12, seed=3)
    marked = document(reading, 1, marks)
    bare = document(reading, 1, ())
    if len(bare.bars) == len(marked.bars):
        for one, two in zip(systems(bare), systems(marked), strict=True):
            assert abs((one.bottom - one.top) - (two.bottom - two.top)) < 1


def test_a_mark_inside_joined_rests_splits_them() -> None:
    reading = read(SAMPLES / "quartet.musicxml")
    for player in reading.piece.players:
        joined = next((bar for bar in document(reading, player.number, ()).bars if bar.last - bar.first >= 2), None)
        if joined is not None:
            mark = AgreedMark(
                MarkSort.NOTE, joined.first + 1, reading.piece.bars[0].start, text="x",
                players=frozenset({player.number}), name="n",
            )  # fmt: skip
            split = {bar.first for bar in document(reading, player.number, (mark,)).bars}
            assert {joined.first, joined.first + 1} <= split
            return
    pytest.fail("the sample has no joined rests")


def test_directions_are_valid_and_leave_no_trace_when_taken_out() -> None:
    reading = read(SAMPLES / "quartet.musicxml")
    marks = some_marks(reading, 40, seed=4)
    sheet = choose_cues(reading.piece, 2, Level.USUAL)
    own = uncued_part(reading, sheet).own
    before = own.with_cues(reading.piece.bars, cue_rows(reading.piece, sheet))
    after = with_directions(before, own.ids, marks)
    assert after == with_directions(before, own.ids, marks)
    assert with_directions(before, own.ids, ()) == before
    root = etree.fromstring(after)
    schema().assertValid(root)
    ours = [each for each in root.iter("direction") if (each.get("id") or "").startswith("agreed-")]
    assert len(ours) == len(marks)
    for each in ours:
        holder = each.getparent()
        assert holder is not None
        holder.remove(each)
    assert etree.tostring(root, method="c14n") == etree.tostring(etree.fromstring(before), method="c14n")


def test_directions_stand_where_they_were_agreed_for_another_reader() -> None:
    """music21 reads them back at their places."""
    reading = read(SAMPLES / "quartet.musicxml")
    marks = [mark for mark in some_marks(reading, 30, seed=5) if mark.sort is MarkSort.NOTE]
    sheet = choose_cues(reading.piece, 2, Level.USUAL)
    own = uncued_part(reading, sheet).own
    xml = with_directions(own.with_cues(reading.piece.bars, cue_rows(reading.piece, sheet)), own.ids, marks)
    score = music21.converter.parseData(xml, format="musicxml")
    texts = [
        (measure.measureNumber, float(text.offset))
        for measure in score.parts[1].getElementsByClass("Measure")
        for text in measure.getElementsByClass("TextExpression")
        if text.content == "breathe with P1"
    ]
    assert sorted(texts) == sorted((int(reading.piece.bars[m.bar].label), float(m.at)) for m in marks)


GROUP = """
[[breath]]
bar = "33"
player = 4

[[lead]]
bars = "25-32"
player = 3

[[look]]
bar = "88"
beat = 2
player = 2
at = 3

[[note]]
bar = "49"
player = 1
text = "soft here"

[[shape]]
bars = "57-64"
kind = "back"
percent = 8
state = "tried"
"""


def test_marks_come_from_what_is_agreed_and_stand_in_the_parts_they_concern(tmp_path: Path) -> None:
    path = tmp_path / "q.group.toml"
    path.write_text(GROUP)
    reading = read(SAMPLES / "quartet.musicxml")
    marks = agreed_marks(read_group(path), reading.piece)
    assert [(mark.sort, mark.bar, mark.at) for mark in marks] == [
        (MarkSort.LEAD, 24, 0), (MarkSort.BREATH, 32, 0), (MarkSort.NOTE, 48, 0), (MarkSort.LOOK, 87, 1),
    ]  # fmt: skip
    texts = {player: [mark.text for mark in marks_for(marks, player)] for player in (1, 2, 3, 4)}
    assert texts == {
        1: ["3 leads", "4", "soft here"], 2: ["3 leads", "4", "3"], 3: ["you lead", "4"], 4: ["3 leads", "you"],
    }  # fmt: skip
    sheet = choose_cues(reading.piece, 2, Level.USUAL)
    part = make_part(uncued_part(reading, sheet), reading.piece, sheet, PageOptions(), marks=marks)
    pdf = pypdfium2.PdfDocument(part.pages.pdf)
    printed = " ".join(page.get_textpage().get_text_bounded() for page in pdf)
    assert "3 leads" in printed
    assert "soft here" not in printed
    assert "hold back" not in printed
    assert part.xml.count(b'id="agreed-') == 3


def test_a_long_word_stands_in_lines_inside_the_system() -> None:
    reading = read(SAMPLES / "quartet.musicxml")
    words = "stay under the vibraphone until its bow has stopped, then take the tempo from the crotales"
    bar = len(reading.piece.bars) - 6
    start = reading.piece.bars[0].start
    mark = AgreedMark(MarkSort.NOTE, bar, start, text=words, players=frozenset({2}), name="n")
    drawn = [system for system in systems(document(reading, 2, (mark,))) if " agreed" in system.svg]
    assert len(drawn) == 1
    marked = with_marks(drawn[0], (mark,))
    lines = [
        "".join(str(text) for text in each.itertext())
        for each in etree.fromstring(marked.svg).iter(SVG + "g")
        if each.get("class") == "agreed"
    ]
    assert " ".join(reversed(lines)) == words
    assert len(lines) == 3
    edge = max(box.right for box in drawn_boxes(etree.fromstring(drawn[0].svg)))
    assert max(box.right for box in drawn_boxes(etree.fromstring(marked.svg))) <= edge + 1


@pytest.mark.campaign
def test_no_bar_goes_to_another_page_for_the_samples_marks() -> None:
    reading = read(SAMPLES / "quartet.musicxml")
    marks = marks_for(agreed_marks(read_group(SAMPLES / "quartet.group.toml"), reading.piece), 4)
    sheet = choose_cues(reading.piece, 4, Level.USUAL)
    bare, marked = (
        part_pages(uncued_part(reading, sheet), reading.piece, sheet, PageOptions(), marks=each) for each in ((), marks)
    )
    assert len(marks) == 5
    assert (marked.page_count, marked.turns) == (bare.page_count, bare.turns)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[[breath]]\nbar = "200"\n', "no bar is called '200'"),
        ('[[note]]\nbar = "3"\nbeat = 9\ntext = "x"\n', "[[note]] bar 3 has no beat 9"),
        ('[[breath]]\nbar = "17"\nbeat = 4.9\n', "[[breath]] before bar 17, beat 4.9: nobody plays there"),
        ('[[breath]]\nbar = "57"\nplayer = 2\n', "[[breath]] before bar 57: player 2 rests there; let one of 1, 4"),
        ('[[breath]]\nbar = "33"\nplayer = 1\n[[breath]]\nbar = "33"\nplayer = 4\n', "second breath before bar 33"),
        ('[[lead]]\nbars = "17"\nplayer = 7\n', "the piece has no player 7"),
        ('[[look]]\nbar = "17"\n', "needs at as a whole number"),
    ],
)
def test_what_cannot_hold_is_one_line_and_the_file_keeps_it(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "q.group.toml"
    path.write_text(text)
    with pytest.raises(GroupFileError) as caught:
        agreed_marks(read_group(path), read(SAMPLES / "quartet.musicxml").piece)
    assert said in caught.value.line
    assert "\n" not in caught.value.line
    assert path.read_text() == text


def test_the_tempo_is_drawn_only_where_an_agreed_shape_stands(tmp_path: Path) -> None:
    path = tmp_path / "q.group.toml"
    path.write_text('[[shape]]\nbars = "57-64"\nkind = "back"\npercent = 8\n' + GROUP)
    reading = read(SAMPLES / "quartet.musicxml")
    pulse = pulse_options(agreed_only(read_group(path)), reading.piece)
    assert len(pulse.shapes) == 1
    made = document(reading, 2, ())
    lines = [range(first, min(first + 4, len(made.bars))) for first in range(0, len(made.bars), 4)]
    for system, line in zip(systems(made), lines, strict=True):
        bars = [range(made.bars[position].first, made.bars[position].last + 1) for position in line]
        curved = with_curve(system, bars, Curve(reading.piece, pulse))
        shaped = any(56 <= bar <= 63 for run in bars for bar in run)
        assert ("dasharray" in curved.svg) == shaped
        assert (curved == system) != shaped
