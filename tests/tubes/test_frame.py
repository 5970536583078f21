"""Frame and template: the drawing is read back from PDF and SVG and measured."""

import ctypes
import math
import xml.etree.ElementTree as ET
from dataclasses import replace
from math import ceil

import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest

from score.errors import RequestError
from score.tubes.cautions import CAUTIONS
from score.tubes.cutting.cut_list import Stock, cut_plan
from score.tubes.drill_template import MARGIN, PAPERS, from_back, pages, template_svg, tile
from score.tubes.frame import FrameWish, frame_of
from score.tubes.sheet import shopping, template_pdf, workshop_sheet
from score.tubes.tube_acoustics import Column
from score.tubes.tube_lengths import TubeRequest, tube_set
from score.tubes.tube_rows import NODE_LINE, SPREAD_LINE, cut_line, frame_line, next_line
from score.tubes.wanted_notes import wanted_notes

MM = 72 / 25.4
TOLERANCE = 0.1


def paths(page):
    """Corner points of every path of a page, mm from its upper left corner, as (width of stroke, points)."""
    height = page.get_height()
    for thing in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        a, b, c, d, e, f = thing.get_matrix().get()
        points = []
        for index in range(raw.FPDFPath_CountSegments(thing.raw)):
            segment = raw.FPDFPath_GetPathSegment(thing.raw, index)
            x, y = ctypes.c_float(), ctypes.c_float()
            raw.FPDFPathSegment_GetPoint(segment, x, y)
            points.append(((a * x.value + c * y.value + e) / MM, (height - (b * x.value + d * y.value + f)) / MM))
        yield points


def circles(page):
    """Centre and diameter of every circle, from the ends of its arcs."""
    for points in paths(page):
        if len(points) >= 13:
            xs, ys = [x for x, _ in points], [y for _, y in points]
            wide, high = max(xs) - min(xs), max(ys) - min(ys)
            assert wide == pytest.approx(high, abs=0.01)
            yield (max(xs) + min(xs)) / 2, (max(ys) + min(ys)) / 2, wide


def lines(page):
    return [tuple(points) for points in paths(page) if len(points) == 2]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("keyboard", [True, False])
def test_template_measured_in_the_pdf(octave, paper, keyboard):
    frame = frame_of(octave, FrameWish(keyboard=keyboard))
    document = pdfium.PdfDocument(template_pdf(frame, paper))
    sheets = pages(frame, paper)
    assert len(document) == len(sheets) > 1
    wide, high = tile(paper)
    seen = set()
    for sheet, page in zip(sheets, document, strict=True):
        assert (page.get_width() / MM, page.get_height() / MM) == pytest.approx(PAPERS[paper], abs=TOLERANCE)
        for x, y, diameter in circles(page):
            there = x - MARGIN + sheet.x, y - MARGIN + sheet.y
            hole = min(frame.holes, key=lambda hole: math.dist(from_back(frame, hole), there))
            assert math.dist(from_back(frame, hole), there) < TOLERANCE
            assert diameter == pytest.approx(hole.diameter, abs=TOLERANCE)
            seen.add(hole.name)
        bars = [b for b in lines(page) if math.dist(*b) == pytest.approx(100, abs=TOLERANCE)]
        assert len(bars) == 1
        crosses = {(round((a[0] + b[0]) / 2), round((a[1] + b[1]) / 2)) for a, b in lines(page) if math.dist(a, b) < 11}
        for x in (MARGIN, MARGIN + wide):
            for y in (MARGIN, MARGIN + high):
                assert (round(x), round(y)) in crosses
    assert seen == {hole.name for hole in frame.holes}


def test_every_centre_is_on_a_page(octave):
    """Pages laid edge to edge show every centre inside one of them."""
    frame = frame_of(octave, FrameWish())
    for hole in frame.holes:
        x, y = from_back(frame, hole)
        assert any(p.x <= x <= p.x + p.width and p.y <= y <= p.y + p.height for p in pages(frame))


def _figure(element: ET.Element | None, name: str) -> float:
    assert element is not None
    return float(element.get(name, "nan"))


def test_svg(octave):
    frame = frame_of(octave, FrameWish())
    root = ET.fromstring(template_svg(frame))
    space = {"s": "http://www.w3.org/2000/svg"}
    box = [float(value) for value in root.get("viewBox").split()]
    # User units are millimetres: the box's size is the drawing's size.
    assert float(root.get("width").removesuffix("mm")) == box[2]
    assert float(root.get("height").removesuffix("mm")) == box[3]
    found = [(_figure(c, "cx"), _figure(c, "cy"), 2 * _figure(c, "r")) for c in root.iterfind(".//s:circle", space)]
    for (x, y, diameter), hole in zip(found, frame.holes, strict=True):
        assert math.dist((x, y), from_back(frame, hole)) < 0.01
        assert diameter == pytest.approx(hole.diameter, abs=0.01)
    bar = root.find(".//s:line[@id='bar']", space)
    assert _figure(bar, "x2") - _figure(bar, "x1") == pytest.approx(100)


def test_holes(octave, two_inch):
    # Hole = outside diameter + suspension (common practice); wood between any two holes.
    wish = FrameWish(suspension=10, gap=30)
    for keyboard in (True, False):
        frame = frame_of(octave, replace(wish, keyboard=keyboard))
        assert all(hole.diameter == pytest.approx(two_inch.outside + 10) for hole in frame.holes)
        for index, one in enumerate(frame.holes):
            for other in frame.holes[index + 1 :]:
                assert math.dist((one.x, one.y), (other.x, other.y)) - one.diameter >= 30 - 1e-9
            assert wish.edge <= one.x - one.diameter / 2 + 1e-9
            assert one.x + one.diameter / 2 + wish.edge <= frame.width + 1e-9
            assert wish.edge <= one.y - one.diameter / 2 + 1e-9
            assert one.y + one.diameter / 2 + wish.edge <= frame.depth + 1e-9


