"""A player's part before any cue is chosen: the document around the cue staves, and what these take over.

It needs no note of the piece, so it is made while the notes are still being read.
"""

from collections.abc import Iterator, Mapping, Sequence
from copy import deepcopy
from fractions import Fraction
from typing import NamedTuple

from lxml import etree

from score.parts.cue_staff import BarFrame, CueBar, cue_part
from score.parts.drawing_tree import ids_in, parsed
from score.parts.engraver import staves_taken
from score.parts.engraver_copy import named_notes
from score.parts.shared_marks import GlobalMark, marks_for_all, marks_of_others
from score.piece import Bar
from score.reading.reading_result import Outline

_BREAKS = ("new-system", "new-page")
_LINE_SIGNS = ("bar-style", "segno", "coda", "ending", "repeat")
"""What a cue staff's barline takes over, in the order in which the schema of MusicXML wants it."""
_PLACEHOLDER = "cue-staves"


class OwnPart(NamedTuple):
    """A player's part without its cues.

    Attributes:
        head, tail: the MusicXML document before and after the cue staves' parts, UTF-8.
        ids: ids of the cue staves' parts.
        frames: what the bars of the first cue staff take over, as an XML document of our own.
        staves: how many staves each of the player's own parts has.
    """

    head: bytes
    tail: bytes
    ids: tuple[str, ...]
    frames: bytes
    staves: tuple[int, ...]

    def for_the_engraver(self) -> "OwnPart":
        """The part with every note named, so that it can be found again in the engraver's drawing."""
        return self._replace(tail=named_notes(self.tail))

    def with_cues(self, bars: Sequence[Bar], rows: Sequence[Sequence[CueBar]]) -> bytes:
        """The whole document, UTF-8, with a cue staff for each row of cue bars, a cue bar for each bar of the piece."""
        frames = _unpacked(self.frames)
        bare = [BarFrame(frame.attributes) for frame in frames]
        parts = [
            cue_part(id_, bars, row, bare if number else frames)
            for number, (id_, row) in enumerate(zip(self.ids, rows, strict=True))
        ]
        return b"".join((self.head, *map(_bytes, parts), self.tail))


def own_parts(outline: Outline, numbers: Sequence[int], all_others: bool) -> dict[int, OwnPart]:
    """The parts of these players, by number; the score is parsed once for all of them.

    Args:
        outline: of the score.
        numbers: the players.
        all_others: a cue staff for every other player, not one for all.
    """
    root = parsed(outline.source.xml)
    used_ids = ids_in(root)
    ids = list(_free_ids(used_ids, max(1, len(outline.players) - 1) if all_others else 1))
    parts = root.findall("part")
    marks = [list(marks_for_all(part, outline)) for part in parts]
    for part in parts:
        root.remove(part)
    owned = dict(outline.players)
    return {player: _own_part(root, parts, marks, owned[player], ids, outline) for player in numbers}


def _own_part(
    shell: etree._Element,
    parts: Sequence[etree._Element],
    marks: Sequence[Sequence[GlobalMark]],
    mine: Sequence[int],
    ids: Sequence[str],
    outline: Outline,
) -> OwnPart:
    order = [*mine, *(index for index in range(len(parts)) if index not in mine)]
    shared = marks_of_others([marks[index] for index in order], len(mine), outline.tempo_changes)
    frames = _frames([parts[index] for index in order], shared, outline)
    own = [parts[index] for index in mine]
    head, tail = _around(shell, [part.get("id") for part in own], ids)
    staves = tuple(_staves(part) for part in own)
    return OwnPart(head, b"".join((*map(_bytes, own), tail)), tuple(ids), frames=_packed(frames), staves=staves)


def _around(shell: etree._Element, own: Sequence[str | None], ids: Sequence[str]) -> tuple[bytes, bytes]:
    """The document without any part, cut where the parts stand; only the player's own are listed in it."""
    tree = deepcopy(shell.getroottree())
    root = tree.getroot()
    listed = root.find("part-list")
    if listed is not None:
        for item in listed.findall("score-part"):
            if item.get("id") not in own:
                listed.remove(item)
        for group in listed.findall("part-group"):
            listed.remove(group)
        for position, id_ in enumerate(ids):
            listed.insert(position, _listed_cue(id_))
    place = _PLACEHOLDER
    while place.encode() in (text := etree.tostring(tree, encoding="UTF-8", xml_declaration=True)):
        place += "-"
    etree.SubElement(root, place)
    text = etree.tostring(tree, encoding="UTF-8", xml_declaration=True)
    head, _, tail = text.partition(f"<{place}/>".encode())
    return head, tail


