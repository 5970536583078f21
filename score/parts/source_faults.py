"""Signs that the source begins and never ends: what cannot be printed for that is said, not counted as missing."""

import re
from collections import Counter
from collections.abc import Iterator, Sequence

from lxml import etree

from score.parts.document import OwnPart
from score.parts.drawing_tree import parsed
from score.parts.paper import PartPages
from score.parts.source_signs import home_of
from score.piece import Piece
from score.places import bar_name, few_bars

_TUPLET = "tuplet"
_DASHES = re.compile(rb"<dashes\b[^>]*\btype=.(start|stop)")
_MOST_BARS = 8
"""As many bars are named in one line."""


def without_faults(pages: PartPages, own: OwnPart, piece: Piece) -> PartPages:
    """Tuplets that are missing and never end in the source are no signs: nothing says what they hold."""
    if not any(sign.kind == _TUPLET for sign in pages.unprinted):
        return pages
    endless = Counter(map(home_of, _endless_tuplets(_own_parts(own.for_the_engraver()))))
    missing, faulty = list(pages.unprinted), []
    for sign in pages.unprinted:
        if sign.kind == _TUPLET and endless[sign.note]:
            endless[sign.note] -= 1
            missing.remove(sign)
            faulty.append(sign.bar)
    if not faulty:
        return pages
    said = f"tuplets that never end in the score are left out: {bars_at_fault(piece, faulty)}"
    return pages._replace(signs=pages.signs - len(faulty), unprinted=tuple(missing), warnings=(*pages.warnings, said))


def bars_at_fault(piece: Piece, indices: Sequence[int]) -> str:
    """Bars by name, each once, no more than a few of them."""
    return few_bars(list(dict.fromkeys(bar_name(piece, index) for index in indices)), _MOST_BARS)


def bars_of_endless_dashes(own: OwnPart) -> tuple[int, ...]:
    """The bars, as indices, in which dashes begin that never end in the source."""
    kinds = _DASHES.findall(own.tail)
    if kinds.count(b"start") <= kinds.count(b"stop"):
        return ()
    endless: list[int] = []
    for part in _own_parts(own).iterfind("part"):
        begun: dict[str, int] = {}
        for bar, measure in enumerate(part.iterfind("measure")):
            for dashes in measure.iter("dashes"):
                number = dashes.get("number") or "1"
                before = begun.pop(number, None)
                if dashes.get("type") == "start":
                    endless += [] if before is None else [before]
                    begun[number] = bar
                elif dashes.get("type") == "continue" and before is not None:
                    begun[number] = before
        endless += begun.values()
    return tuple(sorted(set(endless)))


def _own_parts(own: OwnPart) -> etree._Element:
    """The document without its cue staves."""
    return parsed(own.head + own.tail)


def _endless_tuplets(root: etree._Element) -> Iterator[etree._Element]:
    """Tuplets that do not end in the bar that they begin in, where a tuplet has to."""
    for measure in root.iterfind("part/measure"):
        begun: dict[tuple[str, str], etree._Element] = {}
        for sign in measure.iter(_TUPLET):
            voice = next(sign.iterancestors("note")).findtext("voice") or "1"
            key = voice, sign.get("number") or "1"
            before = begun.pop(key, None)
            if sign.get("type") == "start":
                if before is not None:
                    yield before
                begun[key] = sign
        yield from begun.values()
