"""Hairpins can be seen: none begins a system with a stub, none is a dot over the end of a held note."""

from pathlib import Path
from typing import Any

from lxml import etree

from score.cues.sheet import Level
from score.parts.drawn_boxes import around, drawn_boxes
from score.parts.drawn_staves import SVG
from score.parts.engraver import in_systems
from score.parts.printed_bar import MEI
from score.parts.system_marks import set_systems

_SHORTEST = 250
"""2.5 mm: what is shorter reads as an accent or a speck (common practice, no source)."""


def wedge(kind: str, place: str = "below", offset: int = 0) -> str:
    late = f"<offset>{offset}</offset>" if offset else ""
    return f'<direction placement="{place}"><direction-type><wedge type="{kind}"/></direction-type>{late}</direction>'


def hairpins(system: etree._Element) -> list[etree._Element]:
    drawn = system.iter(SVG + "g")
    return [group for group in drawn if "hairpin" in (group.get("class") or "").split() and len(group)]


def test_a_hairpin_that_ends_with_the_first_note_of_a_system_ends_before_it(small: Any, tmp_path: Path) -> None:
    # In every bar one that ends with the next bar's first note: wherever systems end, one would reach over.
    bar = "{}" + small.note() + wedge("diminuendo") + small.note() * 3
    bars = [bar.format(""), *[bar.format(wedge("stop"))] * 40, wedge("stop") + small.note(4)]
    reading = small.score(tmp_path, bars, [small.note(4)] * len(bars))
    systems = [etree.fromstring(system.svg) for system in small.systems(reading, 1)]
    assert len(systems) > 3
    assert sum(len(hairpins(system)) for system in systems) == 41
    for system in systems:
        for hairpin in hairpins(system):
            box = around(drawn_boxes(hairpin))
            assert box.right - box.left > _SHORTEST
    assert small.pages(reading, 1).unprinted == ()


def test_divided_anew_hairpins_end_where_the_score_says(small: Any, tmp_path: Path) -> None:
    bar = "{}" + small.note() + wedge("crescendo") + small.note() * 3
    bars = [bar.format(""), *[bar.format(wedge("stop"))] * 6, wedge("stop") + small.note(4)]
    document = small.document(small.score(tmp_path, bars, [small.note(4)] * 8), 1)

    def ends() -> list[str]:
        return [each.get("tstamp2") or "" for each in document.root.iter(MEI + "hairpin")]

    written = ends()
    assert written == ["1m+1"] * 7
    set_systems(document, [range(4), range(4, 8)], [0])
    # Four beats: the barline is where a fifth would be.
    assert ends() == [*["1m+1"] * 3, "0m+5", *["1m+1"] * 3]
    set_systems(document, [range(8)], [0])
    assert ends() == written


def test_a_dashed_line_that_ends_with_the_first_note_of_a_system_ends_before_it(small: Any, tmp_path: Path) -> None:
    line = '<direction placement="above"><direction-type><dashes type="{}" number="1"/></direction-type></direction>'
    bars = [small.note(4)] * 3 + [line.format("start") + small.note(4), line.format("stop") + small.note(4)]
    document = small.document(small.score(tmp_path, bars, [small.note(4)] * 5), 1)
    set_systems(document, [range(4), range(4, 5)], [0])
    mei = etree.tostring(document.root, encoding="unicode")
    lines = []
    for system in in_systems(mei, 170.0, 7.5):
        groups = etree.fromstring(system.svg).iter(SVG + "g")
        lines.append([group for group in groups if "bracketSpan" in (group.get("class") or "").split() and len(group)])
    assert list(map(len, lines)) == [1, 0]


def test_hairpins_over_the_end_of_a_held_note_can_be_seen(small: Any, tmp_path: Path) -> None:
    # Both within the last sixteenth of a whole note, in bars as narrow as they come, a dynamic beside one of them.
    loud = '<direction placement="below"><direction-type><dynamics><sf/></dynamics></direction-type>'
    loud += "<offset>14</offset></direction>"
    late = [wedge(kind, place, 15) + wedge("stop", place, 16) for kind, place in SHORT]
    bars = [small.note(4), *[late[0] + small.note(4), late[1] + loud + small.note(4), small.note(4)] * 16]
    reading = small.score(tmp_path, bars, [small.rest_bar()] * len(bars))
    seen = 0
    for system in small.systems(reading, 1, Level.SPARSE):
        for measure in system.measures:
            signs = [group for group in measure if (group.get("class") or "").startswith("dynam")]
            for hairpin in hairpins(measure):
                box = around(drawn_boxes(hairpin))
                seen += 1
                assert box.right - box.left > _SHORTEST
                assert box.bottom - box.top > 120
                assert not [sign for sign in signs for other in drawn_boxes(sign) if box.near(other, 10)]
    assert seen == 32


SHORT = (("crescendo", "above"), ("diminuendo", "below"))
