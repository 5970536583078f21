"""Signs that the engraver has no drawing of, and what would end its process, on small scores of our own."""

from pathlib import Path
from typing import Any

import music21
import pypdfium2
import pytest
import verovio
from lxml import etree

from score.cues.cue_choice import choose_cues
from score.parts.drawn_boxes import around, drawn_boxes
from score.parts.drawn_staves import HREF, SVG
from score.parts.engraver import systems_that_fit
from score.parts.full_score import full_score
from score.parts.uncued_part import uncued_part
from score.reading import read_score

CORPUS = Path(music21.__file__).parent / "corpus"


def signed(inside: str) -> str:
    return f"<notations>{inside}</notations>"


def pitched(small: Any, accidental: str, alter: int) -> str:
    pitch = f"<pitch><step>B</step><alter>{alter}</alter><octave>4</octave></pitch>"
    note = small.note(inside=accidental)
    return str(pitch.join((note[: note.index("<unpitched>")], note[note.index("</unpitched>") + 12 :])))


def words_of(pdf: bytes) -> str:
    text = " ".join(page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(pdf))
    return text.replace("\u00a0", " ")


def glyphs(group: etree._Element) -> list[str]:
    return [(use.get(HREF) or "")[1:5] for use in group.iter(SVG + "use")]


def mark(inside: str, place: str = "above") -> str:
    return f'<direction placement="{place}"><direction-type>{inside}</direction-type></direction>'


def test_bars_without_a_meter_are_engraved_and_print_none(small: Any, tmp_path: Path) -> None:
    # MusicXML 4.0, senza-misura. Over its import after a meter the engraver's process ended.
    free = "<attributes><time><senza-misura/></time></attributes>"
    counted = "<attributes><time><beats>3</beats><beat-type>4</beat-type></time></attributes>"
    bars = [
        small.note() * 4,
        free + small.note() * 2 + mark("<words>freely</words>") + small.note() * 5,
        counted + small.note() * 3,
    ]
    reading = small.score(tmp_path, bars, [small.note() * 4, free + small.note() * 7, counted + small.note() * 3])
    pages = small.pages(reading, 1)
    assert pages.unprinted == ()
    assert len(small.groups(reading, "meterSig")) == 2
    (direction,) = (group for group in small.groups(reading, "dir") if "freely" in "".join(map(str, group.itertext())))
    notes = [g for g in small.groups(reading, "note") if (g.get("id") or "").startswith("own-")]
    lefts = sorted(drawn_boxes(note)[0].left for note in notes)
    assert lefts[5] < drawn_boxes(direction)[0].left < lefts[7]


def test_a_meter_in_parts_of_nothing_ends_no_process(small: Any, tmp_path: Path) -> None:
    nothing = "<attributes><time><beats>4</beats><beat-type>0</beat-type></time></attributes>"
    reading = small.score(tmp_path, [small.note() * 4, nothing + small.note() * 4], [small.note() * 4] * 2)
    assert len([g for g in small.groups(reading, "note") if (g.get("id") or "").startswith("own-")]) == 8


def test_a_tremolo_without_its_second_note_loses_no_note_of_its_bar(small: Any, tmp_path: Path) -> None:
    tremolo = signed('<ornaments><tremolo type="start">3</tremolo></ornaments>')
    reading = small.score(tmp_path, [small.note(inside=tremolo) + small.note() * 3], [small.note() * 4])
    assert small.pages(reading, 1).unprinted == ()
    assert len(small.groups(reading, "bTrem")) == 1


@pytest.mark.parametrize(
    ("line", "drawn"),
    [
        ('<bracket type="start" number="1" line-end="none"/>', "bracketSpan"),
        ('<words>slower</words></direction-type><direction-type><dashes type="start" number="1"/>', "dir"),
    ],
)
def test_a_line_without_an_end_goes_to_the_end_of_its_bar(small: Any, tmp_path: Path, line: str, drawn: str) -> None:
    bar = small.note() + mark(line) + small.note() * 3
    reading = small.score(tmp_path, [bar, small.note() * 4], [small.note() * 4] * 2)
    assert small.pages(reading, 1).unprinted == ()
    (group,) = (group for group in small.groups(reading, drawn) if len(group))
    box, bars = around(drawn_boxes(group)), small.groups(reading, "measure")
    assert around(drawn_boxes(bars[0])).right - 700 < box.right < around(drawn_boxes(bars[0])).right + 50


