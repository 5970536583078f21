"""Drums stand on the page where the clef of their staff has them, and in the key of the first page alike."""

from pathlib import Path
from typing import Any

from lxml import etree

from score.parts.drawn_boxes import around, drawn_boxes
from score.parts.drawn_staves import SVG
from score.parts.front_drawing import key_of_places
from score.parts.mei import staff_kinds
from score.reading import read_score


def heights(measure: etree._Element) -> list[float]:
    """Of the heads on a measure's lowest staff: spaces below its top line."""
    staff = [group for group in measure if group.get("class") == "staff"][-1]
    lines = sorted(float((path.get("d") or "").split()[1]) for path in staff.iterchildren(SVG + "path"))
    heads = [around(drawn_boxes(group)) for group in staff.iter(SVG + "g") if group.get("class") == "notehead"]
    return [round(4 * ((box.top + box.bottom) / 2 - lines[0]) / (lines[-1] - lines[0]), 1) for box in heads]


def test_drums_stand_where_their_clef_has_them(small: Any, tmp_path: Path) -> None:
    # MusicXML 4.0, display-step: in the staff's clef. A3 is the bass clef's top line, C5 a space of percussion's clef.
    clef = "<attributes><clef><sign>{}</sign>{}</clef></attributes>"
    bass, drums = clef.format("F", "<line>4</line>"), clef.format("percussion", "")
    low = small.note().replace(">C<", ">A<").replace(">5<", ">3<")
    bars = [bass + low * 4, low * 2 + drums + small.note() * 2, small.note() * 4]
    reading = small.score(tmp_path, bars, [small.note() * 4] * 3)
    measured = [height for measure in small.groups(reading, "measure") for height in heights(measure)]
    assert measured == [0.0] * 6 + [1.5] * 6
    assert small.pages(reading, 1).unprinted == ()


def test_a_new_meter_leaves_a_staff_its_clef(small: Any, tmp_path: Path) -> None:
    meter = "<attributes><time><beats>2</beats><beat-type>4</beat-type></time></attributes>"
    small.score(tmp_path, *[[small.note(4), meter + small.note(2)]] * 2)
    path = tmp_path / "small.musicxml"
    bass = "<sign>F</sign><line>4</line>"
    path.write_text(path.read_text(encoding="utf-8").replace("<sign>percussion</sign>", bass), encoding="utf-8")
    assert staff_kinds(small.document(read_score(path), 1)) == {0: (5, "F4")}


def test_the_key_of_places_has_the_clef_of_the_part() -> None:
    # B3 stands above the bass clef's top line, A2 in its lowest space; without a clef of pitch E4 is the bottom line.
    for clef, places, spaces in (("F4", ("A2", "B3"), [3.5, -0.5]), ("", ("F4", "G5"), [3.5, -0.5])):
        (system,) = key_of_places([(place, "normal", place) for place in places], 0, clef, 150.0)
        assert [height for measure in system.measures for height in heights(measure)] == spaces
