"""The one place that calls the engraver: MusicXML to MEI, MEI to systems of music."""

import re
import threading
from collections.abc import Collection, Mapping, Sequence
from typing import NamedTuple

from lxml import etree

from score.parts.clear_barlines import clear_barlines
from score.parts.cue_room import clear_cue_line
from score.parts.drawing_tree import drawing_paths, drop, elements, markup, parsed, parsed_engraving
from score.parts.drawn_extents import extents
from score.parts.drawn_staves import SVG, UNITS_PER_MM, line_heights, staff_edges
from score.parts.dynamic_room import clear_dynamics
from score.parts.engraver_copy import NUMBERED, has_unknown_signs, say_unknown_signs
from score.parts.nested_tuplets import OuterTuplet, put_around, take_outer_tuplets
from score.parts.open_ties import lengthen_open_ties
from score.parts.own_drawing import draw_own_signs, own_signs_asked
from score.parts.short_hairpins import lengthen_hairpins
from score.parts.sticking_room import ORNAMENTS, STICKING, clear_stickings, clear_trills
from score.parts.word_room import FIGURE, clear_words
from score.printing.fonts import engraver_data
from score.printing.memory import LARGE, give_back

LAYOUT: Mapping[str, object] = {
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
    "svgFormatRaw": True,
    "xmlIdChecksum": True,
    "minLastJustification": 0.6,
    "multiRestStyle": "block",
}
"""Measured on pages of real parts: the cue staff close to the player's own, systems clearly apart."""
_APART = {"spacingStaff": 7, "spacingBraceGroup": 8}
_STAVES = r"\s*(?:[1-9]|1[0-6])\s*"
"""A number of staves of one part that the engraver can take."""
_NO_STAVES = re.compile(rf"<staves[^>]*(?:/>|>(?!{_STAVES}</)[^<]*</staves>)".encode())
# A page holds its systems, a system its measures, marks and endings side by side.
_SYSTEMS, _MEASURES, _STAFF, _ENDINGS, _BRACKETS, _HIDDEN = drawing_paths(
    's:svg/s:g/s:g[@class="system"]',
    's:g[@class="measure"]',
    's:g[@class="staff"]',
    's:g[contains(concat(" ", @class, " "), " ending ")]',
    's:g[@class="voltaBracket"]',
    '//*[@visibility="hidden"]',
)
QUOTE = "\uf8ff"
"""Stands for a quotation mark in a word until it is written; no score has it (private use)."""
_NUMBER_SIZE = 2.25
"""Size of an ending's number, in spaces of the staff."""
_LONGEST_PAGE, _WIDEST_PAGE = 60000, 100000


class EngravedSystem(NamedTuple):
    """One engraved system, coordinates in the engraver's units, y downwards.

    Attributes:
        svg: its SVG group as text, without what is not printed.
        symbols: the SVG symbols of its page as text, by their ids.
        measures: the SVG groups of its measures, in order.
        top, bottom: how far it reaches.
    """

    svg: str
    symbols: Mapping[str, str]
    measures: tuple[etree._Element, ...]
    top: float
    bottom: float

    @property
    def height_mm(self) -> float:
        """Height, mm."""
        return (self.bottom - self.top) / UNITS_PER_MM

    @property
    def widths(self) -> tuple[float, ...]:
        """Width of each measure's staff, in the engraver's units."""
        return tuple(end - start for start, end in map(staff_edges, self.measures))

    @property
    def right(self) -> float:
        """Where its staves end, in the engraver's units."""
        return staff_edges(self.measures[-1])[1]


def to_mei(musicxml: bytes, tree: etree._Element | None = None) -> str:
    """What the engraver imports from a part's MusicXML, as MEI; "" when it can make nothing of it.

    Args:
        musicxml: the document.
        tree: the same where it has been parsed; it may be changed.
    """
    # Without breaks: laid out in systems, it would take twice as long and come out the same.
    toolkit = kept_toolkit({"breaks": "none"})
    copy, tuplets = _importable(musicxml, tree)
    mei = str(toolkit.getMEI()).replace(NUMBERED, "") if toolkit.loadData(copy) else ""
    del toolkit
    if mei and tuplets:
        mei = put_around(mei, tuplets)
    _forget(mei)
    return mei