@pytest.mark.parametrize(("alter", "code"), [(-1, "E260"), (0, "E261"), (1, "E262")])
def test_an_accidental_that_does_not_say_which_is_told_by_its_pitch(
    small: Any, tmp_path: Path, alter: int, code: str
) -> None:
    # SMuFL 1.4: accidentalFlat, accidentalNatural, accidentalSharp.
    bar = pitched(small, "<accidental/>", alter) + small.note() * 3
    reading = small.score(tmp_path, [bar], [small.note() * 4])
    assert small.pages(reading, 1).unprinted == ()
    (accidental,) = small.groups(reading, "accid")
    assert glyphs(accidental) == [code]


def test_an_accidental_of_commas_is_printed(small: Any, tmp_path: Path) -> None:
    # MusicXML 4.0, accidental-value; SMuFL 1.4, accidental3CommaFlat U+E456.
    bar = pitched(small, "<accidental>flat-3</accidental>", 0) + small.note() * 3
    reading = small.score(tmp_path, [bar], [small.note() * 4])
    assert small.pages(reading, 1).unprinted == ()
    assert glyphs(small.groups(reading, "accid")[0]) == ["E456"]


@pytest.mark.parametrize(
    ("sign", "printed"),
    [
        ("<articulations><stress/></articulations>", "\ue4b6"),  # SMuFL 1.4: articStressAbove
        ("<articulations><falloff/></articulations>", "falloff"),
        ("<ornaments><shake/></ornaments>", "shake"),
        ("<technical><double-tongue/></technical>", "double tongue"),
        ("<technical><other-technical>on the shell</other-technical></technical>", "on the shell"),
    ],
)
def test_signs_without_a_drawing_are_said_above_their_note(small: Any, tmp_path: Path, sign: str, printed: str) -> None:
    reading = small.score(tmp_path, [small.note(inside=signed(sign)) + small.note() * 3], [small.note() * 4])
    pages = small.pages(reading, 1)
    assert pages.unprinted == ()
    assert printed in words_of(pages.pdf)


def test_signs_of_the_font_among_words_are_set_in_it(small: Any, tmp_path: Path) -> None:
    # SMuFL 1.4: coda U+E048; a text font has nothing there.
    reading = small.score(tmp_path, [mark("<symbol>coda</symbol>") + small.note() * 4], [small.note() * 4])
    (direction,) = small.groups(reading, "dir")
    fonts = {str(span.get("font-family")) for span in direction.iter(SVG + "tspan") if span.text}
    assert fonts == {"Leipzig"}
    assert "\ue048" in words_of(small.pages(reading, 1).pdf)


def test_a_timpani_pictogram_and_dynamics_among_words_are_printed(small: Any, tmp_path: Path) -> None:
    bar = mark("<percussion><timpani/></percussion>") + mark("<words>dim. p</words>", "below") + small.note() * 4
    pages = small.pages(small.score(tmp_path, [bar], [small.note() * 4]), 1)
    assert pages.unprinted == ()
    assert "timpani" in words_of(pages.pdf)


def test_fermatas_above_and_below_a_note_are_both_printed(small: Any, tmp_path: Path) -> None:
    # Two above are one, with its shape; SMuFL 1.4: fermataLongAbove U+E4C6, fermataBelow U+E4C1.
    signs = '<fermata/><fermata type="upright">square</fermata><fermata type="inverted"/>'
    reading = small.score(tmp_path, [small.note() * 3 + small.note(inside=signed(signs))], [small.note() * 4])
    assert small.pages(reading, 1).unprinted == ()
    assert sorted(glyph for group in small.groups(reading, "fermata") for glyph in glyphs(group)) == ["E4C1", "E4C6"]


def test_a_hairpin_without_an_end_goes_to_the_end_of_its_bar_and_is_said(small: Any, tmp_path: Path) -> None:
    bar = small.note() * 2 + mark('<wedge type="crescendo" number="2"/>', "below") + small.note() * 2
    reading = small.score(tmp_path, [bar, small.note() * 4], [small.note() * 4] * 2)
    pages = small.pages(reading, 1)
    assert pages.unprinted == ()
    assert [line for line in pages.warnings if "printed open: bar 1" in line]
    (hairpin,) = small.groups(reading, "hairpin")
    box, bars = around(drawn_boxes(hairpin)), small.groups(reading, "measure")
    staff = around(drawn_boxes(bars[0]))
    assert staff.left + 0.4 * (staff.right - staff.left) < box.left < box.right < staff.right + 50


