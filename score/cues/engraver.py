"""The one place that calls the engraver: MusicXML to MEI, MEI to systems of music."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from lxml import etree

from score.cues.fonts import engraver_data

SVG = "{http://www.w3.org/2000/svg}"
_RECT, _GROUP = SVG + "rect", SVG + "g"
UNITS_PER_MM = 100
"""The engraver's drawing units: a hundredth of a millimetre at its scale of 100."""

# Measured on pages of real parts: the cue staff close to the player's own, systems clearly apart.
_OPTIONS: Mapping[str, object] = {
    "condense": "encoded",
    "condenseFirstPage": True,
    "footer": "none",
    "header": "none",
    "systemDivider": "none",
    "spacingStaff": 4,
    "spacingBraceGroup": 9,
    "spacingSystem": 12,
    "pageMarginLeft": 0,
    "pageMarginRight": 0,
    "pageMarginTop": 0,
    "pageMarginBottom": 0,
    "adjustPageHeight": True,
    "svgBoundingBoxes": True,
    "svgFormatRaw": True,
    "xmlIdChecksum": True,
    "minLastJustification": 0.6,
    "multiRestStyle": "block",
}
_SPANNERS = {"tie", "slur", "lv", "phrase", "hairpin", "octave", "trill", "gliss", "bracketSpan", "pedal"}
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
_LONGEST_PAGE, _WIDEST_PAGE = 60000, 100000


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle in the engraver's units, y downwards."""

    left: float
    top: float
    right: float
    bottom: float


@dataclass(frozen=True)
class System:
    """One engraved system.

    Attributes:
        group: its SVG group, coordinates in the engraver's units.
        symbols: the SVG `<defs>` its glyphs come from.
        measures: the SVG groups of its measures, in order.
    """

    group: etree._Element
    symbols: etree._Element
    measures: tuple[etree._Element, ...]

    @cached_property
    def box(self) -> Box:
        """The box of the whole system."""
        return _box(self.group)

    @cached_property
    def boxes(self) -> tuple[Box, ...]:
        """The box of each measure, everything in it included."""
        return tuple(_box(measure) for measure in self.measures)

    @property
    def height_mm(self) -> float:
        """Height of its box, mm."""
        return (self.box.bottom - self.box.top) / UNITS_PER_MM

    @property
    def head(self) -> float:
        """Width of clef, key and meter before its first note, in the engraver's units."""
        first = self.measures[0]
        edges = [
            _box(sign).right
            for name in ("clef", "keySig", "meterSig")
            for sign in first.iter(SVG + "g")
            if sign.get("class") == name and sign.get("visibility") != "hidden"
        ]
        return max(edges, default=self.boxes[0].left) - self.boxes[0].left

    @property
    def widths(self) -> tuple[float, ...]:
        """Width of each measure's staff, in the engraver's units."""
        return tuple(_staff_width(measure) for measure in self.measures)

    def staff_line(self, number: int) -> float:
        """Y of the top line of a staff, counted from 1 as the document numbers them."""
        staves = [staff for staff in self.measures[0].iter(SVG + "g") if staff.get("class") == "staff"]
        path = staves[number - 1].find(SVG + "path")
        assert path is not None
        return float((path.get("d") or "").split()[1])


def to_mei(musicxml: bytes) -> str:
    """What the engraver imports from a part's MusicXML, as MEI; "" when it can make nothing of it."""
    toolkit = _toolkit({})
    return str(toolkit.getMEI()) if toolkit.loadData(_without_joined_rests(musicxml)) else ""


def _without_joined_rests(musicxml: bytes) -> str:
    """The engraver loses staves over the score's own multi-bar rests; we join rests ourselves."""
    if b"multiple-rest" not in musicxml:
        return musicxml.decode()
    root = etree.fromstring(musicxml, etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False))
    for style in list(root.iter("measure-style")):
        if style.find("multiple-rest") is not None:
            _drop(style)
    return etree.tostring(root, encoding="unicode")


