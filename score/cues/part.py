"""A player's part with the cue staff above it, made by editing the score's own document.

The player's own `<part>` elements are never touched: they come out element for element as they went in.
Everything that is added stands in parts of its own before them, because readers take barlines, repeats,
endings and breaks from the first part.
"""

from collections.abc import Iterator, Sequence
from copy import deepcopy
from dataclasses import replace
from fractions import Fraction

from lxml import etree

from score.cues.rhythm import Sign, sounds, spelled, strokes_in
from score.cues.sheet import Cue, CueSheet, Level
from score.cues.staff import CueBar, Frame, cue_part
from score.piece import Piece
from score.reading.cursor import walk_part
from score.reading.result import Source

_MARKS = ("metronome", "rehearsal", "segno", "coda")
_SOUNDS = ("tempo", "dacapo", "dalsegno", "tocoda", "fine", "segno", "coda", "forward-repeat")
_BREAKS = ("new-system", "new-page")


def part_xml(source: Source, piece: Piece, sheet: CueSheet) -> bytes:
    """The player's part as a MusicXML document, UTF-8, with a cue staff (at FULL one a source) above it.

    Args:
        source: the score's own document; it is not changed.
        piece: what was read from it.
        sheet: the player's cues.
    """
    root = _parsed(source.xml)
    parts = root.findall("part")
    own = [parts[index] for index in piece.player(sheet.player).parts]
    frames = _frames(parts, own, piece)
    rows = cue_rows(piece, sheet)
    taken = {element.get("id", "") for element in root.iter("*")}
    ids = [_free_id(taken, number) for number in range(1, len(rows) + 1)]
    made = [cue_part(ids[0], piece.bars, rows[0], frames)]
    bare = [Frame(frame.attributes) for frame in frames]
    made += [cue_part(id_, piece.bars, row, bare) for id_, row in zip(ids[1:], rows[1:], strict=True)]
    _keep_only(root, {part.get("id") for part in own})
    for part in made:
        own[0].addprevious(part)
    _list_cues(root, ids)
    return etree.tostring(root.getroottree(), encoding="UTF-8", xml_declaration=True)


def cue_rows(piece: Piece, sheet: CueSheet) -> list[list[CueBar]]:
    """What each cue staff holds, bar by bar: one staff, or at FULL one for each other player."""
    if sheet.level is Level.FULL:
        sources = [player.number for player in piece.players if player.number != sheet.player]
        cues = [[cue for cue in sheet.cues if cue.source == number] for number in sources]
    else:
        cues = [list(sheet.cues)]
    return [_row(piece, sheet, line) for line in cues] or [[CueBar()] * len(piece.bars)]


def _row(piece: Piece, sheet: CueSheet, cues: Sequence[Cue]) -> list[CueBar]:
    row = [CueBar() for _ in piece.bars]
    strokes = {cue.source: strokes_in(piece.player(cue.source), len(piece.bars)) for cue in cues}
    for cue in cues:
        labelled = False
        for index in cue.bars:
            bar = piece.bars[index]
            signs = _untied(spelled(sounds(strokes[cue.source][index], bar), bar) or (), cue, index)
            if not signs:
                continue
            label = "" if labelled else piece.player(cue.source).short
            labelled = True
            row[index] = CueBar(tuple(signs), label, _mover(piece, sheet, cue) if index == cue.last else "")
    return row


def _untied(signs: Sequence[Sign], cue: Cue, index: int) -> list[Sign]:
    """A cue's last note is not tied to a bar that is not shown.

    Its first one may be tied in: an open tie says that the note was struck before.
    """
    free = list(signs)
    if free and index == cue.last:
        free[-1] = replace(free[-1], tie_out=False)
    return free


def _mover(piece: Piece, sheet: CueSheet, cue: Cue) -> str:
    if cue.next_mover is None or sheet.level is Level.FULL:
        return ""
    return "you" if cue.next_mover == sheet.player else piece.player(cue.next_mover).short


def _parsed(xml: bytes) -> etree._Element:
    parser = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False)
    return etree.fromstring(xml, parser)


def _free_id(taken: set[str], number: int) -> str:
    name = f"cue-{number}"
    while name in taken:
        name = f"{name}-"
    taken.add(name)
    return name


def _keep_only(root: etree._Element, ids: set[str | None]) -> None:
    """Leave the other players' parts out, and the brackets that joined them."""
    for part in root.findall("part"):
        if part.get("id") not in ids:
            root.remove(part)
    listed = root.find("part-list")
    if listed is None:
        return
    for item in listed.findall("score-part"):
        if item.get("id") not in ids:
            listed.remove(item)
    for group in listed.findall("part-group"):
        listed.remove(group)


