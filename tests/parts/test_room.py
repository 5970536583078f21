"""Nothing lies upon anything else: cue lines, their names, words and figures, on small scores of our own."""

from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from lxml import etree

from score.cues.sheet import Level
from score.parts.drawn_boxes import DrawnBox, drawn_boxes
from score.parts.drawn_staves import SVG

MM = 25.4 / 72


def line_of(staff: etree._Element, position: int) -> float:
    """Height of one of a staff's lines in the drawing."""
    lines = [path.get("d") or "" for path in staff.iterchildren(SVG + "path")]
    return sorted(float(line.split()[1]) for line in lines)[position]


def curve_top(path: str) -> float:
    """The highest point of a curve, tried at many places (Bézier's formula)."""
    numbers = [float(each) for each in path.replace("M", " ").replace("C", " ").replace(",", " ").split()[:8]]
    points = numbers[1::2]
    places = [step / 50 for step in range(51)]
    weights = [((1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t**2, t**3) for t in places]
    return min(sum(weight * y for weight, y in zip(row, points, strict=True)) for row in weights)


def slurred(high: bool) -> str:
    """A bar of four quarters, a slur over it, far above the staff or in it."""
    notes = ""
    for index, step in enumerate("CEGE"):
        sign = {0: '<notations><slur type="start" number="1" placement="above"/></notations>'}.get(index, "")
        sign = sign or {3: '<notations><slur type="stop" number="1"/></notations>'}.get(index, "")
        octave = (6 if high else 4) + (index == 2)
        notes += (
            f"<note><pitch><step>{step}</step><octave>{octave}</octave></pitch><duration>4</duration><voice>1</voice>"
            f"<type>quarter</type><stem>down</stem>{sign}</note>"
        )
    return notes


@pytest.mark.parametrize("level", [Level.USUAL, Level.FULL])
def test_own_slurs_and_notes_keep_clear_of_the_cue_line(small: Any, tmp_path: Path, level: Level) -> None:
    clef = "<attributes><clef><sign>G</sign><line>2</line></clef></attributes>"
    own = [clef + small.rest_bar(), *([small.rest_bar()] * 3 + [slurred(high=True)] * 3) * 3]
    reading = small.score(tmp_path, own, [small.note() * 4] * len(own))
    measured = 0
    for system in small.systems(reading, 1, level):
        for measure in system.measures:
            staves = [group for group in measure if (group.get("class") or "").startswith("staff")]
            if len(staves) < 2:
                continue
            line = line_of(staves[0], -1)
            tops = [curve_top(path.get("d") or "") for path in measure.findall(f"{SVG}g[@class='slur']/{SVG}path")]
            layers = [group for group in staves[-1] if group.get("class") == "layer"]
            tops += [box.top for layer in layers for box in drawn_boxes(layer)]
            assert min(tops) - line > 65
            measured += bool(measure.findall(f"{SVG}g[@class='slur']"))
    assert measured > 3


def test_names_of_cue_lines_do_not_lie_upon_each_other(small: Any) -> None:
    # The sample's player 1 at the first system: the line of player 3 is empty there but for its last bar.
    (page, *_) = pypdfium2.PdfDocument(small.pages(small.sample(), 1, Level.FULL).pdf)
    words = list(words_on(page))
    rows = [
        sorted((box for text, box in words if text == name), key=lambda box: box.top) for name in ("P2", "P3", "P4")
    ]
    assert all(rows)
    names = sorted((box for row in rows for box in row), key=lambda box: box.top)
    beside = [box for box in names if box.left * MM < 35]
    assert len(beside) > 4
    for upper, lower in pairwise(beside):
        assert lower.top > upper.bottom


def words_on(page: Any) -> Iterator[tuple[str, DrawnBox]]:
    """The words of a page and where they stand, points from its upper left corner."""
    letters = page.get_textpage()
    height = page.get_height()
    word, boxes = "", list[Sequence[float]]()
    for index in range(letters.count_chars() + 1):
        letter = letters.get_text_range(index, 1) if index < letters.count_chars() else " "
        if letter.strip("\u00a0 \r\n"):
            word += letter
            boxes.append(letters.get_charbox(index))
        elif word:
            left, right = min(box[0] for box in boxes), max(box[2] for box in boxes)
            low, high = min(box[1] for box in boxes), max(box[3] for box in boxes)
            yield word, DrawnBox(left, height - high, right, bottom=height - low)
            word, boxes = "", []


def triplet(words: str, high: bool) -> str:
    """A beamed triplet of eighths with words over its second note."""
    notes = ""
    for index, beam in enumerate(("begin", "continue", "end")):
        tuplet = {0: '<tuplet type="start"/>', 2: '<tuplet type="stop"/>'}.get(index, "")
        said = f'<direction placement="above"><direction-type><words>{words}</words></direction-type></direction>'
        notes += (said if index == 1 else "") + (
            f"<note><pitch><step>G</step><octave>{5 if high else 4}</octave></pitch><duration>2</duration>"
            "<voice>1</voice><type>eighth</type><time-modification><actual-notes>3</actual-notes>"
            "<normal-notes>2</normal-notes></time-modification><stem>up</stem>"
            f'<beam number="1">{beam}</beam><notations>{tuplet}</notations></note>'
        )
    return notes


@pytest.fixture
def triplets(small: Any, tmp_path: Path) -> Any:
    """Bars of triplets with words over them, beside bars of rest."""
    start = "<attributes><divisions>6</divisions><clef><sign>G</sign><line>2</line></clef></attributes>"
    rest = '<note><rest measure="yes"/><duration>24</duration><voice>1</voice></note>'
    bar = (
        triplet("pipe", high=False)
        + triplet("stop", high=True)
        + triplet("rim", high=False)
        + triplet("edge", high=True)
    )
    other = [start + rest] + [small.note().replace("<duration>4<", "<duration>6<") * 4] * 8
    return small.score(tmp_path, [start + rest, *[bar, rest] * 4], other)


@pytest.mark.parametrize("level", [Level.USUAL, Level.FULL])
def test_words_keep_off_the_figures_of_tuplets(small: Any, triplets: Any, level: Level) -> None:
    count = 0
    for system in small.systems(triplets, 1, level):
        root = etree.fromstring(system.svg)
        groups = {name: [g for g in root.iter(SVG + "g") if g.get("class") == name] for name in ("tupletNum", "dir")}
        figures, words = ([box for g in groups[name] for box in drawn_boxes(g)] for name in ("tupletNum", "dir"))
        count += len(figures)
        assert not [(word, figure) for word in words for figure in figures if word.near(figure, 55)]
    assert count == 16


def test_words_on_one_line_have_a_blank_between_them(small: Any, triplets: Any) -> None:
    count = 0
    for page in pypdfium2.PdfDocument(small.pages(triplets, 1).pdf):
        said = [(text, box) for text, box in words_on(page) if text in ("pipe", "stop", "rim", "edge")]
        count += len(said)
        for (_, first), (_, second) in combinations(sorted(said, key=lambda each: each[1].left), 2):
            overlap = min(first.bottom, second.bottom) - max(first.top, second.top)
            assert overlap <= 0 or second.left - first.right > 0.8 / MM
    assert count == 16