def staves_taken(declared: str | None) -> int | None:
    """How many staves the engraver makes of a part's `<staves>`; None where it is left out for it."""
    return int(declared) if declared and re.fullmatch(_STAVES, declared) else None


def _importable(musicxml: bytes, tree: etree._Element | None) -> tuple[str, tuple[OuterTuplet, ...]]:
    """The document without what the engraver cannot take, and the tuplets to put around others afterwards.

    It loses staves over the score's own multi-bar rests, and we join rests ourselves; over a number of staves that is
    none, or absurd, its process ends.
    """
    if b"multiple-rest" not in musicxml and not _NO_STAVES.search(musicxml) and not has_unknown_signs(musicxml):
        return musicxml.decode(), ()
    root = parsed(musicxml) if tree is None else tree
    for style in list(root.iter("measure-style")):
        if style.find("multiple-rest") is not None:
            drop(style)
    for staves in list(root.iter("staves")):
        if _NO_STAVES.fullmatch(etree.tostring(staves, with_tail=False)):
            drop(staves)
    say_unknown_signs(root)
    tuplets = take_outer_tuplets(root)
    return etree.tostring(root, encoding="unicode"), tuplets


def one_line(mei: str, staff_mm: float) -> list[EngravedSystem]:
    """Everything in one endless system, every bar as wide as it would like to be."""
    return _systems(
        mei, {"breaks": "none", "adjustPageWidth": True, "pageWidth": _WIDEST_PAGE, "lyricTopMinMargin": 3.0}, staff_mm
    )


def in_systems(
    mei: str, width_mm: float, staff_mm: float, drawn: Mapping[int, Sequence[EngravedSystem]] = {}
) -> list[EngravedSystem]:
    """The systems that the document's own breaks ask for, each as wide as asked.

    Args:
        mei: the document.
        width_mm: of a system.
        staff_mm: height of a staff.
        drawn: pages that need not be drawn again, by their numbers from 1.
    """
    return _systems(mei, {"breaks": "encoded", "pageWidth": round(width_mm * 10)}, staff_mm, drawn)


def systems_that_fit(mei: str, width_mm: float, staff_mm: float) -> list[EngravedSystem]:
    """Systems of as many bars as fit, players' staves apart; breaks in the document are not looked at."""
    return _systems(mei, {**_APART, "breaks": "auto", "pageWidth": round(width_mm * 10)}, staff_mm)


def systems_apart(mei: str, width_mm: float, staff_mm: float) -> list[EngravedSystem]:
    """The systems that the document's own breaks ask for, players' staves apart."""
    return _systems(mei, {**_APART, "breaks": "encoded", "pageWidth": round(width_mm * 10)}, staff_mm)


def _systems(
    mei: str, options: Mapping[str, object], staff_mm: float, drawn: Mapping[int, Sequence[EngravedSystem]] = {}
) -> list[EngravedSystem]:
    unit = {"unit": staff_mm * 10 / 8, "pageHeight": _LONGEST_PAGE}
    toolkit = kept_toolkit({**LAYOUT, **unit, **options})
    if not toolkit.loadData(mei):
        return []
    systems: list[EngravedSystem] = []
    for page in range(1, toolkit.getPageCount() + 1):
        systems += drawn.get(page) or read_page(toolkit.renderToSVG(page))
    del toolkit
    _forget(mei)
    return systems


def _forget(mei: str) -> None:
    """Let toolkits go that hold a long document: it takes hundreds of megabytes until the next is loaded."""
    if len(mei) > LARGE:
        _thread.toolkits.clear()
        give_back()


class _Toolkits(threading.local):
    """Toolkits of a thread by their options: each reads the engraver's fonts when it is made."""

    def __init__(self) -> None:
        self.toolkits: dict[tuple[tuple[str, object], ...], object] = {}


_thread = _Toolkits()


def kept_toolkit(options: Mapping[str, object]) -> "verovio.toolkit":  # type: ignore[name-defined]  # noqa: F821
    """The engraver with these options; the same one when they are asked for again."""
    key = tuple(options.items())
    if key not in _thread.toolkits:
        _thread.toolkits[key] = new_toolkit(options)
    return _thread.toolkits[key]


