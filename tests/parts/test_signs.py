"""What a part's pages say, read back from the engraver's drawing and from the PDF, on small scores of our own."""

import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import music21
import pypdfium2
import pytest
from lxml import etree

from score.cues.cue_choice import choose_cues
from score.cues.sheet import Level
from score.parts.cue_staff import ARROW
from score.parts.cued_part import cue_rows
from score.parts.drawn_boxes import drawn_boxes
from score.parts.drawn_staves import SVG, staff_edges
from score.parts.own_drawing import OWN_DASH, OWN_HEAD, OWN_TIE
from score.parts.printed_bar import MEI
from score.printing.music_font import has_sign
from score.reading import read_score
from tests.parts.cued_document import part_xml

CORPUS = Path(music21.__file__).parent / "corpus"
DAMP = "\ue638"  # SMuFL 1.4, pluckedDamp
MM = 25.4 / 72
XML_ID = "{http://www.w3.org/XML/1998/namespace}id"


def text_of(pdf: bytes) -> str:
    return " ".join(page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(pdf))


def groups(svg: str, name: str) -> list[etree._Element]:
    found = etree.fromstring(svg).iter(SVG + "g")
    return [group for group in found if (group.get("class") or "").split()[:1] == [name] and len(group)]


@pytest.mark.parametrize("player", [1, 2, 3, 4])
@pytest.mark.parametrize("level", [Level.USUAL, Level.FULL])
def test_every_tempo_mark_is_printed_at_every_level(small: Any, player: int, level: Level) -> None:
    source = etree.fromstring(small.sample().source.xml)
    bars = {
        measure.get("number")
        for measure in source.iter("measure")
        if measure.find("direction/direction-type/metronome") is not None
    }
    drawn = [tempo for system in small.sample_systems(player, level) for tempo in groups(system.svg, "tempo")]
    assert len(drawn) == len(bars) > 5


@pytest.mark.parametrize("player", [1, 3])
@pytest.mark.parametrize("level", [Level.USUAL, Level.FULL])
def test_every_system_but_the_first_begins_with_the_number_of_its_bar(small: Any, player: int, level: Level) -> None:
    drawn = small.sample_systems(player, level)
    marked = [system for system in drawn[1:] if groups(etree.tostring(system.measures[0], encoding="unicode"), "reh")]
    assert marked  # some begin where a rehearsal mark stands
    for system in drawn[1:]:
        assert len(groups(system.svg, "mNum")) == 1


HEADS = ("triangle", "square", "slashed", "back slashed", "inverted triangle", "arrow up", "arrow down", "cluster")


