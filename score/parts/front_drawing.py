"""What is drawn on a part's first page: where each instrument is written, and a sketch of the set-up."""

from collections.abc import Iterable, Iterator, Sequence
from html import escape

from lxml import etree

from score.parts.asked_signs import shape_heads
from score.parts.drawn_boxes import DrawnBox
from score.parts.drawn_staves import SVG
from score.parts.engraver import EngravedSystem, one_line
from score.parts.printed_bar import MEI, XML_ID
from score.parts.unpitched_places import bottom_line
from score.piece import Player
from score.printing.fonts import TEXT
from score.printing.text_width import text_width
from score.setup.player_notes import SketchBox

_STAFF_MM = 5.5
_POINTS = 8.0
_NAME_AIR = 4.0
_CLEF_MM = 9.0
SKETCH_WIDTH, SKETCH_HEIGHT = 56.0, 23.0
"""Room for the sketch, mm."""
MM_A_POINT = 25.4 / 72
_LETTER, _YOU, _ABOVE, _MARGIN, _THIN = 2.5, 3.6, 5.0, 5.0, 0.18
_WIDEST_NAME = 12.0
"""Width of a name beside its box where it has several words, mm."""
_INSET, _NAME_GAP = 0.7, 0.3
"""From a name to the box around it, to another name or to an instrument, mm."""
_STEPS = "CDEFGAB"
Place = tuple[str, str, str]
"""Written place ("C5"), MusicXML notehead, name of the instrument."""


def written_places(player: Player) -> dict[tuple[int, int], list[Place]]:
    """By (part, staff): what stands where on staves that hold several things to strike, from low to high."""
    staves: dict[tuple[int, int], dict[Place, None]] = {}
    for stroke in player.strokes:
        name = player.instruments[stroke.instrument].name
        for index, place in enumerate(stroke.places):
            head = stroke.noteheads[index] if index < len(stroke.noteheads) else "normal"
            staves.setdefault((stroke.part, stroke.staff), {})[(place, head, name)] = None
    return {staff: sorted(places, key=_height) for staff, places in staves.items() if len(places) > 1}


def _height(place: Place) -> tuple[int, str]:
    step, octave = place[0][0], place[0][-1]
    return 7 * (int(octave) if octave.isdecimal() else 4) + _STEPS.find(step), place[1]


def key_of_places(places: Sequence[Place], lines: int, clef: str, width_mm: float) -> list[EngravedSystem]:
    """A small staff with a note for each place and the name of what it is under it; as many rows as that takes.

    Args:
        places: from low to high.
        lines: of the staff, 0 for five.
        clef: its letter and line ("F4"): the notes stand where they stand in the part; "" for that of percussion.
        width_mm: of a row.
    """
    systems = []
    for row in _rows(places, width_mm):
        notes = "".join(_note(n, place, bottom_line(clef[:1], clef[1:])) for n, place in enumerate(row))
        sign = f'<clef shape="{clef[0]}" line="{clef[1]}"/>' if clef[1:].isdigit() else '<clef shape="perc"/>'
        root = etree.fromstring(_KEY.format(lines=lines or 5, clef=sign, notes=notes))
        shape_heads(root, {f"key-{n}": place[1] for n, place in enumerate(row)})
        for note in root.iter(MEI + "note"):
            if note.get("head.shape") is None and (shape := _HEADS.get(row[int((note.get(XML_ID) or "-0")[4:])][1])):
                note.set("head.shape", shape)
        systems += one_line(etree.tostring(root, encoding="unicode"), _STAFF_MM)
    return systems


_HEADS = {"x": "x", "cross": "+", "diamond": "diamond", "slash": "slash", "circle-x": "U+E0B3"}
_KEY = (
    f'<mei xmlns="{MEI.strip("{}")}"><music><body><mdiv><score><scoreDef><staffGrp><staffDef n="1" lines="{{lines}}">'
    '{clef}</staffDef></staffGrp></scoreDef><section><measure right="invis" metcon="false"><staff n="1">'
    '<layer n="1">{notes}</layer></staff></measure></section></score></mdiv></body></music></mei>'
)


def _note(number: int, place: Place, bottom: int) -> str:
    loc = _height(place)[0] - bottom
    head = f'<note xml:id="key-{number}" dur="4" loc="{loc}" stem.visible="false">'
    return f'{head}<verse n="1"><syl>\u00a0{escape(place[2], quote=False)}\u00a0</syl></verse></note>'


def _rows(places: Sequence[Place], width_mm: float) -> Iterator[list[Place]]:
    row: list[Place] = []
    taken = _CLEF_MM
    for place in places:
        wide = text_width(place[2], _POINTS * 1.1) + _NAME_AIR
        if row and taken + wide > width_mm:
            yield row
            row, taken = [], _CLEF_MM
        row.append(place)
        taken += wide
    if row:
        yield row