def new_toolkit(options: Mapping[str, object]) -> "verovio.toolkit":  # type: ignore[name-defined]  # noqa: F821
    """The engraver with these options, for one document that stays loaded."""
    import verovio

    verovio.enableLog(verovio.LOG_OFF)
    toolkit = verovio.toolkit(False)
    toolkit.setResourcePath(engraver_data())
    toolkit.setOptions(dict(options))
    return toolkit


def read_page(svg: str) -> list[EngravedSystem]:
    """The systems of a page that the engraver has drawn."""
    root = parsed_engraving(svg)
    for hidden in elements(_HIDDEN, root) if 'visibility="hidden"' in svg else ():
        drop(hidden)
    symbols = {symbol.get("id") or "": markup(symbol) for symbol in root.iterfind(f"{SVG}defs/*")}
    asked, has_figures = own_signs_asked(svg), FIGURE in svg
    return [_read_system(group, symbols, asked, has_figures=has_figures) for group in elements(_SYSTEMS, root)]


def _keep_one_bracket(system: etree._Element) -> None:
    """An ending gets a bracket over each group of staves: only the highest stays."""
    for ending in elements(_ENDINGS, system):
        for extra in sorted(elements(_BRACKETS, ending), key=lambda bracket: extents(markup(bracket)))[1:]:
            drop(extra)
        for bracket in elements(_BRACKETS, ending):
            _enlarge_number(bracket, _space(system))


def _space(system: etree._Element) -> float:
    """From line to line of the system's largest staff, in the drawing's units; 0 where all have one line."""
    staves = (line_heights(staff) for measure in elements(_MEASURES, system)[:1] for staff in elements(_STAFF, measure))
    return max((abs(lines[1] - lines[0]) for lines in map(sorted, staves) if len(lines) > 1), default=0.0)


def _enlarge_number(bracket: etree._Element, space: float) -> None:
    """Over a cue line, which is smaller, the number of an ending would be smaller too."""
    for letters in bracket.iter(SVG + "tspan", SVG + "text"):
        size = float((letters.get("font-size") or "0px").removesuffix("px"))
        usual = _NUMBER_SIZE * space
        if 0 < size < 0.9 * usual:
            letters.set("font-size", f"{usual:.0f}px")
            text = next(bracket.iter(SVG + "text"))
            text.set("y", f"{float(text.get('y') or 0) + usual - size:.0f}")


def _kinds(system: etree._Element) -> set[str]:
    """What a system and its measures hold, by the engraver's names; what stands there for nothing is taken out."""
    kinds = set()
    for item in list(system):
        name = item.get("class") or ""
        if "placeholder" in name or "MilestoneEnd" in name:
            drop(item)
            continue
        kinds.update(name.split())
        if name == "measure":
            kinds.update((sign.get("class") or "").partition(" ")[0] for sign in item)
    return kinds


def _read_system(
    group: etree._Element, symbols: Mapping[str, str], asked: Collection[str], *, has_figures: bool
) -> EngravedSystem:
    kinds = _kinds(group)
    draw_own_signs(group, asked)
    clear_words(group, has_figures)
    if STICKING in asked:
        clear_stickings(group)
    if not ORNAMENTS.isdisjoint(kinds):
        clear_trills(group)
    if "lv" in kinds:
        lengthen_open_ties(group)
    if "hairpin" in kinds:
        lengthen_hairpins(group)
    if "dynam" in kinds:
        clear_dynamics(group)
    if "ending" in kinds:
        _keep_one_bracket(group)
    clear_cue_line(group)
    clear_barlines(group)
    for letters in group.iter(SVG + "tspan"):
        if letters.text and '"' in letters.text:
            letters.text = letters.text.replace('"', QUOTE)
    # Quoted, no word of the score can be taken for an attribute of the drawing.
    text = markup(group).replace(QUOTE, "&quot;")
    top, bottom = extents(text)
    return EngravedSystem(text, symbols, tuple(elements(_MEASURES, group)), top=top, bottom=bottom)