def _list_cues(root: etree._Element, ids: Sequence[str]) -> None:
    listed = root.find("part-list")
    if listed is None:
        return
    for position, id_ in enumerate(ids):
        item = etree.Element("score-part", id=id_)
        name = etree.SubElement(item, "part-name")
        name.set("print-object", "no")
        name.text = "Cue"
        listed.insert(position, item)


def _frames(parts: Sequence[etree._Element], own: Sequence[etree._Element], piece: Piece) -> list[Frame]:
    """What the first cue staff takes over: the player's own barlines and breaks, everybody's marks."""
    ordered = [*own, *(part for part in parts if part not in own)]
    measures = [part.findall("measure") for part in ordered]
    marks = _shared_marks(ordered, len(own), piece)
    frames = []
    for bar in piece.bars:
        here = [row[bar.index] for row in measures if bar.index < len(row)]
        barlines = _barlines(here)
        breaks = tuple(made for element in here[0].findall("print") if (made := _break(element)) is not None)
        left = tuple(line for line in barlines if line.get("location") == "left")
        right = tuple(line for line in barlines if line.get("location") != "left")
        attributes = {name: value for name in ("number", "implicit") if (value := here[0].get(name)) is not None}
        frames.append(Frame(attributes, (*breaks, *left), tuple(marks.get(bar.index, ())), right))
    return frames


def _barlines(here: Sequence[etree._Element]) -> list[etree._Element]:
    """One barline a place: of the player's own part, else of the first part that has one there."""
    found: dict[str, etree._Element] = {}
    for measure in here:
        for line in measure.findall("barline"):
            where = line.get("location", "right")
            if where != "middle" and where not in found:
                found[where] = deepcopy(line)
    for line in found.values():
        for child in line.findall("fermata") + line.findall("wavy-line"):
            line.remove(child)
    return [found[where] for where in ("left", "right") if where in found]


def _break(element: etree._Element) -> etree._Element | None:
    kept = {name: value for name in _BREAKS if (value := element.get(name)) is not None}
    return etree.Element("print", kept) if kept else None


def _shared_marks(
    ordered: Sequence[etree._Element], own: int, piece: Piece
) -> dict[int, list[tuple[Fraction, etree._Element]]]:
    """Tempi, rehearsal marks and jumps that stand only in other players' parts, once each, by bar."""
    seen: set[tuple[int, str]] = set()
    found: dict[int, list[tuple[Fraction, etree._Element]]] = {}
    for index, part in enumerate(ordered):
        for bar, at, direction in _global_directions(part, piece):
            key = bar, _content(direction)
            if key in seen:
                continue
            seen.add(key)
            if index >= own:
                copy = _without_staff(deepcopy(direction))
                found.setdefault(bar, []).append((at, copy))
    return found


def _global_directions(part: etree._Element, piece: Piece) -> Iterator[tuple[int, Fraction, etree._Element]]:
    gradual = {change.start.bar: change.text for change in piece.tempo_changes}
    tempi = {(tempo.bar, tempo.text) for tempo in piece.tempi if tempo.text}
    for bar, placed in enumerate(walk_part(part)):
        for item in placed:
            element = item.element
            if element.tag == "direction" and _is_global(element, bar, gradual, tempi):
                yield bar, min(item.shown_at, piece.bars[bar].length), element


def _is_global(direction: etree._Element, bar: int, gradual: dict[int, str], tempi: set[tuple[int, str]]) -> bool:
    if any(direction.find(f"direction-type/{tag}") is not None for tag in _MARKS):
        return True
    if any(sound.get(name) for sound in direction.findall("sound") for name in _SOUNDS):
        return True
    words = " ".join(" ".join((w.text or "").split()) for w in direction.findall("direction-type/words"))
    return bool(words) and (gradual.get(bar) == words or (bar, words) in tempi)


def _content(direction: etree._Element) -> str:
    texts = (" ".join((element.text or "").split()) for element in direction.iterfind("direction-type//*"))
    tags = (str(element.tag) for element in direction.iterfind("direction-type/*"))
    return "|".join((*tags, *texts))


def _without_staff(direction: etree._Element) -> etree._Element:
    for tag in ("voice", "staff"):
        for child in direction.findall(tag):
            direction.remove(child)
    for kind in direction.findall("direction-type"):
        if kind.find("dashes") is not None and len(direction.findall("direction-type")) > 1:
            direction.remove(kind)
    direction.tail = None
    return direction