def sketch_svg(boxes: Sequence[SketchBox]) -> str:
    """The set-up as its player sees it, standing at the bottom: an SVG of SKETCH_WIDTH by SKETCH_HEIGHT mm."""
    points = [(0.0, 0.0), *(corner for box in boxes for corner in box.corners)]
    left, right = min(x for x, _ in points), max(x for x, _ in points)
    near, far = min(y for _, y in points), max(y for _, y in points)
    room = SKETCH_HEIGHT - _YOU - _ABOVE
    metre = min((SKETCH_WIDTH - 2 * _MARGIN) / max(right - left, 0.1), room / max(far - near, 0.1))
    middle = SKETCH_WIDTH / 2 - metre * (left + right) / 2

    def at(x: float, y: float) -> tuple[float, float]:
        return middle + metre * x, SKETCH_HEIGHT - _YOU - metre * (y - near)

    placed = sorted(((box.name, [at(x, y) for x, y in box.corners]) for box in boxes), key=lambda item: min(item[1]))
    drawn = [_outline(corners) for _, corners in placed]
    x, y = at(0.0, 0.0)
    drawn += _names(placed, DrawnBox(x - 3.0, y - 1.0, x + 3.0, bottom=y + 4.0))
    drawn.append(f'<circle cx="{x:.2f}" cy="{y:.2f}" r="0.9" fill="black"/>')
    drawn.append(_text(["you"], x, y + 3.0))
    return (
        f'<svg xmlns="{SVG.strip("{}")}" viewBox="0 0 {SKETCH_WIDTH} {SKETCH_HEIGHT}" font-family="{TEXT}">'
        f"{''.join(drawn)}</svg>"
    )


def _outline(corners: Sequence[tuple[float, float]]) -> str:
    line = " ".join(f"{x:.2f},{y:.2f}" for x, y in corners)
    return f'<polygon points="{line}" fill="none" stroke="black" stroke-width="{_THIN}"/>'


def _names(placed: Sequence[tuple[str, list[tuple[float, float]]]], you: DrawnBox) -> list[str]:
    """Every name in its box, or where that is too narrow beside it, where it lies upon no other name or box.

    Args:
        placed: names and corners, from left to right.
        you: where the player stands.
    """
    outlines = [_around(corners) for _, corners in placed]
    taken = [you]
    drawn = []
    for position, (name, _) in enumerate(placed):
        box = outlines[position]
        words = _lines(name, box.right - box.left - 2 * _INSET)
        if not _fits(_width(words), len(words), box):
            words = _lines(name, max(box.right - box.left, _WIDEST_NAME))
        others = outlines[:position] + outlines[position + 1 :]
        wide = _width(words)
        places = _places(box, wide, len(words), is_first=position == 0, is_last=position == len(placed) - 1)
        free = (each for each in places if _is_free(each[1], (*taken, *others)))
        (x, y, anchor), lettering = next(free, places[0])
        taken.append(lettering)
        drawn.append(_text(words, x, y, anchor=anchor))
    return drawn


def _width(words: Iterable[str]) -> float:
    return max(text_width(word, _LETTER / MM_A_POINT) for word in words)


def _fits(wide: float, lines: int, box: DrawnBox) -> bool:
    """Whether so many lines of words stand in a box with air around them."""
    room = box.right - box.left - 2 * _INSET, box.bottom - box.top - 2 * _INSET
    return wide <= room[0] and lines * _LETTER <= room[1]


def _lines(name: str, room: float) -> list[str]:
    """A name in as few lines as fit a width, mm."""
    lines: list[str] = []
    for word in name.split() or [""]:
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, _LETTER / MM_A_POINT) < room:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def _around(corners: Sequence[tuple[float, float]]) -> DrawnBox:
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return DrawnBox(min(xs), min(ys), max(xs), bottom=max(ys))


_Lettering = tuple[tuple[float, float, str], DrawnBox]
"""Where a name begins, (x, y, anchor), and what it covers."""


def _places(box: DrawnBox, wide: float, lines: int, is_first: bool, is_last: bool) -> list[_Lettering]:
    """Where a name may stand, the best place first: in the box; outwards at both ends; below, above, further away."""
    middle, high = (box.left + box.right) / 2, lines * _LETTER
    inside = (box.top + box.bottom) / 2 - _LETTER * (lines - 1) / 2 + 0.35 * _LETTER
    if _fits(wide, lines, box):
        return [_lettering(middle, inside, "middle", wide, lines)]
    below, above = box.bottom + _LETTER, box.top - 1.1 - high + _LETTER
    outwards = [("end", box.right)] * is_first + [("start", box.left)] * is_last
    anchors = [*outwards, ("middle", middle), ("start", box.left), ("end", box.right)]
    rows = [below, above, below + _LETTER, above - _LETTER, below + high, above - high]
    beside = [("end", box.left - 0.6), ("start", box.right + 0.6)]
    return [
        *(_lettering(x, y, anchor, wide, lines) for y in rows for anchor, x in anchors),
        *(_lettering(x, inside, anchor, wide, lines) for anchor, x in beside),
    ]


def _lettering(x: float, y: float, anchor: str, wide: float, lines: int) -> _Lettering:
    left = x - {"middle": wide / 2, "end": wide}.get(anchor, 0.0)
    covered = DrawnBox(left, y - 0.75 * _LETTER, left + wide, bottom=y + (lines - 1) * _LETTER + 0.2 * _LETTER)
    return (x, y, anchor), covered


def _is_free(lettering: DrawnBox, taken: Iterable[DrawnBox]) -> bool:
    is_inside = lettering.left >= 0 and lettering.right <= SKETCH_WIDTH and lettering.top >= 0
    return is_inside and not any(lettering.near(other, _NAME_GAP) for other in taken)


def _text(words: Sequence[str], x: float, y: float, anchor: str = "middle") -> str:
    style = f'text-anchor="{anchor}" font-size="{_LETTER}"'
    lines = (
        f'<text x="{x:.2f}" y="{y + n * _LETTER:.2f}" {style}>{escape(word, quote=False)}</text>'
        for n, word in enumerate(words)
    )
    return "".join(lines)
