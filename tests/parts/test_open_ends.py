"""Signs that begin and end oddly in the source: open ties and slurs, slurs end to end, wavy lines, numbered verses."""

import re
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from lxml import etree

from score.parts.beam_ends import mend_beams
from score.parts.drawn_boxes import drawn_boxes
from score.parts.drawn_staves import HREF, SVG

TRILL, WAVE = "E566", "E59"
"""SMuFL's ornamentTrill, and how its segments of wavy lines begin."""


def signed(*notations: str) -> str:
    """What stands in a note after its type: a list of signs, or several of them."""
    return "".join(f"<notations>{each}</notations>" for each in notations)


def bar(small: Any, *notes: str) -> str:
    return "".join(small.note(inside=inside) for inside in notes)


def scored(small: Any, folder: Path, *bars: str) -> Any:
    return small.score(folder, bars, [small.note() * 4] * len(bars))


def lefts(small: Any, reading: Any) -> list[float]:
    """Where the player's own notes begin, from left to right in a piece of one system."""
    notes = [group for group in small.groups(reading, "note") if (group.get("id") or "").startswith("own-")]
    return sorted(drawn_boxes(note)[0].left for note in notes)


SLUR = '<slur type="{}" number="1"/>'
START, STOP = SLUR.format("start"), SLUR.format("stop")


@pytest.mark.parametrize("sign", ['<tied type="start"/>', START], ids=["tie", "slur"])
def test_what_ends_nowhere_is_printed_open_and_said(small: Any, tmp_path: Path, sign: str) -> None:
    reading = scored(small, tmp_path, bar(small, "", "", signed(sign), ""), small.rest_bar())
    pages = small.pages(reading, 1)
    assert pages.unprinted == ()
    assert [line for line in pages.warnings if "printed open: bar 1" in line]
    (curve,) = small.groups(reading, "lv" if "tied" in sign else "slur")
    (box,) = drawn_boxes(curve)
    third, fourth = lefts(small, reading)[2:]
    assert third < box.left < box.right < fourth + 100


PITCHED = "<pitch><step>{}</step><octave>4</octave></pitch>"


def test_a_tie_that_ends_nowhere_is_not_joined_with_an_end_bars_away(small: Any, tmp_path: Path) -> None:
    def chord(kind: str) -> str:
        sign = signed(f'<tied type="{kind}"/>')
        lower, upper = (
            re.sub("<unpitched>.*</unpitched>", PITCHED.format(step), small.note(inside=sign)) for step in "CA"
        )
        return lower + upper.replace("<note>", "<note><chord/>")

    plain = small.note()
    bars = [plain * 3 + chord("start"), *[plain * 4] * 3, chord("start") + chord("stop") + plain * 2]
    reading = scored(small, tmp_path, *bars)
    assert [line for line in small.pages(reading, 1).warnings if "printed open: bar 1" in line]
    # 20 mm is wider than a quarter of these bars, narrower than one of them.
    curves = [box for group in small.groups(reading, "tie") + small.groups(reading, "lv") for box in drawn_boxes(group)]
    assert len(curves) == 4
    assert all(curve.right - curve.left < 2000 for curve in curves)


def test_each_slur_ends_where_it_is_written_whatever_stands_alone(small: Any, tmp_path: Path) -> None:
    # A stray end, a slur that ends where the next begins (the beginning written first), and one that never ends.
    bars = [
        bar(small, signed(STOP), signed(START), signed(START + STOP), signed(STOP)),
        bar(small, signed(START), "", signed(START), signed(STOP)),
    ]
    reading = scored(small, tmp_path, *bars)
    assert small.pages(reading, 1).unprinted == ()
    notes = lefts(small, reading)
    spans = sorted((box.left, box.right) for curve in small.groups(reading, "slur") for box in drawn_boxes(curve))
    ends = [(1, 2), (2, 3), (4, 5), (6, 7)]
    assert len(spans) == len(ends)
    for (left, right), (first, last) in zip(spans, ends, strict=True):
        assert notes[first] - 30 < left < notes[first] + 300
        assert notes[last] - 150 < right < notes[last] + 300


TRILLED, WAVY = "<ornaments><trill-mark/></ornaments>", '<ornaments><wavy-line type="{}" number="1"/></ornaments>'