def _listed_cue(id_: str) -> etree._Element:
    item = etree.Element("score-part", id=id_)
    name = etree.SubElement(item, "part-name")
    name.set("print-object", "no")
    name.text = "Cue"
    return item


def _bytes(element: etree._Element) -> bytes:
    return etree.tostring(element, encoding="UTF-8")


def _free_ids(used_ids: set[str], count: int) -> Iterator[str]:
    for row in range(1, count + 1):
        name = f"cue-{row}"
        while name in used_ids:
            name = f"{name}-"
        used_ids.add(name)
        yield name


def _staves(part: etree._Element) -> int:
    counts = (staves_taken(element.text) for element in part.iterfind("measure/attributes/staves"))
    return max([1, *(count for count in counts if count is not None)])


def _frames(
    ordered: Sequence[etree._Element], marks: Mapping[int, list[tuple[Fraction, etree._Element]]], outline: Outline
) -> list[BarFrame]:
    """What the first cue staff takes over: the player's own barlines and breaks, everybody's marks.

    Args:
        ordered: all parts, the player's own first.
        marks: of other players, by bar.
        outline: of the score.
    """
    measures = [list(part.iterchildren("measure")) for part in ordered]
    frames = []
    for bar in outline.bars:
        same_bar = [row[bar.index] for row in measures if bar.index < len(row)]
        barlines = _barlines(same_bar)
        breaks = tuple(
            line_break for element in same_bar[0].iterchildren("print") if (line_break := _break(element)) is not None
        )
        left = tuple(line for line in barlines if line.get("location") == "left")
        right = tuple(line for line in barlines if line.get("location") != "left")
        attributes = {name: value for name in ("number", "implicit") if (value := same_bar[0].get(name)) is not None}
        frames.append(BarFrame(attributes, (*breaks, *left), tuple(marks.get(bar.index, ())), after=right))
    return frames


def _barlines(measures: Sequence[etree._Element]) -> list[etree._Element]:
    """One barline a place, with all that the parts say there: a repeat and an ending may stand in two of them.

    What several of them say is taken from the first, the player's own part before others.
    """
    lines: dict[str, etree._Element] = {}
    for measure in measures:
        for line in measure.iterchildren("barline"):
            where = line.get("location", "right")
            if where in ("left", "right"):
                _add_to_line(lines.setdefault(where, etree.Element("barline", location=where)), line)
    return [lines[where] for where in ("left", "right") if where in lines]


def _add_to_line(line: etree._Element, more: etree._Element) -> None:
    for sign in more:
        if sign.tag in _LINE_SIGNS and line.find(str(sign.tag)) is None:
            line.append(deepcopy(sign))
    line[:] = sorted(line, key=lambda sign: _LINE_SIGNS.index(str(sign.tag)))


def _break(element: etree._Element) -> etree._Element | None:
    breaks = {name: value for name in _BREAKS if (value := element.get(name)) is not None}
    return etree.Element("print", breaks) if breaks else None


def _packed(frames: Sequence[BarFrame]) -> bytes:
    """Frames as bytes that can go to another process."""
    root = etree.Element("frames")
    for frame in frames:
        item = etree.SubElement(root, "frame", dict(frame.attributes))
        etree.SubElement(item, "before").extend(frame.before)
        for at, direction in frame.directions:
            etree.SubElement(item, "mark", at=str(at)).append(direction)
        etree.SubElement(item, "after").extend(frame.after)
    return _bytes(root)


def _unpacked(frames: bytes) -> list[BarFrame]:
    return [
        BarFrame(
            {str(name): str(value) for name, value in item.attrib.items()},
            tuple(item[0]),
            tuple((Fraction(mark.get("at") or 0), mark[0]) for mark in item.findall("mark")),
            after=tuple(item[-1]),
        )
        for item in etree.fromstring(frames)
    ]