def test_rows_as_on_a_keyboard(octave):
    frame = frame_of(octave, FrameWish())
    at = {hole.name: hole for hole in frame.holes}
    assert {hole.name for hole in frame.holes if hole.row} == {"C#3", "D#3", "F#3", "G#3", "A#3"}
    for low, between, high in (("C3", "C#3", "D3"), ("F3", "F#3", "G3"), ("A3", "A#3", "B3")):
        assert at[between].x == pytest.approx((at[low].x + at[high].x) / 2)
        assert at[between].y > at[low].y
    assert at["F3"].x - at["E3"].x == pytest.approx(frame.spacing)


@pytest.mark.parametrize(
    "notes", ["G3 A3 C4", "C#3 D#3", "C3 C3+50c D3", "F#3 G3 G#3", "C2-C5", "220 Hz 225 Hz 230 Hz 231.9 Hz"]
)
def test_odd_sets_stay_apart(notes, stopped):
    frame = frame_of(tube_set(TubeRequest(wanted_notes(notes), stopped)), FrameWish())
    for index, one in enumerate(frame.holes):
        for other in frame.holes[index + 1 :]:
            assert math.dist((one.x, one.y), (other.x, other.y)) >= frame.spacing - 1e-6


def test_warnings(stopped, octave):
    assert frame_of(octave, FrameWish()).warnings == ()
    (low,) = frame_of(octave, FrameWish(height=640)).warnings
    assert low.startswith("Too near the floor: C3;")
    raised = float(low.split("playing ends to ")[1].split(" mm")[0])
    assert frame_of(octave, FrameWish(height=raised + 0.6)).warnings == ()
    # An open end wants its own diameter of air (common practice).
    both = tube_set(TubeRequest(wanted_notes("C3"), Column(stopped.pipe, capped=False)))
    final = both.tubes[0].final
    assert frame_of(both, FrameWish(height=final + stopped.pipe.inside + 1)).warnings == ()
    assert frame_of(both, FrameWish(height=final + stopped.pipe.inside - 1)).warnings
    (small,) = frame_of(octave, FrameWish(sheet=(610, 610))).warnings
    assert "Sheet too small" in small
    assert "two rows" not in small
    (row,) = frame_of(octave, FrameWish(keyboard=False, sheet=(610, 610), unit="in")).warnings
    assert "the sheet 24 1/32 in × 24 1/32 in" in row
    assert "two rows" in row
    assert frame_of(octave, FrameWish(sheet=(300, 1220))).warnings == ()
    high = frame_of(tube_set(TubeRequest(wanted_notes("C5"), stopped)), FrameWish())
    assert high.plate_below == pytest.approx(stopped.pipe.outside)
    assert "nearer than one diameter" in high.warnings[0]
    for wish in (FrameWish(gap=0), FrameWish(suspension=-1), FrameWish(height=10), FrameWish(sheet=(0, 5))):
        with pytest.raises(RequestError, match="Frame"):
            frame_of(octave, wish)


def text_of(data):
    document = pdfium.PdfDocument(data)
    return [" ".join(page.get_textpage().get_text_range().split()) for page in document]


def test_workshop_sheet(octave):
    names = [tube.wanted.name for tube in octave.tubes]
    cutting = cut_plan([tube.cut for tube in octave.tubes], [Stock(3048)], 3.2, names)
    frame = frame_of(octave, FrameWish())
    told = text_of(workshop_sheet(octave, cutting, frame))
    whole = " ".join(told)
    places = [
        whole.index(words) for words in ("First", "To buy", "Lengths", "Cut list", "Frame", "Log", "Drilling template")
    ]
    assert places == sorted(places)
    for caution in CAUTIONS:
        assert " ".join(caution.split()[:6]) in whole
    for tube in octave.tubes:
        assert f"{tube.cut:.1f} mm" in whole
    # How sure the cut list is, what to measure next, where the plate goes, what the columns mean.
    lines = (cut_line(cutting), next_line(octave), frame_line(frame), SPREAD_LINE, NODE_LINE)
    for line in lines:
        assert " ".join(line.split()[:9]) in whole
    assert "2 × 3048.0 mm" in whole
    assert sum("This bar must measure 100 mm" in page for page in told) == len(pages(frame))
    assert workshop_sheet(octave, cutting, frame) == workshop_sheet(octave, cutting, frame)
    with pytest.raises(RequestError, match="No such paper"):
        workshop_sheet(octave, None, None, "a9")


def test_shopping(octave):
    lines = " ".join(shopping(octave, None, None))
    total = sum(tube.cut for tube in octave.tubes)
    assert f"{ceil(total)} mm of" in lines
    assert "13 caps" in lines


def test_cautions_defer_and_warn():
    # Common practice; the hours of noise are NIOSH's, 8 hours at 85 dBA halved every 3 dB.
    whole = " ".join(CAUTIONS)
    words = "maker's instructions|local codes|qualified|V-block|fine-tooth|deburr|eye and ear|dust|Never burn|laser"
    words += "|hydrogen chloride|backing board|No gloves|breaks|stop when"
    for word in words.split("|"):
        assert word in whole
    assert 8 / 2 ** ((88 - 85) / 3) == 4
    assert 8 / 2 ** ((94 - 85) / 3) == 1
    assert 8 / 2 ** ((100 - 85) / 3) == 0.25