@pytest.mark.parametrize(
    ("notes", "signs"),
    [
        # A trill's mark and its line in lists of their own, after a list without either.
        ([signed("<articulations><accent/></articulations>", TRILLED, WAVY.format("start")), "", ""], {TRILL, WAVE}),
        ([signed(TRILLED + WAVY.format("start")), signed(WAVY.format("continue")), ""], {TRILL, WAVE}),
        ([signed(WAVY.format("start")), signed(WAVY.format("stop")), ""], {WAVE}),
        ([signed(WAVY.format("start")), "", ""], {WAVE}),
        ([signed(TRILLED), "", ""], {TRILL}),
    ],
)
def test_trills_and_their_lines_are_printed_however_they_end(
    small: Any, tmp_path: Path, notes: list[str], signs: set[str]
) -> None:
    reading = scored(small, tmp_path, bar(small, *notes, ""), small.rest_bar())
    assert small.pages(reading, 1).unprinted == ()
    (trill,) = small.groups(reading, "trill")
    codes = {(use.get(HREF) or "")[1:5] for use in trill.iter(SVG + "use")}
    assert {code if code == TRILL else code[:3] for code in codes} == signs


def test_words_under_notes_keep_their_numbers_and_stand_under_rests_too(small: Any, tmp_path: Path) -> None:
    verse = "<lyric number='{}'><syllabic>single</syllabic><text>{}</text></lyric>"
    rest = small.note(inside=verse.format(1, "hush")).replace("<unpitched>", "<rest/><unpitched>")
    rest = rest[: rest.index("<unpitched>")] + rest[rest.index("</unpitched>") + len("</unpitched>") :]
    first = small.note(inside=verse.format(1, "1. Play") + verse.format(2, "2. Stop"))
    reading = scored(small, tmp_path, first + rest + small.note() * 2, small.rest_bar())
    pages = small.pages(reading, 1)
    assert pages.unprinted == ()
    words = pypdfium2.PdfDocument(pages.pdf)[0].get_textpage().get_text_bounded()
    for word in ("1. Play", "2. Stop", "hush"):
        assert word in words.replace("\u00a0", " ")


def test_dashes_without_words_and_remarks_of_the_file_are_told_apart(small: Any, tmp_path: Path) -> None:
    mark = '<direction placement="above"><direction-type>{}</direction-type></direction>'
    start, stop = (mark.format(f'<dashes type="{kind}" number="1"/>') for kind in ("start", "stop"))
    remark = mark.format("<?a remark?><words>dry</words>")
    reading = scored(small, tmp_path, remark + start + small.note() * 4, small.note() * 2 + stop + small.note() * 2)
    assert small.pages(reading, 1).unprinted == ()
    (line,) = small.groups(reading, "bracketSpan")
    (box,) = drawn_boxes(line)
    notes = lefts(small, reading)
    assert notes[0] - 200 < box.left < notes[1]
    assert notes[5] < box.right < notes[7]


def test_a_line_that_does_not_say_its_kind_is_drawn_whole(small: Any, tmp_path: Path) -> None:
    mark = (
        '<direction placement="above"><direction-type><bracket type="{}" line-end="none"/></direction-type></direction>'
    )
    bar = mark.format("start") + small.note() * 3 + mark.format("stop") + small.note()
    reading = small.score(tmp_path, [small.note(4), bar], [small.note(4)] * 2)
    assert small.pages(reading, 1).unprinted == ()
    (line,) = small.groups(reading, "bracketSpan")
    (box,) = drawn_boxes(line)
    assert box.right - box.left > 1000


def test_dashes_written_after_a_bar_of_rest_are_printed(small: Any, tmp_path: Path) -> None:
    # A published fugue has them there, with offsets back into the bar; the import loses their staff.
    mark = '<direction placement="above"><direction-type>{}</direction-type><offset>{}</offset></direction>'
    start, stop = (
        mark.format(f'<dashes type="{kind}" number="1"/>', at) for kind, at in (("start", -12), ("stop", -4))
    )
    reading = small.score(tmp_path, [small.note(4), small.rest_bar() + start + stop], [small.note(4)] * 2)
    assert small.pages(reading, 1).unprinted == ()
    (line,) = small.groups(reading, "bracketSpan")
    assert drawn_boxes(line)