def test_a_slide_without_an_end_goes_to_the_next_note(small: Any, tmp_path: Path) -> None:
    slide = signed('<slide type="start" number="1"/>')
    reading = small.score(tmp_path, [small.note() * 3 + small.note(inside=slide), small.note(4)], [small.note(4)] * 2)
    assert small.pages(reading, 1).unprinted == ()
    assert len(small.groups(reading, "gliss")) == 1


def test_an_arpeggio_on_one_voice_goes_through_the_other(small: Any, tmp_path: Path) -> None:
    second = small.note(inside=signed("<arpeggiate/>")).replace("<voice>1<", "<voice>2<").replace("step>C<", "step>E<")
    bar = small.note() * 4 + "<backup><duration>16</duration></backup>" + second
    reading = small.score(tmp_path, [bar], [small.note() * 4])
    assert small.pages(reading, 1).unprinted == ()
    (arpeggio,) = small.groups(reading, "arpeg")
    assert len(arpeggio)


def test_a_trill_line_on_one_grace_note_is_no_line_to_look_for(small: Any, tmp_path: Path) -> None:
    # A published quartet writes the beginning of a line on every trill and no end; a grace note leaves it no room.
    trill = signed('<ornaments><trill-mark/><wavy-line type="start"/></ornaments>')
    grace = small.note(inside=trill).replace("<note>", "<note><grace/>").replace("<duration>4</duration>", "")
    reading = small.score(tmp_path, [grace + small.note(inside=trill) + small.note() * 3], [small.note() * 4])
    assert small.pages(reading, 1).unprinted == ()
    assert len(small.groups(reading, "trill")) == 2


@pytest.mark.parametrize("name", ["nested_tuplet_finale_test", "nested_tuplet_finale_test2"])
def test_tuplets_inside_tuplets_are_printed_and_begin_when_they_should(small: Any, name: str) -> None:
    # Outside: when music21 has each note begin; the engraver's own clock, ms at 120, for when ours does.
    path = CORPUS / "demos" / f"{name}.xml"
    reading = read_score(path)
    pages = small.pages(reading, 1)
    assert pages.unprinted == ()
    tuplets = small.groups(reading, "tuplet")
    written = len([sign for sign in etree.fromstring(reading.source.xml).iter("tuplet") if sign.get("type") == "start"])
    assert len(tuplets) == written == 4
    uncued = uncued_part(reading, choose_cues(reading.piece, 1))
    toolkit = verovio.toolkit()
    assert toolkit.loadData(uncued.mei)
    toolkit.renderToMIDI()
    names = [sign.note for sign in uncued.signs if sign.kind == "note"]
    notes = music21.converter.parse(path).recurse().notes
    assert len(names) == len(notes) > 8
    for note, own in zip(notes, names, strict=True):
        assert toolkit.getMIDIValuesForElement(own)["time"] / 500 == pytest.approx(float(note.offset), abs=0.01)


def test_brackets_of_inner_tuplets_stand_clear_of_notes_and_staff(small: Any) -> None:
    reading = read_score(CORPUS / "demos" / "nested_tuplet_finale_test2.xml")
    inner = [group for group in small.groups(reading, "tuplet") if "inner-tuplet" in (group.get("class") or "")]
    assert len(inner) == 2
    for tuplet in inner:
        own = [each for each in tuplet.iterchildren(SVG + "g") if "tuplet" in (each.get("class") or "")]
        rest = [each for each in tuplet.iterchildren(SVG + "g") if each not in own]
        bracket = around([box for each in own for box in drawn_boxes(each)])
        held = around([box for each in rest for box in drawn_boxes(each)])
        assert bracket.bottom < held.top or bracket.top > held.bottom


