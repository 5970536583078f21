"""Tempo marks as they are printed, sounded and said (MusicXML 4.0: metronome, sound)."""

from fractions import Fraction

import pytest
from lxml import etree

from score.piece import Tempo, TempoChange
from score.reading.bar_lengths import lengths_of, part_extents
from score.reading.read_bars import read_bars
from score.reading.tempi import read_tempi

NOTE = "<note><rest/><duration>4</duration></note>"
HEAD = "<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>"


def direction(*types: str, sound: str = "") -> str:
    inner = "".join(f"<direction-type>{text}</direction-type>" for text in types)
    return f"<direction>{inner}{f'<sound tempo={chr(34)}{sound}{chr(34)}/>' if sound else ''}</direction>"


def mark(unit: str, number: str, dot: str = "") -> str:
    return f"<metronome><beat-unit>{unit}</beat-unit>{dot}<per-minute>{number}</per-minute></metronome>"


def read(*bars: str) -> tuple[tuple[Tempo, ...], tuple[TempoChange, ...]]:
    measures = "".join(f"<measure>{'' if i else HEAD}{text}{NOTE}</measure>" for i, text in enumerate(bars))
    root = etree.fromstring(f'<score-partwise><part id="P1">{measures}</part></score-partwise>')
    return read_tempi(root, read_bars(root, lengths_of([part_extents(part) for part in root.iterchildren("part")])))


@pytest.mark.parametrize(
    ("text", "low", "high", "origin"),
    [
        (direction(mark("quarter", "60")), 60, 60, "mark"),
        (direction(mark("quarter", "60-72")), 60, 72, "mark"),
        (direction(mark("quarter", "c. 60"), sound="90"), 60, 60, "mark"),
        (direction(mark("quarter", ""), sound="90"), 90, 90, "sound"),
        (direction(mark("quarter", "60", "<beat-unit-dot/>")), 90, 90, "mark"),
        (direction(mark("half", "60")), 120, 120, "mark"),
        (direction("<words>Slow</words>", sound="48"), 48, 48, "sound"),
        ('<sound tempo="132"/>', 132, 132, "sound"),
        (direction("<words>Allegro con brio</words>"), 126, 126, "words"),
        ("", 100, 100, "default"),
    ],
)
def test_first_tempo(text: str, low: float, high: float, origin: str) -> None:
    tempi, _ = read(text, "")
    assert (tempi[0].low, tempi[0].high, tempi[0].origin) == (low, high, origin)
    assert tempi[0].quarters_per_minute == (low + high) / 2


def test_metric_modulation_keeps_the_length_of_the_old_unit() -> None:
    # Common practice, no source: the old unit on the left lasts as long as the new one on the right.
    change = "<metronome><beat-unit>eighth</beat-unit><beat-unit>quarter</beat-unit><beat-unit-dot/></metronome>"
    tempi, _ = read(direction(mark("quarter", "60")), direction(change))
    assert [tempo.quarters_per_minute for tempo in tempi] == [60, 180]
    assert tempi[1].origin == "modulation"


def test_a_tempo_goes_back_and_ends_the_ritardando() -> None:
    tempi, changes = read(
        direction(mark("quarter", "80")),
        direction("<words>poco rit.</words>"),
        direction("<words>a tempo</words>"),
    )
    assert tempi[-1].quarters_per_minute == 80
    (change,) = changes
    assert (change.kind, change.start.bar, change.end, change.extent) == ("rit", 1, (2, Fraction(0)), "words")


def test_dashes_give_the_extent() -> None:
    start = direction("<words>accel.</words>", '<dashes type="start" number="1"/>')
    stop = direction('<dashes type="stop" number="1"/>')
    _, changes = read(direction(mark("quarter", "80")), start, "", stop, "")
    assert [(change.kind, change.end.bar, change.extent) for change in changes] == [("accel", 3, "dashes")]


def test_nothing_printed_ends_it_with_its_bar() -> None:
    _, changes = read("", direction("<words>rall.</words>"), "")
    assert [(change.end, change.extent) for change in changes] == [((1, Fraction(4)), "default")]


def test_a_comparative_beside_a_figure_is_no_gradual_change() -> None:
    from lxml import etree

    from score.reading.tempi import _gradual_words

    def direction(words: str, figure: bool) -> etree._Element:
        element = etree.fromstring(f"<direction><direction-type><words>{words}</words></direction-type></direction>")
        if figure:
            etree.SubElement(etree.SubElement(element, "direction-type"), "metronome")
        return element

    assert list(_gradual_words(direction("Slower, singing", True))) == []
    assert list(_gradual_words(direction("slower", False))) == [("rit", "slower")]
    assert list(_gradual_words(direction("poco rit.", True))) == [("rit", "poco rit.")]