def one_line(mei: str, staff_mm: float) -> list[System]:
    """Everything in one endless system, every bar as wide as it would like to be."""
    return _systems(mei, {"breaks": "none", "adjustPageWidth": True, "pageWidth": _WIDEST_PAGE}, staff_mm)


def in_systems(mei: str, width_mm: float, staff_mm: float) -> list[System]:
    """The systems that the document's own breaks ask for, each as wide as asked."""
    return _systems(mei, {"breaks": "encoded", "pageWidth": round(width_mm * 10)}, staff_mm)


def _systems(mei: str, options: Mapping[str, object], staff_mm: float) -> list[System]:
    unit = {"unit": staff_mm * 10 / 8, "pageHeight": _LONGEST_PAGE}
    toolkit = _toolkit({**_OPTIONS, **unit, **options})
    if not toolkit.loadData(mei):
        return []
    return [system for page in range(toolkit.getPageCount()) for system in _read_page(toolkit.renderToSVG(page + 1))]


def _toolkit(options: Mapping[str, object]) -> "verovio.toolkit":  # type: ignore[name-defined]  # noqa: F821
    import verovio

    verovio.enableLog(verovio.LOG_OFF)
    toolkit = verovio.toolkit(False)
    toolkit.setResourcePath(engraver_data())
    toolkit.setOptions(dict(options))
    return toolkit


def _read_page(svg: str) -> list[System]:
    root = etree.fromstring(svg.encode(), etree.XMLParser(huge_tree=True))
    _keep_one_bracket(root)
    symbols = root.find(SVG + "defs")
    assert symbols is not None
    return [_read_system(group, symbols) for group in root.iter(SVG + "g") if group.get("class") == "system"]


def _keep_one_bracket(root: etree._Element) -> None:
    """An ending gets a bracket over each group of staves: only the highest stays."""
    for ending in root.iter(SVG + "g"):
        if "ending" in (ending.get("class") or "").split():
            brackets = [g for g in ending.iter(SVG + "g") if g.get("class") == "voltaBracket"]
            for extra in sorted(brackets, key=lambda bracket: _box(bracket).top)[1:]:
                _drop(extra)


def _read_system(group: etree._Element, symbols: etree._Element) -> System:
    measures = tuple(child for child in group.iter(SVG + "g") if child.get("class") == "measure")
    return System(group, symbols, measures)


def _staff_width(measure: etree._Element) -> float:
    for staff in measure.iter(SVG + "g"):
        path = staff.find(SVG + "path") if staff.get("class") == "staff" else None
        if path is not None:
            numbers = [float(number) for number in _NUMBER.findall(path.get("d") or "")]
            return numbers[2] - numbers[0]
    return 0.0


def _box(group: etree._Element) -> Box:
    """The box around what the engraver boxes, without what is not printed.

    The box of a tie or hairpin that goes on from the system before is drawn in a wrong place: its lines count.
    """
    xs: list[float] = []
    ys: list[float] = []
    for element in group.iter(_RECT, _GROUP):
        if element.tag == _RECT:
            if element.get("fill") == "transparent" and _kind(element.getparent()) not in _SPANNERS:
                x, y = float(element.get("x", "0")), float(element.get("y", "0"))
                width, height = float(element.get("width", "0")), float(element.get("height", "0"))
                if width and height:
                    xs += (x, x + width)
                    ys += (y, y + height)
        elif _kind(element) in _SPANNERS:
            for shape in element:
                numbers = [float(number) for number in _NUMBER.findall(shape.get("d") or shape.get("points") or "")]
                if len(numbers) > 3:
                    xs += numbers[::2]
                    ys += numbers[1::2]
    return Box(min(xs), min(ys), max(xs), max(ys)) if xs else Box(0, 0, 0, 0)


def _kind(element: etree._Element | None) -> str:
    return "" if element is None else (element.get("class") or "").partition(" ")[0]


def _drop(element: etree._Element) -> None:
    parent = element.getparent()
    if parent is not None:
        parent.remove(element)