@pytest.mark.parametrize("word", ["dim.", "espr."])
def test_words_whose_dashes_never_end_are_said(small: Any, tmp_path: Path, word: str) -> None:
    # Dashes after words of loudness and after others: the engraver makes two kinds of sign of them.
    mark = '<direction placement="below"><direction-type>{}</direction-type></direction>'
    words = f'<direction placement="below"><direction-type><words>{word}</words></direction-type>{{}}</direction>'
    start = '<direction-type><dashes type="start" number="1"/></direction-type>'
    stop = mark.format('<dashes type="stop" number="1"/>')
    bars = [words.format(start) + small.note(4), stop + small.note(4), words.format(start) + small.note(4)]
    pages = small.pages(small.score(tmp_path, bars, [small.note(4)] * 3), 1)
    assert pages.unprinted == ()
    assert [line for line in pages.warnings if line.endswith("printed open: bar 3")]


def test_a_hairpin_of_no_length_and_words_below_another_staff_are_printed(small: Any, tmp_path: Path) -> None:
    # Both stood so in published scores: a hairpin's end before any time has gone by, a tempo's words below a staff.
    mark = '<direction placement="below"><direction-type>{}</direction-type>{}</direction>'
    wedges = "".join(mark.format(f'<wedge type="{kind}" number="1"/>', "") for kind in ("diminuendo", "stop"))
    slower = mark.format("<words>poco rit.</words>", '<sound tempo="50"/>')
    own = [small.note() * 4, small.note() + wedges + small.note() * 3]
    reading = small.score(tmp_path, own, [small.note() * 4, slower + small.note() * 4])
    pages = small.pages(reading, 1)
    assert pages.unprinted == ()
    (hairpin,) = small.groups(reading, "hairpin")
    (box, *_) = drawn_boxes(hairpin)
    notes = lefts(small, reading)
    assert notes[5] - 100 < box.left < notes[6]
    assert "poco rit." in pypdfium2.PdfDocument(pages.pdf)[0].get_textpage().get_text_bounded().replace("\u00a0", " ")


def beamed(small: Any, *beams: str) -> str:
    """A bar of eighths and quarters: each the kind of its beam, or "" for a quarter without one."""
    notes = []
    for kind in beams:
        beam = f'<beam number="1">{kind}</beam>' if kind else ""
        note = small.note(inside=beam)
        notes.append(note.replace("<duration>4<", "<duration>2<").replace("quarter", "eighth") if kind else note)
    return "".join(notes)


def test_beams_without_an_end_hold_the_notes_that_say_so(small: Any, tmp_path: Path) -> None:
    # A published quartet ends few of its beams; the quarter after one was taken into it, its stem left the page.
    bars = [
        beamed(small, "begin", "continue", "continue", "", ""),
        beamed(small, "begin", "continue", "begin", "continue", "begin", "end", "continue", "end"),
        beamed(small, "begin", "begin", "continue", "continue", "begin", "continue", "end", "end"),
    ]
    bars[0] += small.note().replace("<duration>4<", "<duration>2<").replace("quarter", "eighth")
    reading = scored(small, tmp_path, *bars)
    assert small.pages(reading, 1).unprinted == ()
    held = [[g.get("class") for g in beam.iter(SVG + "g")].count("note") for beam in small.groups(reading, "beam")]
    assert held == [3, 2, 2, 2, 2, 3, 3]
    for system in small.systems(reading, 1):
        assert system.height_mm < 40


def test_grace_notes_without_a_value_stay_on_their_staff(small: Any, tmp_path: Path) -> None:
    # A published quartet gives them none; inside a beam their stems and heads left the page.
    grace = small.note().replace("<note>", "<note><grace/>").replace("<duration>4</duration>", "")
    grace = grace.replace("<type>quarter</type>", "")
    first, second, third = beamed(small, "begin", "continue", "end").split("</note>")[:3]
    bar = f"{first}</note>{second}</note>{grace * 2}{third}</note>" + small.note() * 2
    reading = scored(small, tmp_path, bar, small.note() * 4)
    assert small.pages(reading, 1).unprinted == ()
    (system,) = small.systems(reading, 1)
    assert system.height_mm < 40


def test_a_beam_over_a_bar_line_stays(small: Any, tmp_path: Path) -> None:
    bars = [
        beamed(small, "", "", "", "begin", "continue"),
        beamed(small, "continue", "end", "", "begin", "continue", ""),
    ]
    reading = scored(small, tmp_path, *bars)
    (part, _) = etree.fromstring(reading.source.xml).iter("part")
    mend_beams(part)
    kinds = [beam.text for beam in part.iter("beam")]
    assert kinds == ["begin", "continue", "continue", "end", "begin", "end"]