@pytest.mark.parametrize("quarters", [1, 2, 4])
def test_heads_that_name_an_instrument_keep_their_shape(small: Any, tmp_path: Path, quarters: int) -> None:
    # MusicXML 4.0, notehead-value.
    heads = [*HEADS, "diamond", "x", "circle-x", "slash", "cross", "left triangle", "rectangle"]
    bars = [
        "".join(small.note(quarters, f"<notehead>{head}</notehead>") for _ in range(4 // quarters)) for head in heads
    ]
    plain = [small.note(quarters) * (4 // quarters)] * len(bars)
    reading = small.score(tmp_path, bars, plain)
    shapes: dict[str, str] = {}
    measures = [measure for system in small.systems(reading, 1) for measure in system.measures]
    for head, measure in zip(heads, measures, strict=True):
        own = [group for group in measure.iter(SVG + "g") if group.get("class") == "staff"][-1]
        (shape,) = {shape_of(group[0]) for group in own.iter(SVG + "g") if group.get("class") == "notehead"}
        shapes[head] = shape
    assert not {"E0A2", "E0A3", "E0A4"} & set(shapes.values())  # SMuFL 1.4: whole, half, black
    assert shapes["cluster"] == shapes["rectangle"]
    assert len(set(shapes.values())) == len(heads) - 1
    assert not small.pages(reading, 1).unprinted


def test_circles_stand_around_heads_or_in_their_place(small: Any, tmp_path: Path) -> None:
    # MusicXML 4.0, notehead-value: "circled" is a circle around the head, "circle dot" a circle with a dot in it.
    heads = ["circled", "circle dot"]
    bars = ["".join(small.note(1, f"<notehead>{head}</notehead>") for _ in range(4)) for head in heads]
    reading = small.score(tmp_path, bars, [small.note(4)] * 2)
    around, instead = (measure for system in small.systems(reading, 1) for measure in system.measures)
    for measure, ordinary, rounds in ((around, 1, 1), (instead, 0, 2)):
        own = [group for group in measure.iter(SVG + "g") if group.get("class") == "staff"][-1]
        notes = [group for group in own.iter(SVG + "g") if group.get("class") == "notehead"]
        assert len(notes) == 4
        for note in notes:
            assert len(note.findall(SVG + "use")) == ordinary
            circles = note.findall(SVG + "ellipse")
            assert len(circles) == rounds
            assert len({(circle.get("cx"), circle.get("cy")) for circle in circles}) == 1
    pages = small.pages(reading, 1)
    assert not pages.unprinted
    # The PDF read back: a circle is a curve of four pieces, no other head has one; each head also stands in the key.
    assert rounds_in(pages.pdf) == rounds_in(small.pages(reading, 2).pdf) + 4 + 8 + 3


def rounds_in(pdf: bytes) -> int:
    raw = pypdfium2.raw
    count = 0
    for page in pypdfium2.PdfDocument(pdf):
        for path in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH], max_depth=8):
            segments = [raw.FPDFPath_GetPathSegment(path.raw, n) for n in range(raw.FPDFPath_CountSegments(path.raw))]
            kinds = [raw.FPDFPathSegment_GetType(segment) for segment in segments]
            left, bottom, right, top = path.get_bounds()
            is_round = abs((right - left) - (top - bottom)) < 0.1 and kinds.count(raw.FPDF_SEGMENT_BEZIERTO) == 12
            count += is_round and len(kinds) <= 14
    return count


def test_heads_of_the_seven_shapes_are_told_apart(small: Any, tmp_path: Path) -> None:
    # MusicXML 4.0, notehead-value; "so" is the round one (from memory).
    heads = ["do", "re", "mi", "fa", "fa up", "so", "la", "ti"]
    bars = ["".join(small.note(1, f"<notehead>{head}</notehead>") for _ in range(4)) for head in heads]
    reading = small.score(tmp_path, bars, [small.note(4)] * len(bars))
    shapes = []
    for measure in (measure for system in small.systems(reading, 1) for measure in system.measures):
        own = [group for group in measure.iter(SVG + "g") if group.get("class") == "staff"][-1]
        (shape,) = {shape_of(group[0]) for group in own.iter(SVG + "g") if group.get("class") == "notehead"}
        shapes.append(shape)
    assert len(set(shapes)) == len(heads)
    assert shapes[heads.index("so")] == "E0A4"  # SMuFL 1.4: the black head
    assert not small.pages(reading, 1).unprinted


def test_heads_are_hollow_where_the_score_wants_them(small: Any, tmp_path: Path) -> None:
    # MusicXML 4.0, notehead: filled="no" draws the open form whatever the length.
    bars = [small.note(1, f'<notehead filled="{filled}">square</notehead>') * 4 for filled in ("yes", "no")]
    reading = small.score(tmp_path, bars, [small.note(4)] * 2)
    codes = []
    for measure in (measure for system in small.systems(reading, 1) for measure in system.measures):
        own = [group for group in measure.iter(SVG + "g") if group.get("class") == "staff"][-1]
        codes.append({shape_of(group[0]) for group in own.iter(SVG + "g") if group.get("class") == "notehead"})
    assert codes == [{"E0B9"}, {"E0B8"}]  # SMuFL 1.4: noteheadSquareBlack, noteheadSquareWhite


@pytest.mark.parametrize("meter", ["3+2", "2+2+3"])
def test_signs_of_an_additive_meter_keep_their_distance(small: Any, tmp_path: Path, meter: str) -> None:
    eighth = small.note(1).replace("<duration>4<", "<duration>2<").replace(">quarter<", ">eighth<")
    count = sum(map(int, meter.split("+")))
    time = f"<attributes><time><beats>{meter}</beats><beat-type>8</beat-type></time></attributes>"
    bars = [small.note(4)] * 2 + [time + eighth * count] + [eighth * count] * 2
    reading = small.score(tmp_path, bars, bars)
    drawn = [sign for system in small.systems(reading, 1) for sign in groups(system.svg, "meterSig")]
    additive = [boxes for sign in drawn if len(boxes := drawn_boxes(sign)) > 2]
    assert additive
    for boxes in additive:
        upper = sorted(box for box in boxes if box.top < min(each.top for each in boxes) + 150)
        assert len(upper) == 2 * len(meter.split("+")) - 1
        # A fifth of the space between two lines of a staff of 7 mm.
        assert all(right.left - left.right > 0.2 * 175 for left, right in pairwise(upper))


def shape_of(sign: etree._Element) -> str:
    """The code of a sign of the music font, or the corners of a drawn one from its first."""
    if sign.get("class") != OWN_HEAD:
        return str(sign.get("{http://www.w3.org/1999/xlink}href"))[1:5]
    numbers = [int(number) for number in re.findall(r"\d+", sign.get("d") or "")]
    return str([(x - numbers[0], y - numbers[1]) for x, y in zip(numbers[::2], numbers[1::2], strict=True)])


def test_signs_that_the_font_lacks_are_not_asked_for(small: Any) -> None:
    # SMuFL 1.4: noteheadTriangleUpBlack U+E0BE is not in the font, noteheadSquareBlack U+E0B9 is; asking would crash.
    assert has_sign("E0B9")
    assert not has_sign("E0BE")


def held(small: Any, first: int, length: int) -> list[str]:
    """Twelve bars of rest, a note held over some of them."""
    bars = [small.rest_bar()] * 12
    for index in range(first, first + length):
        kinds = (["stop"] if index > first else []) + (["start"] if index < first + length - 1 else [])
        ties = "".join(f'<tie type="{kind}"/>' for kind in kinds)
        tied = "".join(f'<tied type="{kind}"/>' for kind in kinds)
        bars[index] = small.note(4, f"<notations>{tied}</notations>", ties)
    return bars


def test_a_cue_of_a_held_note_says_that_it_was_struck_before(small: Any, tmp_path: Path) -> None:
    # Player 2 strikes in bar 1 and holds to bar 8; player 1 comes in at bar 9 and is led in from bar 5 on.
    own = [small.note(4)] + [small.rest_bar()] * 7 + [small.note(4)] * 4
    reading = small.score(tmp_path, own, held(small, 0, 8))
    sheet = choose_cues(reading.piece, 1, Level.SPARSE)
    assert sheet.cues[0].first > 0
    ties = [tie for system in small.systems(reading, 1, Level.SPARSE) for tie in re.findall(OWN_TIE, system.svg)]
    assert ties
    xml = etree.fromstring(part_xml(reading, sheet))
    cued = xml.findall("part")[0].findall("measure")[sheet.cues[0].first]
    assert next(tied.get("type") for tied in cued.iter("tied")) == "stop"


def test_a_cue_that_ends_while_the_note_sounds_says_so(small: Any) -> None:
    # The sample's player 1: the cue of player 4 in bar 1 ends, the roll goes on to bar 4.
    sheet = choose_cues(small.sample().piece, 1)
    assert (sheet.cues[0].first, sheet.cues[0].last, sheet.cues[0].source) == (0, 0, 4)
    first = small.sample_systems(1)[0].measures[0]
    assert OWN_TIE in etree.tostring(first, encoding="unicode")
    xml = etree.fromstring(part_xml(small.sample(), sheet))
    assert "let-ring" in [tied.get("type") for tied in xml.findall("part")[0][0].iter("tied")]


def test_flams_and_trills_of_a_cue_are_printed_as_they_are(small: Any, tmp_path: Path) -> None:
    grace = (
        '<note><grace slash="yes"/><unpitched><display-step>C</display-step><display-octave>5</display-octave>'
        "</unpitched><voice>1</voice><type>eighth</type></note>"
    )
    trill = "<notations><ornaments><trill-mark/></ornaments></notations>"
    other = (
        [grace + small.note() + grace + grace + small.note() + small.note(2)] * 3
        + [small.note(4, trill)] * 3
        + [small.note(4)]
    )
    reading = small.score(tmp_path, [small.rest_bar()] * 6 + [small.note(4)], other)
    xml = etree.fromstring(part_xml(reading, choose_cues(reading.piece, 1))).findall("part")[0]
    assert [len(measure.findall("note/grace")) for measure in xml][:3] == [3, 3, 3]
    assert [len(list(measure.iter("trill-mark"))) for measure in xml][3:6] == [1, 1, 1]
    assert not list(xml.iter("tremolo"))
    drawn = "".join(system.svg for system in small.systems(reading, 1))
    assert len(groups(f"<g>{drawn}</g>".replace("<g>", f'<g xmlns="{SVG.strip("{}")}">', 1), "trill")) == 3


def test_a_repeat_and_an_ending_at_one_barline_both_come_through(small: Any, tmp_path: Path) -> None:
    left = '<barline location="left"><ending number="{0}" type="start"/></barline>'
    repeat = '<barline location="right"><repeat direction="backward"/></barline>'
    stop = '<barline location="right"><ending number="{0}" type="stop"/></barline>'
    bars = [small.note(4)] * 2 + [left.format(1) + small.note(4) + repeat + stop.format(1)]
    bars += [left.format(2) + small.note(4) + stop.format(2), small.note(4)]
    reading = small.score(tmp_path, bars, bars)
    drawn = "".join(system.svg for system in small.systems(reading, 1))
    assert drawn.count('class="voltaBracket"') == 2
    xml = etree.fromstring(part_xml(reading, choose_cues(reading.piece, 1))).findall("part")[0]
    assert [(e.get("number"), e.get("type")) for e in xml.iter("ending")] == [
        ("1", "start"),
        ("1", "stop"),
        ("2", "start"),
        ("2", "stop"),
    ]
    assert len(list(xml.iter("repeat"))) == 1


def test_notes_for_playback_only_leave_no_ink(small: Any, tmp_path: Path) -> None:
    hidden = "".join(
        '<note print-object="no"><unpitched><display-step>E</display-step><display-octave>4</display-octave>'
        "</unpitched>"
        f'<duration>1</duration><voice>2</voice><type>16th</type><beam number="1">{beam}</beam></note>'
        for beam in ("begin", "continue", "continue", "end") * 4
    )
    bars = [small.note(4) + "<backup><duration>16</duration></backup>" + hidden] * 4
    drawn = "".join(system.svg for system in small.systems(small.score(tmp_path, bars, [small.note(4)] * 4), 1))
    assert 'class="beam"' not in drawn
    assert len(re.findall(r'class="note"', drawn)) == 4


def test_players_are_named_as_no_tuplet_is_and_at_every_system(small: Any) -> None:
    for player in (1, 2, 3, 4):
        for system in small.sample_systems(player):
            words = [text for text in (said(group) for group in groups(system.svg, "dir")) if re.match(r"P\d|►", text)]
            cued = 'id="cue-1-' in system.svg
            assert bool(words) >= cued
            if cued:
                assert re.match(r"P\d", words[0]), (player, words)


def said(group: etree._Element) -> str:
    return "".join(map(str, group.itertext())).replace("\xa0", " ").strip()


def test_every_cue_line_is_named_at_its_left_at_full(small: Any) -> None:
    for system in small.sample_systems(3, Level.FULL):
        cued = {int(n) for n in re.findall(r'id="cue-(\d)-', system.svg)}
        labels = [said(g) for name in ("label", "labelAbbr") for g in groups(system.svg, name)]
        assert len([label for label in labels if re.fullmatch(r"P\d", label)]) == len(cued)


def test_every_system_names_each_of_its_player_s_staves(small: Any) -> None:
    # The sample's player 1 has a marimba and a triangle, whose staff is seen where it sounds.
    counts = set()
    for system in small.sample_systems(1):
        staves = groups(etree.tostring(system.measures[0], encoding="unicode"), "staff")
        own = [staff for staff in staves if "cue-staff" not in (staff.get("class") or "")]
        names = [said(group) for name in ("label", "labelAbbr") for group in groups(system.svg, name)]
        assert [name[:3] for name in names] == ["mar", "tri"][: len(own)]
        counts.add(len(own))
    assert counts == {1, 2}


def test_names_and_arrows_of_cues_are_high_enough_for_a_metre(small: Any) -> None:
    # 2.5 mm are 8.6 minutes of arc at a metre; 5 minutes are the limit of good eyes (ISO 8596, acuity 1.0).
    pdf = small.sample_pages(1).pdf
    heights: dict[str, list[float]] = {}
    page = pypdfium2.PdfDocument(pdf)[0].get_textpage()
    text = page.get_text_range()
    for match in re.finditer(rf"(?<!\()P\d|{ARROW}", text):
        for index in range(match.start(), match.end()):
            _, bottom, _, top = page.get_charbox(index, loose=False)
            heights.setdefault(text[index], []).append((top - bottom) * MM)
    assert {"P", "4", ARROW} <= set(heights)
    assert min(min(each) for each in heights.values()) >= 2.49


def test_a_rest_of_many_bars_has_one_figure_and_its_bars_below(small: Any) -> None:
    first = small.sample_systems(1)[0]
    assert len(groups(first.svg, "multiRest")) == 2  # marimba and triangle
    assert len(groups(first.svg, "multiRestNum")) == 1
    assert "2\u20134" in [said(group) for group in groups(first.svg, "dir")]


def test_the_bars_of_a_rest_are_said_where_its_lower_staff_is_not_shown(small: Any, tmp_path: Path) -> None:
    marimba = [small.note(4), *[small.rest_bar()] * 4, *[small.note(4)] * 60]
    triangle = [*[small.rest_bar()] * 64, small.note(4)]
    names = ["Player 1, marimba", "Player 1, triangle"]
    systems = small.systems(small.score(tmp_path, marimba, triangle, names=names), 1)
    assert "2\u20135" in [said(group) for group in groups(systems[0].svg, "dir")]


def test_after_the_last_note_a_part_says_tacet(small: Any, tmp_path: Path) -> None:
    bars = [small.note(4)] * 3 + [small.rest_bar()] * 9
    reading = small.score(tmp_path, bars, bars)
    assert "tacet to the end" in text_of(small.pages(reading, 1).pdf)
    assert "tacet to the end" not in text_of(small.sample_pages(1).pdf)


@pytest.mark.parametrize("player", [1, 2, 3, 4])
def test_dashes_reach_as_far_as_they_are_written(small: Any, player: int) -> None:
    # The sample's rit. goes from bar 109 to the beginning of bar 111; it stands in player 1's part and is for all.
    (system,) = [s for s in small.sample_systems(player) if OWN_DASH in s.svg]
    dashes = [float(x) for x in re.findall(rf'<rect class="{OWN_DASH}" x="(\d+)"', system.svg)]
    end = next(
        n for n, measure in enumerate(system.measures) if OWN_DASH in etree.tostring(measure, encoding="unicode")
    )
    # Where bar 111 begins the next system, as far as this one goes.
    _, right = staff_edges(system.measures[min(end + 1, len(system.measures) - 1)])
    assert right - 1000 < dashes[-1] < right  # 10 mm
    assert max(b - a for a, b in pairwise(dashes)) < 500


def test_damps_are_printed(small: Any) -> None:
    source = etree.fromstring(small.sample().source.xml)
    written = len(list(source.iter("damp")))
    printed = sum(text_of(small.sample_pages(player).pdf).count(DAMP) for player in (1, 2, 3, 4))
    assert printed == written > 2


def test_a_change_of_key_is_printed_where_the_engraver_loses_it(small: Any) -> None:
    # Outside: music21's corpus; the voice of this song changes its key in bars 25 and 37.
    reading = read_score(CORPUS / "schubert" / "Lindenbaum.xml")
    here = small.document(reading, 1)
    changed = [bar.first for bar in here.bars if (d := bar.measure.getprevious()) is not None and "scoreDef" in d.tag]
    part = music21.converter.parse(CORPUS / "schubert" / "Lindenbaum.xml").parts[0]
    keys = [key.measureNumber for key in part.recurse().getElementsByClass("KeySignature")]
    assert keys[1:] == [25, 37]
    labels = [reading.piece.bars[index].label for index in changed]
    assert set(labels) >= {"25", "37"}


def test_no_barline_goes_through_words(small: Any) -> None:
    # The sample's player 1: "medium yarn" in bar 13 is wider than its bar.
    system = next(s for s in small.sample_systems(1) if "medium" in s.svg)
    words = next(group for group in groups(system.svg, "dir") if "medium" in said(group))
    (text,) = words.iter(SVG + "text")
    x, y = float(text.get("x") or 0), float(text.get("y") or 0)
    lines = re.findall(r"M(-?[\d.]+) (-?[\d.]+) L\1 (-?[\d.]+)", system.svg)
    through = [at for at, top, end in lines if x < float(at) < x + 1700 and float(top) < y - 100 < float(end)]
    beside = [at for at, top, end in lines if float(at) > x + 1900 and float(top) < y - 100 < float(end)]
    assert beside
    assert not through


def test_brackets_of_tuplets_keep_clear_of_dynamics(small: Any) -> None:
    # The sample's player 1 has four in the time of three from bar 73 on, with a dynamic below.
    here = small.document(small.sample(), 1)
    tuplets = [tuplet for bar in here.bars if 72 <= bar.first <= 77 for tuplet in bar.measure.iter(MEI + "tuplet")]
    assert len(tuplets) == 6
    assert {tuplet.get("bracket.place") for tuplet in tuplets} == {"above"}


def test_no_arrow_names_whom_the_next_cue_names_at_once(small: Any) -> None:
    for player in (1, 2, 3, 4):
        (row,) = cue_rows(small.sample().piece, choose_cues(small.sample().piece, player))
        assert any(bar.next for bar in row)
        assert not [bar for bar, after in pairwise(row) if bar.next and bar.next == after.label]
