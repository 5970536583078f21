"""The proof that a part's pages hold every sign of its source, and what it says when one is missing."""

from pathlib import Path
from typing import Any

import pytest
from lxml import etree

from score.cues.cue_choice import choose_cues
from score.cues.sheet import Level
from score.parts.drawing_tree import drop
from score.parts.drawn_staves import SVG
from score.parts.engraver import in_systems
from score.parts.printed_bar import MEI
from score.parts.printed_signs import unprinted_signs
from score.parts.system_marks import set_systems
from score.parts.uncued_part import uncued_part
from tests.longer import longer

XML_ID = "{http://www.w3.org/XML/1998/namespace}id"


@pytest.mark.parametrize("player", [longer(1), longer(2), 3, longer(4)])
def test_every_sign_of_the_sample_is_found_again(small: Any, player: int) -> None:
    made = small.sample_pages(player)
    assert made.signs > 400
    assert made.unprinted == ()


@pytest.mark.parametrize("player", [longer(1), 3])
def test_every_sign_is_found_again_where_every_player_has_a_line(small: Any, player: int) -> None:
    assert small.pages(small.sample(), player, Level.FULL).unprinted == ()


@pytest.mark.parametrize("name", ["dynam", "tie", "fermata", "note", "hairpin", "dir", "fing", "bTrem", "tempo", "reh"])
def test_a_sign_that_is_left_out_is_missed_where_it_stands(small: Any, name: str) -> None:
    # Takes one sign of each kind out of the document before it is engraved: the proof must name it and its bar.
    player = 1 if name in ("fing", "tie") else 3
    here = small.document(small.sample(), player)
    staves = {str(n) for part in here.parts for n in part}
    events = [e for e in here.root.iter(MEI + name) if is_own(e, staves) and not is_cue(e)]
    lost = events[len(events) // 2]
    bar = next(b.first for b in here.bars if b.measure in lost.iterancestors())
    (replace_by_space if name in ("note", "bTrem") else drop)(lost)
    lines = [range(n, min(n + 4, len(here.bars))) for n in range(0, len(here.bars), 4)]
    set_systems(here, lines, ())
    drawn = in_systems(etree.tostring(here.root, encoding="unicode"), 172.0, 7.0)
    signs = uncued_part(small.sample(), choose_cues(small.sample().piece, player)).signs
    missed = unprinted_signs(signs, here.bars, drawn)
    assert missed
    assert {sign.bar for sign in missed} <= {bar, bar + 1, bar - 1}


def small_with_everything(small: Any, folder: Path) -> Any:
    def signed(inside: str) -> str:
        return str(small.note(inside=f"<notations>{inside}</notations>"))

    rest = "<note><rest/><duration>4</duration><voice>1</voice><type>quarter</type></note>"
    words = '<direction placement="above"><direction-type><words>dry</words></direction-type></direction>'
    change = (
        "<attributes><key><fifths>2</fifths></key><time><beats>3</beats><beat-type>4</beat-type></time>"
        "<clef><sign>G</sign><line>2</line></clef></attributes>"
    )
    ending = '<barline location="{}"><ending number="1" type="{}"/>{}</barline>'
    slide = '<slide type="{}" number="1"/>'
    bars = [
        signed("<articulations><accent/></articulations>") + words + small.note() + rest + words + small.note(),
        small.note() + rest + small.note() * 2,
        change
        + signed("<technical><fingering>R</fingering></technical>")
        + rest
        + small.note(inside="<notehead>x</notehead>"),
        signed("<ornaments><turn/></ornaments>")
        + signed("<articulations><breath-mark/></articulations>")
        + small.note(),
        signed(slide.format("start"))
        + signed(slide.format("stop"))
        + signed("<articulations><caesura/></articulations>"),
        ending.format("left", "start", "")
        + small.note() * 3
        + ending.format("right", "stop", '<repeat direction="backward"/>'),
        small.note() * 3,
    ]
    return small.score(folder, bars, [small.note() * 4] * 2 + [change + small.note() * 3] + [small.note() * 3] * 4)


@pytest.mark.parametrize(
    ("name", "kind", "bar"),
    [
        ("artic", "articulation", 0),
        ("dir", "words", 0),
        ("rest", "rest", 0),
        ("rest", "rest", 1),
        ("clef", "clef", 2),
        ("keySig", "key", 2),
        ("meterSig", "meter", 2),
        ("notehead", "notehead", 2),
        ("fing", "sticking", 2),
        ("turn", "turn", 3),
        ("breath", "breath", 3),
        ("gliss", "glissando", 4),
        ("caesura", "caesura", 4),
        ("voltaBracket", "ending", 5),
        ("barLine", "repeat", 5),
    ],
)
def test_what_is_not_drawn_is_missed(small: Any, tmp_path: Path, name: str, kind: str, bar: int) -> None:
    # The ink of one sign is taken out of the engraver's drawing.
    reading = small_with_everything(small, tmp_path)
    here = small.document(reading, 1)
    signs = uncued_part(reading, choose_cues(reading.piece, 1)).signs
    set_systems(here, [range(len(here.bars))], ())
    (drawn,) = in_systems(etree.tostring(here.root, encoding="unicode"), 350.0, 7.0)
    assert unprinted_signs(signs, here.bars, [drawn]) == ()
    measure = drawn.measures[bar - 1 if name == "clef" else bar]  # a clef stands before the barline
    near = measure.getparent() if name == "voltaBracket" else measure
    groups = [
        group for group in near.iter(SVG + "g") if (group.get("class") or "").split()[:1] == [name] and len(group)
    ]
    lost = [group for group in groups if "cue-" not in etree.tostring(group, encoding="unicode")][-1]
    if name == "voltaBracket":
        drawn = drawn._replace(svg=drawn.svg.replace('class="voltaBracket"', 'class="nothing"'))
    for sign in list(lost):
        lost.remove(sign)
    missed = unprinted_signs(signs, here.bars, [drawn])
    assert [sign.kind for sign in missed if sign.bar == bar] == [kind]


def is_own(event: etree._Element, staves: set[str]) -> bool:
    return event.tag in (MEI + "tempo", MEI + "reh") or event.get("staff", "2") in staves


def is_cue(event: etree._Element) -> bool:
    name = event.get("{http://www.w3.org/XML/1998/namespace}id") or ""
    inside = any(
        (child.get("{http://www.w3.org/XML/1998/namespace}id") or "").startswith("cue-") for child in event.iter()
    )
    near = "cue-" in (event.get("startid") or "")
    text = "".join(map(str, event.itertext()))
    return name.startswith("cue-") or inside or near or "\u2013" in text or event.get("visible") == "false"


def replace_by_space(event: etree._Element) -> None:
    parent = event.getparent()
    assert parent is not None
    if parent.tag == MEI + "chord":
        parent.remove(event)
        return
    length = event.get("dur") or next(event.iter(MEI + "note", MEI + "chord")).get("dur")
    space = etree.Element(MEI + "space", dur=length or "4")
    parent.replace(event, space)
