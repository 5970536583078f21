"""Digests of pages and bars, for the record of a print: alike when and only when they look alike."""

import re
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from hashlib import blake2b

from lxml import etree

from score.parts.binding import PlacedSystem, turn_words
from score.parts.mei import Document
from score.parts.print_record import PrintedPage
from score.parts.printed_bar import MEI, XML_ID
from score.parts.title_block import FirstPage

_NAMES = re.compile(r' (?:id|class|xmlns:\w+)="[^"]*"')
_GLYPHS = re.compile(r'href="#([0-9A-F]+)-\w+"')
_OWN_NAMES = (XML_ID, "startid", "endid", "plist")


def page_look(words: Iterable[str], systems: Sequence[tuple[str, float]]) -> str:
    """Digest of a page.

    Args:
        words: title, legend, running head, foot: what is set in words, without number and date.
        systems: drawing of each system as SVG text and its place on the page, mm.
    """
    digest = blake2b(digest_size=8)
    for word in words:
        digest.update(f"{word}\n".encode())
    for svg, y in systems:
        # What a split leaves, groups included, is what replacing would, in two thirds of the time.
        drawing = "".join(_GLYPHS.split("".join(_NAMES.split(svg))))
        digest.update(f"{y:.2f}\n{drawing}\n".encode())
    return digest.hexdigest()


def bar_digest(measure: etree._Element, cue_staves: range) -> str:
    """Digests of a bar's music, of its cues and of its words, six letters each; ids do not count.

    Args:
        measure: as it is engraved.
        cue_staves: numbers of the staves that hold cues.
    """
    music, cues, words = (blake2b(digest_size=3) for _ in range(3))
    cue_names = {str(number) for number in cue_staves}
    for item in measure:
        if not isinstance(item.tag, str):
            continue
        if item.tag == MEI + "staff":
            (cues if item.get("n") in cue_names else music).update(_text(item))
        elif item.get("type") == "cue":
            cues.update(_text(item))
        elif item.tag == MEI + "dir":
            words.update(_text(item))
        else:
            music.update(_text(item, leaving=("staff",)))
    return music.hexdigest() + cues.hexdigest() + words.hexdigest()


def _text(element: etree._Element, leaving: Sequence[str] = ()) -> bytes:
    """An element with all that is in it, but for names that the engraver gives."""
    left_out = {*_OWN_NAMES, *leaving}
    lines = []
    for item in element.iter("*"):
        kept = tuple([pair for pair in item.items() if pair[0] not in left_out])
        lines.append(_line(str(item.tag), kept) + (item.text or ""))
    return "\n".join(lines).encode()


@lru_cache(maxsize=4096)
def _line(tag: str, attributes: Sequence[tuple[str, str]]) -> str:
    # Most elements of a part are like many others of it.
    return f"{tag}{sorted(attributes)}"


def printed_pages(
    document: Document,
    pages: Sequence[Sequence[PlacedSystem]],
    plan: Sequence[Sequence[range]],
    front: FirstPage,
    turns: Mapping[int, tuple[float, float]],
) -> tuple[PrintedPage, ...]:
    """What each page holds, for the record of prints.

    Args:
        document: what was engraved.
        pages: placed systems, page by page.
        plan: for each page its systems as positions of printed bars.
        front: what stands above the first page and at the head of the others.
        turns: as in `bind`.
    """
    printed, last = [], 0
    for number, (lines, page) in enumerate(zip(plan, pages, strict=True), 1):
        bars = [document.bars[position] for line in lines for position in line]
        last = bars[-1].last if bars else last
        turn = turn_words(*turns[number]) if number in turns else ""
        words = [front.title, front.player, repr(front) if number == 1 else "", turn]
        printed.append(
            PrintedPage(
                tuple(document.bars[line.start].first for line in lines),
                last,
                page_look(words, [(placed.system.svg, placed.y) for placed in page]),
                turn=turn,
                bars=tuple((bar.first, bar_digest(bar.measure, document.cue_staves)) for bar in bars),
            )
        )
    return tuple(printed)
