"""What hangs below a cue line, or below a note, lies upon nothing; numbers of endings are as large everywhere."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from lxml import etree

from score.cues.sheet import Level
from score.group.group_file import Group
from score.parts.drawn_boxes import DrawnBox, drawn_boxes
from score.parts.drawn_staves import SVG
from score.parts.engraver import in_systems
from score.parts.system_marks import add_stickings, set_systems
from score.setup.player_notes import player_notes


def of_class(root: etree._Element, *names: str) -> list[etree._Element]:
    return [group for group in root.iter(SVG + "g") if (group.get("class") or "").split()[:1] in [[n] for n in names]]


def boxes(groups: list[etree._Element]) -> list[DrawnBox]:
    return [box for group in groups for box in drawn_boxes(group)]


def pitched(step: str, octave: int, stem: str, inside: str = "", before: str = "") -> str:
    """A quarter note."""
    return (
        f"{before}<note><pitch><step>{step}</step><octave>{octave}</octave></pitch><duration>4</duration>"
        f"<voice>1</voice><type>quarter</type><stem>{stem}</stem>{inside}</note>"
    )


CLEF = "<attributes><clef><sign>G</sign><line>2</line></clef></attributes>"


def said(words: str) -> str:
    return f'<direction placement="above"><direction-type><words>{words}</words></direction-type></direction>'


def test_rests_and_accents_of_a_cue_keep_off_what_stands_under_them(small: Any, tmp_path: Path) -> None:
    rest = "<note><rest/><duration>4</duration><voice>1</voice><type>quarter</type></note>"
    accent = "<notations><articulations><accent/></articulations></notations>"
    bar = pitched("C", 6, "down", before=said("soft yarn")) + pitched("B", 5, "down") + pitched("A", 5, "down") * 2
    own = [CLEF + small.rest_bar(), *[small.rest_bar(), small.rest_bar(), bar, bar] * 3]
    other = [rest + small.note(inside=accent) + rest + small.note()] * len(own)
    meetings = 0
    for system in small.systems(small.score(tmp_path, own, other), 1, Level.FULL):
        for measure in etree.fromstring(system.svg).iter(SVG + "g"):
            if measure.get("class") != "measure":
                continue
            *cues, own_staff = of_class(measure, "staff")
            hanging = boxes(of_class(cues[-1], "rest", "artic")) if cues else []
            under = boxes([*of_class(own_staff, "layer"), *of_class(measure, "dir")])
            pairs = [(a, b) for a in hanging for b in under if a.near(b._replace(top=a.top), 20) and b.top > a.top]
            meetings += len(pairs)
            assert not [pair for pair in pairs if pair[0].bottom + 30 > pair[1].top]
    assert meetings > 6


@pytest.mark.parametrize("tie", ["let-ring", "start"])
def test_dynamics_keep_off_ties_and_accents_that_hang_from_low_notes(small: Any, tmp_path: Path, tie: str) -> None:
    held = f'<notations><tied type="{tie}"/><articulations><accent placement="below"/></articulations></notations>'
    end = '<notations><tied type="stop"/></notations>' if tie == "start" else ""
    loud = '<direction placement="below"><direction-type><dynamics><mp/></dynamics></direction-type></direction>'
    bars = []
    for octave, step in ((4, "E"), (4, "C"), (3, "A"), (3, "F")):
        first = pitched(step, octave, "up", held, loud)
        bars.append(first + pitched(step, octave, "up", end) + pitched("C", 5, "up") * 2)
    dynamics = 0
    for system in small.systems(small.score(tmp_path, [CLEF + bars[0], *bars], [small.rest_bar()] * 5), 1):
        root = etree.fromstring(system.svg)
        ties = boxes([path for group in of_class(root, "lv", "tie") for path in group])
        signs = boxes(of_class(root, "dynam"))
        dynamics += len(signs)
        hanging = [*ties, *boxes(of_class(root, "artic"))]
        assert ties
        assert not [(sign, each) for sign in signs for each in hanging if sign.near(each, 40)]
    assert dynamics >= 5


def test_dynamics_stand_clear_of_the_staff_and_of_the_lowest_head_of_a_chord(small: Any) -> None:
    # From memory, of handbooks of engraving: a dynamic touches neither staff nor head. Half a millimetre can be seen.
    dynamics = 0
    for player in (1, 3, 4):
        for system in small.sample_systems(player):
            for measure in system.measures:
                signs = boxes(of_class(measure, "dynam"))
                heads = boxes(of_class(measure, "notehead"))
                lines = boxes(
                    [path for staff in of_class(measure, "staff") for path in staff.iterchildren(SVG + "path")]
                )
                dynamics += len(signs)
                over = [(sign, each) for sign in signs for each in (*heads, *lines) if each.top < sign.top]
                assert not [(sign, each) for sign, each in over if sign.near(each, 50)]
    assert dynamics > 20


def test_numbers_of_endings_are_as_large_over_cue_lines_as_elsewhere(small: Any) -> None:
    sizes = {
        span.get("font-size")
        for level in (Level.USUAL, Level.FULL)
        for system in small.sample_systems(3, level)
        for bracket in of_class(etree.fromstring(system.svg), "voltaBracket")
        for span in bracket.iter(SVG + "tspan")
        if span.text
    }
    numbers = [float((size or "0px").removesuffix("px")) for size in sizes]
    assert max(numbers) - min(numbers) <= 2


def test_open_ties_of_long_notes_in_narrow_bars_can_be_seen(small: Any, tmp_path: Path) -> None:
    # A staff space is 1.75 mm here; a tie shorter than one is a speck.
    open_tie = '<notations><tied type="let-ring"/></notations>'
    own = [
        small.note(4, inside=open_tie),
        *[small.note(2, inside=open_tie) * 2] * 3,
        small.note(4, inside=open_tie),
    ] * 6
    reading = small.score(tmp_path, own, [small.rest_bar()] * len(own))
    ties = 0
    for system in small.systems(reading, 1):
        root = etree.fromstring(system.svg)
        heads = boxes(of_class(root, "notehead"))
        for box in boxes(of_class(root, "lv")):
            ties += 1
            assert box.right - box.left > 150
            assert min(abs(head.right - box.left) for head in heads) < 120
            assert not [
                head for head in heads if box.near(head._replace(left=head.left + 40), 0) and head.left > box.left
            ]
    assert ties == 6 * 8


def test_a_tempo_said_by_both_staves_is_printed_once_and_lost_beams_not_at_all(small: Any, tmp_path: Path) -> None:
    metronome = (
        '<direction placement="above"><direction-type><words>Slowly</words></direction-type>'
        "<direction-type><metronome><beat-unit>quarter</beat-unit><per-minute>96"
        "</per-minute></metronome></direction-type><staff>{}</staff></direction>"
    )
    grand = "<attributes><staves>2</staves></attributes>"
    start = '<beam number="1">begin</beam>'
    eighth = (
        "<note><pitch><step>A</step><octave>4</octave></pitch><duration>2</duration><voice>1</voice><type>eighth</type>"
        "<staff>1</staff>{}</note>"
    )
    plain = small.note(1, inside="<staff>1</staff>")
    first = metronome.format(1) + metronome.format(2) + plain * 3 + eighth.format("") + eighth.format(start)
    last = eighth.format('<beam number="1">end</beam>') + eighth.format("") + plain * 3
    bars = [grand + first, plain * 4, plain * 4, last]
    pages = small.pages(small.score(tmp_path, bars, [small.note() * 4] * 4), 1)
    assert pages.unprinted == ()
    systems = [etree.fromstring(s.svg) for s in small.systems(small.score(tmp_path, bars, [small.note() * 4] * 4), 1)]
    assert sum(len(of_class(root, "tempo")) for root in systems) == 1
    assert not [group for root in systems for group in of_class(root, "beamSpan")]


def test_trills_and_their_lines_keep_off_the_cue_line(small: Any, tmp_path: Path) -> None:
    wavy = '<notations><ornaments>{}<wavy-line type="start"/></ornaments></notations>'
    trill, line = (wavy.format(mark) for mark in ("<trill-mark/>", ""))
    bar = pitched("A", 5, "down", trill) + pitched("A", 5, "down") * 2 + pitched("C", 6, "down", line)
    own = [CLEF + small.rest_bar(), *[bar, small.rest_bar(), bar] * 4]
    signs = 0
    for system in small.systems(small.score(tmp_path, own, [small.note() * 4] * len(own)), 1, Level.FULL):
        for measure in of_class(etree.fromstring(system.svg), "measure"):
            staves = of_class(measure, "staff")
            heights = [float((path.get("d") or "").split()[1]) for path in staves[0].iterchildren(SVG + "path")]
            tops = [box.top for box in boxes(of_class(measure, "trill"))]
            signs += len(of_class(measure, "trill"))
            assert len(staves) == 2
            assert not tops or min(tops) > max(heights) + 65
    assert signs == 16


def test_trills_stand_clear_of_the_slurs_around_them(small: Any, tmp_path: Path) -> None:
    sign = "<notations>{}</notations>"
    slur = '<slur type="{}" number="{}" placement="above"/>'
    trill = "<ornaments><trill-mark/></ornaments>" + slur.format("start", 2)
    stops = slur.format("stop", 1) + slur.format("stop", 2)
    signs = (("E", slur.format("start", 1)), ("F", trill), ("G", ""), ("G", stops))
    notes = [(step, 5, sign.format(inside)) for step, inside in signs]
    bar = CLEF + "".join(pitched(step, octave, "down", inside) for step, octave, inside in notes)
    trills = 0
    for system in small.systems(small.score(tmp_path, [bar] * 8, [small.rest_bar()] * 8), 1):
        for measure in of_class(etree.fromstring(system.svg), "measure"):
            curves = [list(curve(path.get("d") or "")) for group in of_class(measure, "slur") for path in group]
            for box in boxes(of_class(measure, "trill")):
                trills += 1
                across = [y for points in curves for x, y in points if box.left < x < box.right]
                assert across
                assert not [y for y in across if box.top - 20 < y < box.bottom + 20]
    assert trills == 8


def curve(path: str) -> Iterator[tuple[float, float]]:
    """Many points of a curve (Bézier's formula)."""
    numbers = [float(each) for each in path.replace("M", " ").replace("C", " ").replace(",", " ").split()[:8]]
    for t in (step / 60 for step in range(61)):
        weights = (1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t**2, t**3
        x, y = (sum(weight * n for weight, n in zip(weights, numbers[at::2], strict=True)) for at in (0, 1))
        yield x, y


def test_suggested_stickings_lie_upon_no_stem(small: Any) -> None:
    reading = small.sample("study")
    document = small.document(reading, 1)
    add_stickings(document, player_notes(reading.piece, Group(), stickings=True)[1].stickings)
    count = len(document.bars)
    set_systems(document, [range(first, min(first + 4, count)) for first in range(0, count, 4)], [0])
    letters = 0
    for system in in_systems(etree.tostring(document.root, encoding="unicode"), 172.0, 7.5):
        for measure in of_class(etree.fromstring(system.svg), "measure"):
            stems = boxes(of_class(measure, "stem", "flag"))
            words = [
                box
                for group in of_class(measure, "dir")
                if group.get("class") == "dir sticking"
                for box in boxes([group])
            ]
            letters += len(words)
            assert not [(word, stem) for word in words for stem in stems if word.near(stem, 15)]
    assert letters > 20


def test_a_rest_of_a_cue_keeps_off_the_trill_below_it(small: Any, tmp_path: Path) -> None:
    trill = "<notations><ornaments><trill-mark/></ornaments></notations>"
    rest = "<note><rest/><duration>4</duration><voice>1</voice><type>quarter</type></note>"
    own = [CLEF + small.rest_bar(), *[pitched("G", 4, "up", trill) + pitched("A", 4, "up") * 3, small.rest_bar()] * 4]
    other = [rest + small.note() * 3] * len(own)
    meetings = 0
    for system in small.systems(small.score(tmp_path, own, other), 1, Level.FULL):
        for measure in of_class(etree.fromstring(system.svg), "measure"):
            cue, _ = of_class(measure, "staff")
            for sign in boxes(of_class(measure, "trill")):
                above = [box for box in boxes(of_class(cue, "rest")) if box.near(sign._replace(top=box.top), 0)]
                meetings += len(above)
                assert all(box.bottom + 100 <= sign.top for box in above)
    assert meetings == 4


def test_the_room_of_an_endings_second_bracket_is_taken_away(small: Any, tmp_path: Path) -> None:
    # The engraver draws one over each group of staves; where one goes, cue lines stand as close as elsewhere.
    ending = '<barline location="{}"><ending number="{}" type="{}"/>{}</barline>'
    starts = [ending.format("left", number, "start", "") for number in (1, 2)]
    stops = [ending.format("right", number, "stop", each) for number, each in ((1, REPEAT), (2, ""))]
    ends = [starts[place] + small.note() * 4 + stops[place] for place in (0, 1)]
    bars = [small.note() * 4] * 20 + ends + [small.note() * 4] * 20
    gaps: dict[bool, list[float]] = {True: [], False: []}
    dots = 0
    for system in small.systems(small.score(tmp_path, bars, bars, bars), 1, Level.FULL):
        root = etree.fromstring(system.svg)
        for measure in of_class(root, "measure"):
            lines = [
                [heights(path) for path in staff.iterchildren(SVG + "path")] for staff in of_class(measure, "staff")
            ]
            gaps[bool(of_class(root, "voltaBracket"))].append(min(lines[-1]) - max(lines[-2]))
            # The dots of a repeat stand around the middle of each staff, whichever has been moved.
            signs = boxes([sign for line in of_class(measure, "barLine") for sign in line.iterchildren(SVG + "use")])
            middles = sorted((sign.top + sign.bottom) / 2 for sign in signs)
            dots += len(middles)
            for staff, pair in zip(lines, zip(middles[::2], middles[1::2], strict=True), strict=bool(middles)):
                assert abs(sum(pair) / 2 - (min(staff) + max(staff)) / 2) < 12
    assert dots == 6
    assert min(gaps[True]) > 400
    assert max(gaps[True]) < max(gaps[False])


REPEAT = '<repeat direction="backward"/>'


def heights(path: etree._Element) -> float:
    return float((path.get("d") or "").split()[1])


def test_a_rehearsal_mark_stands_above_the_words_that_reach_over_its_barline(small: Any, tmp_path: Path) -> None:
    # The arrow of a cue that ends with the bar before: "you" would lie upon the box.
    box = '<direction placement="above"><direction-type><rehearsal>E</rehearsal></direction-type></direction>'
    bars = [small.rest_bar(), *[small.rest_bar()] * 6, box + small.note() * 4, *[small.note() * 4] * 3] * 3
    marks = 0
    for system in small.systems(small.score(tmp_path, bars, [small.note(2) * 2] * len(bars)), 1):
        root = etree.fromstring(system.svg)
        boxed, said = boxes(of_class(root, "reh")), boxes(of_class(root, "dir"))
        marks += len(of_class(root, "reh"))
        assert not [(box, words) for box in boxed for words in said if box.near(words, 20)]
    assert marks == 3
