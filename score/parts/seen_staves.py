"""Which staves of a document are seen: one without a note is hidden where its system has none in it."""

from collections.abc import Sequence

from lxml import etree

from score.parts.drawing_tree import drop
from score.parts.printed_bar import MEI


def show_only_what_sounds(root: etree._Element) -> None:
    """Staves without a note hide, system by system; the document's own breaks go."""
    for score_def in root.iter(MEI + "scoreDef"):
        score_def.set("optimize", "true")
        break
    # A staff shown or hidden in single bars would fight the engraver's own choice by system.
    for staff in root.iter(MEI + "staff"):
        if "visible" in staff.attrib:
            del staff.attrib["visible"]
    for old in [*root.iter(MEI + "sb"), *root.iter(MEI + "pb"), *root.iter(MEI + "expansion")]:
        drop(old)


def group_own_staves(root: etree._Element, cue_staves: range) -> None:
    """Barlines run through all staves; the player's own stand in a group of their own.

    Without that group the engraver draws no ending brackets where the cue staff above them is hidden.
    """
    top = next(root.iter(MEI + "staffGrp"))
    own = etree.Element(MEI + "staffGrp")
    for item in list(top):
        if item.tag == MEI + "staffGrp" or (item.tag == MEI + "staffDef" and int(item.get("n", "0")) not in cue_staves):
            own.append(item)
    top.append(own)
    for group in top.iter(MEI + "staffGrp"):
        group.set("bar.thru", "true")


def keep_own_staff(measure: etree._Element, parts: Sequence[range]) -> None:
    """The player's first part stays in sight, rests or not; of each other all staves where one of them plays."""
    by_number = {staff.get("n"): staff for staff in measure.iterchildren(MEI + "staff")}
    for position, part in enumerate(parts):
        staves = [by_number[str(number)] for number in part if str(number) in by_number]
        if position == 0 or any(map(has_note, staves)):
            for staff in staves:
                keep_in_sight(staff)


def keep_in_sight(staff: etree._Element) -> None:
    """Have a staff seen where no note stands in it: an invisible grace note does."""
    layer = next(staff.iterchildren(MEI + "layer"), None)
    if layer is not None and not has_note(staff):
        layer.insert(0, etree.Element(MEI + "note", {"grace": "unacc", "dur": "16", "loc": "4", "visible": "false"}))


def has_note(staff: etree._Element) -> bool:
    """Whether a note stands in it, seen or not."""
    return next(staff.iter(MEI + "note"), None) is not None
