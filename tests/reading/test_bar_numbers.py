"""What is printed over a bar. Source: MusicXML 4.0, measure attributes number and text; "common practice" beyond."""

import pytest
from lxml import etree

from score.reading.part_heads import bar_called, bar_number


@pytest.mark.parametrize(
    ("attributes", "label"),
    [
        ('number="12"', "12"),
        ('number="12a"', "12a"),
        ('number="X1"', "X1"),
        ('number="0"', "0"),
        ('number=" 7 "', "7"),
        ('number="INDEX0_MOVEMENT1_MEASURE12"', "12"),
        ('number="movement-2-bar-007"', "7"),
        ('number="MEASURE_ZERO_OF_MANY"', "5"),
        ('number="12" text="12b"', "12b"),
        ("", ""),
    ],
)
def test_a_label_that_a_person_can_say(attributes: str, label: str) -> None:
    measure = etree.fromstring(f"<measure {attributes}/>")
    assert bar_number(measure, 4) == label
    assert bar_called(measure, 4) == (label or "(5)")
