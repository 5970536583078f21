"""Bars that are narrowed stay legible: no head or rest of a staff lies upon the one before it, measured on the page."""

from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

from lxml import etree

from score.cues.sheet import Level
from score.parts.bar_estimate import bar_shapes, head_width
from score.parts.drawn_boxes import around, drawn_boxes
from score.parts.drawn_staves import SVG, UNITS_PER_MM, staff_edges
from score.parts.engraver import EngravedSystem

SAME_ONSET = 20
"""Heads of a chord stand nearer to each other than this, in hundredths of a millimetre."""


def gaps(system: EngravedSystem) -> Iterator[float]:
    """From each head or rest of a voice to the next, mm."""
    for measure in system.measures:
        for layer in measure.iter(SVG + "g"):
            if layer.get("class") == "layer":
                signs = [boxes for group in layer.iter(SVG + "g") if is_sign(group) and (boxes := drawn_boxes(group))]
                for one, following in pairwise(sorted(map(around, signs))):
                    if following.left - one.left > SAME_ONSET:
                        yield (following.left - one.right) / UNITS_PER_MM


def is_sign(group: etree._Element) -> bool:
    return (group.get("class") or "").split()[:1] in (["notehead"], ["rest"])


def test_heads_and_rests_of_the_sample_never_overlap(small: Any) -> None:
    # Sixteenths with rests between them, names beside the staves, a new meter at a system's end.
    for player in (1, 2):
        between = [gap for system in small.sample_systems(player) for gap in gaps(system)]
        assert len(between) > 500
        assert min(between) >= 0.1


def test_flags_and_grace_notes_keep_heads_apart_beside_long_names(small: Any, tmp_path: Path) -> None:
    quick = small.note().replace("<duration>4<", "<duration>1<").replace(">quarter<", ">16th<")
    grace = quick.replace("<note>", "<note><grace/>").replace("<duration>1</duration>", "")
    own = [quick * 8 + small.note(2), quick * 4 + (grace + small.note()) * 3] * 12
    names = ["Marimba", "Violoncello of the first quartet", "Vibraphone"]
    reading = small.score(tmp_path, own, *[[small.note() * 4] * len(own)] * 2, names=names)
    between = [gap for system in small.systems(reading, 1, Level.FULL) for gap in gaps(system)]
    assert len(between) > 300
    assert min(between) >= 1.0


def test_names_beside_the_staves_are_counted(small: Any) -> None:
    document = small.document(small.sample(), 1)
    named = head_width(document, 7.5)
    firsts = bar_shapes(document, [0.0] * 200, 7.5)[0].width
    for label in [label for tag in ("label", "labelAbbr") for label in document.root.iter("{*}" + tag)]:
        label.getparent().remove(label)
    first, second = (staff_edges(system.measures[0])[0] / UNITS_PER_MM for system in small.sample_systems(1)[:2])
    assert abs(named - head_width(document, 7.5) - second) < 0.5
    assert abs(firsts - bar_shapes(document, [0.0] * 200, 7.5)[0].width - (first - second)) < 0.5