def test_the_score_for_all_prints_both_fermatas_and_joined_arpeggios(small: Any, tmp_path: Path) -> None:
    second = small.note(inside=signed("<arpeggiate/>")).replace("<voice>1<", "<voice>2<").replace("step>C<", "step>E<")
    both = signed('<fermata type="upright"/><fermata type="inverted"/>')
    bar = small.note() * 3 + small.note(inside=both) + "<backup><duration>16</duration></backup>" + second
    score = full_score(small.score(tmp_path, [bar], [small.note() * 4]))
    (system,) = systems_that_fit(etree.tostring(score.root, encoding="unicode"), 180, 5)
    groups = [group for group in etree.fromstring(system.svg).iter(SVG + "g") if len(group)]
    # SMuFL 1.4: fermataAbove U+E4C0, fermataBelow U+E4C1.
    fermatas = [sign for group in groups if group.get("class") == "fermata" for sign in glyphs(group)]
    assert sorted(fermatas) == ["E4C0", "E4C1"]
    assert len([group for group in groups if (group.get("class") or "").split()[0] == "arpeg"]) == 1


def test_tuplets_that_never_end_are_said_and_no_signs(small: Any, tmp_path: Path) -> None:
    # So they stand in a published trio: three that begin on one grace note and end nowhere.
    starts = "".join(f'<tuplet type="start" number="{number}"/>' for number in (1, 2, 3))
    grace = small.note(inside=signed(starts)).replace("<note>", "<note><grace/>").replace("<duration>4</duration>", "")
    pages = small.pages(small.score(tmp_path, [small.note(4), grace + small.note(4)], [small.note(4)] * 2), 1)
    assert pages.unprinted == ()
    assert [line for line in pages.warnings if "tuplets that never end" in line and line.endswith(": bar 2")]
    # Notes; clef, key and meter.
    assert pages.signs == 3 + 3


TABLATURE = "<attributes><clef><sign>TAB</sign><line>5</line></clef><staff-details><staff-lines>6</staff-lines>"
TABLATURE += "</staff-details></attributes>"


def plucked(small: Any, inside: str = "") -> str:
    pitch = "<pitch><step>D</step><octave>4</octave></pitch>"
    note = small.note(inside=inside)
    return str(pitch.join((note[: note.index("<unpitched>")], note[note.index("</unpitched>") + 12 :])))


def test_tablature_is_figures_on_strings(small: Any, tmp_path: Path) -> None:
    rest = "<note><rest/><duration>4</duration><voice>1</voice><type>quarter</type></note>"
    figures = [
        signed(f"<technical><string>{s}</string><fret>{f}</fret></technical>") for s, f in ((2, 3), (3, 7), (1, 12))
    ]
    bar = TABLATURE + "".join(plucked(small, figure) for figure in figures) + rest
    reading = small.score(tmp_path, [bar], [small.note() * 4])
    pages = small.pages(reading, 1)
    assert pages.unprinted == ()
    notes = ["".join(map(str, group.itertext())).strip() for group in small.groups(reading, "note")]
    assert notes == ["3", "7", "12"]
    assert not [word for word in ("fret", "string") if word in words_of(pages.pdf)]
    assert len(small.groups(reading, "rest")) == 1


def test_tablature_without_strings_is_printed_as_notes(small: Any, tmp_path: Path) -> None:
    # The engraver would look for a string for ever.
    reading = small.score(tmp_path, [TABLATURE + plucked(small) * 4], [small.note() * 4])
    assert small.pages(reading, 1).unprinted == ()
    assert [code for group in small.groups(reading, "notehead") for code in glyphs(group)] == ["E0A4"] * 4


def test_the_score_for_all_prints_heads_damps_and_no_hidden_notes_either(small: Any, tmp_path: Path) -> None:
    hidden = small.note().replace("<note>", '<note print-object="no">').replace("<voice>1<", "<voice>2<")
    bar = (
        small.note(inside="<notehead>square</notehead>")
        + small.note(inside="<notehead>triangle</notehead>")
        + mark("<damp/>")
        + small.note() * 2
        + "<backup><duration>16</duration></backup>"
        + hidden * 4
    )
    score = full_score(small.score(tmp_path, [bar], [small.note() * 4]))
    (system,) = systems_that_fit(etree.tostring(score.root, encoding="unicode"), 180, 5)
    tree = etree.fromstring(system.svg)
    # SMuFL 1.4: noteheadSquareBlack U+E0B9; pluckedDamp U+E638.
    assert glyphs(tree).count("E0B9") == 1
    assert system.svg.count("own-head") == 1
    assert len([group for group in tree.iter(SVG + "g") if group.get("class") == "notehead"]) == 8
    (damp,) = (span for span in tree.iter(SVG + "tspan") if span.text == "\ue638")
    assert damp.get("font-family") == "Leipzig"
