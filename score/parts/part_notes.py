"""A player's part as the engraver has read it: any of its bars as a system, and when each of its notes begins."""

from collections.abc import Sequence
from copy import deepcopy
from fractions import Fraction
from typing import Any

from lxml import etree

from score.cues.sheet import CueSheet
from score.errors import InbreathError
from score.memory.fade import Fade
from score.memory.landmarks import landmarks
from score.parts.cued_part import cue_rows
from score.parts.drawing_tree import drop
from score.parts.drawn_staves import UNITS_PER_MM
from score.parts.engraver import LAYOUT, EngravedSystem, new_toolkit, read_page
from score.parts.faded_drawing import FadedDrawing
from score.parts.mei import Document, part_document
from score.parts.printed_bar import MEI
from score.parts.system_marks import break_before, move_marks, name_cues, top_staff
from score.parts.uncued_part import UncuedPart
from score.piece import Piece

_SCREEN = {"pageHeight": 60000, "minLastJustification": 0.0, "spacingLinear": 0.2}
"""Closer than on paper: as many bars as can be read; what does not fill the width is stretched to it."""
_WIDEST = 100000
_FINEST = 960
"""Parts of a quarter; the engraver gives its times as decimal fractions."""


class EngravedPart:
    """A part that the engraver has read once; any run of its bars can be drawn, bars of rest one by one.

    Args:
        uncued: the part, ready for its cues.
        piece: the piece.
        sheet: the player's cues.
        staff_mm: height of a five-line staff on paper, mm.

    Raises:
        InbreathError: the engraver can make nothing of the part, or divides it into other bars than the piece has.
    """

    def __init__(self, uncued: UncuedPart, piece: Piece, sheet: CueSheet, staff_mm: float) -> None:
        self._player = piece.player(sheet.player).name
        self._piece, self._number = piece, sheet.player
        rows = cue_rows(piece, sheet)
        staves = uncued.own.staves
        self._document = part_document(
            uncued.mei, piece, sheet.player, rows, staves, rests_joined=False, signs=uncued.signs
        )
        self.bars = piece.bars
        if not self._document.in_bars:
            raise self._refused()
        break_before(self._document, [])
        name_cues(self._document, [range(len(self.bars))])
        self._tops = [top_staff(self._document, range(index, index + 1)) for index in range(len(self.bars))]
        self._toolkit: Any = new_toolkit({**LAYOUT, **_SCREEN, "unit": staff_mm * 10 / 8})
        self._moments = self._timed()
        if len(self._moments) != len(self.bars):
            raise self._refused()
        self._load(self._document.root)
        self._fading: tuple[Fade, FadedDrawing] | None = None

    def moments(self, bar: int) -> Sequence[tuple[str, Fraction]]:
        """Notes and rests of a bar by the ids that the drawing gives them, and when each begins in it, quarters."""
        return self._moments[bar]

    def system(self, bars: range, width_mm: float) -> EngravedSystem:
        """Some bars as one system, stretched to a width, or wider where they need more.

        Raises:
            InbreathError: the engraver can make nothing of them.
        """
        if self._place_marks(bars):
            self._load(self._document.root)
        self._toolkit.select({"measureRange": f"{bars[0] + 1}-{bars[-1] + 1}"})
        system = self._laid_out(bars, {"breaks": "none", "adjustPageWidth": True, "pageWidth": _WIDEST})
        if system.right >= width_mm * UNITS_PER_MM:
            return system
        return self._laid_out(bars, {"breaks": "auto", "adjustPageWidth": False, "pageWidth": round(width_mm * 10)})

    def faded(self, system: EngravedSystem, fade: Fade) -> EngravedSystem:
        """A system of this part without what a step of fading hides."""
        if self._fading is None or self._fading[0] != fade:
            stays = landmarks(self._piece, self._piece.player(self._number), fade.phrases)
            self._fading = fade, FadedDrawing(self._document, stays, fade)
        return self._fading[1].system(system)

    def _laid_out(self, bars: range, options: dict[str, object]) -> EngravedSystem:
        self._toolkit.setOptions(options)
        self._toolkit.redoLayout()
        systems = read_page(self._toolkit.renderToSVG(1))
        if not systems or len(systems[0].measures) != len(bars):
            raise self._refused()
        return systems[0]

    def _place_marks(self, bars: range) -> bool:
        """Marks for everybody stand above the cue staff where the system shows it; whether some stood elsewhere."""
        top = top_staff(self._document, bars)
        moved = [index for index in bars if self._tops[index] != top]
        self._tops[bars[0] : bars[-1] + 1] = [top] * len(bars)
        return any(_has_marks(self._document, index) for index in moved)

    def _timed(self) -> list[list[tuple[str, Fraction]]]:
        """When notes and rests begin, bar by bar; without grace notes, for which the engraver shifts the next note."""
        root = deepcopy(self._document.root)
        for grace in [note for note in root.iter(MEI + "note", MEI + "chord", MEI + "graceGrp") if _is_grace(note)]:
            drop(grace)
        for measure, bar in zip(root.iter(MEI + "measure"), self.bars, strict=True):
            _fill(measure, bar.length)
        self._load(root)
        return _moments(self._toolkit.renderToTimemap({"includeMeasures": True, "includeRests": True}))

    def _load(self, root: etree._Element) -> None:
        move_marks(self._document, self._tops)
        self._toolkit.select({})
        if not self._toolkit.loadData(etree.tostring(root, encoding="unicode")):
            raise self._refused()

    def _refused(self) -> InbreathError:
        return InbreathError("Cannot engrave", f"{self._player}: the engraver refuses the part", "use the lanes")


def _fill(measure: etree._Element, length: Fraction) -> None:
    """Say how long a bar is where a staff is empty: of a bar that only rests the engraver mistakes some meters."""
    for empty in list(measure.iter(MEI + "mSpace")):
        left, shortest = length, Fraction(1, 16)
        value = Fraction(4)
        while left >= shortest and value >= shortest:
            if value > left:
                value /= 2
                continue
            empty.addprevious(etree.Element(MEI + "space", dur=str(int(4 / value))))
            left -= value
        drop(empty)


def _is_grace(note: etree._Element) -> bool:
    return note.get("grace") is not None or note.tag == MEI + "graceGrp"


def _has_marks(document: Document, index: int) -> bool:
    measure = document.bars[index].measure
    return any(etree.QName(event).localname != "staff" for event in measure if isinstance(event.tag, str))


def _moments(times: Sequence[dict[str, Any]]) -> list[list[tuple[str, Fraction]]]:
    """The engraver's list of times by bar: ids of what begins, and when in its bar, quarters."""
    bars: list[list[tuple[str, Fraction]]] = []
    start = 0.0
    # The engraver lists some moments after triplets out of order.
    for moment in sorted(times, key=lambda each: float(each["qstamp"])):
        if "measureOn" in moment:
            start = moment["qstamp"]
            bars.append([])
        at = Fraction(moment["qstamp"] - start).limit_denominator(_FINEST)
        bars[-1] += [(id_, at) for id_ in (*moment.get("on", ()), *moment.get("restsOn", ()))]
    return bars
