"""Names beside the staves: instruments where a player reads several parts, players where each has a cue line."""

from collections.abc import Sequence

from lxml import etree

from score.parts.drawing_tree import drop
from score.parts.printed_bar import MEI
from score.piece import Piece

_LETTERS = 3
CUE_TEXT = "154%"
"""Size of words at a cue staff, of what they would be there: as large as at the player's own staff."""


def name_staves(root: etree._Element, names: Sequence[str], parts: Sequence[range], cues: Sequence[str]) -> None:
    """Put names beside the staves of a document, in full at the first system and short at the others.

    Args:
        root: the document.
        names: of the player's parts.
        parts: the numbers of their staves.
        cues: who is shown on each cue staff, from staff 1; nothing stands beside an empty name.
    """
    staves = {int(staff.get("n", "0")): staff for staff in root.iter(MEI + "staffDef")}
    for number in range(1, parts[0][0]):
        for clef in staves[number].iter(MEI + "clef"):
            clef.set("visible", "false")
    for tag in ("label", "labelAbbr"):
        for label in list(root.iter(MEI + tag)):
            drop(label)
    for number, name in enumerate(cues, 1):
        if name:
            _label(staves[number], name, name, CUE_TEXT)
    if len(parts) > 1:
        for name, part in zip(names, parts, strict=True):
            holder = staves[part[0]] if len(part) == 1 else staves[part[0]].getparent()
            assert holder is not None
            _label(holder, name, shortened(name), "100%")


def part_names(piece: Piece, number: int) -> list[str]:
    """What each of the player's parts is called without the player's own name ("Player 1 – marimba")."""
    player = piece.player(number)
    return [name.removeprefix(player.name).strip(" \u2013\u2014-:,") or name for name in player.part_names]


def shortened(name: str) -> str:
    """A name short enough for the margin of every system: "suspended cymbal" is "sus. cym."."""
    return " ".join(word if len(word) <= _LETTERS + 1 else f"{word[:_LETTERS]}." for word in name.split())


def _label(holder: etree._Element, name: str, short: str, size: str) -> None:
    for position, (tag, text) in enumerate((("label", name), ("labelAbbr", short))):
        label = etree.Element(MEI + tag)
        etree.SubElement(label, MEI + "rend", fontsize=size).text = text
        holder.insert(position, label)
