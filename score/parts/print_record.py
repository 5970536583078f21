"""What was printed last: which bars stand on which page, and a digest of how each page looks.

It stands beside the prints. With it the next print can keep every break where it was, and say which pages differ.
"""

import json
from collections.abc import Iterator, Mapping, Sequence
from itertools import zip_longest
from pathlib import Path
from typing import NamedTuple

from score.piece import Piece
from score.places import bar_name
from score.writing import write_atomically

_FORM = 1
"""Of the file; one of another form is no record."""
_MUSIC, _CUES, _WORDS = slice(0, 6), slice(6, 12), slice(12, 18)


class PrintedPage(NamedTuple):
    """One page as it was printed.

    Attributes:
        systems: index of the bar that each system begins with.
        last: index of the last bar.
        look: digest of everything on the page but its number.
        turn: what its foot says of the turn.
        bars: for each printed bar of the page (its index, digests of its music, its cues and its words).
    """

    systems: tuple[int, ...]
    last: int
    look: str
    turn: str
    bars: tuple[tuple[int, str], ...]


class PrintedPart(NamedTuple):
    """A player's part as it was printed.

    Attributes:
        setting: everything else that decides how pages look: engraver, options, number of bars.
        pages: its pages.
    """

    setting: str
    pages: tuple[PrintedPage, ...]


PrintRecord = Mapping[int, PrintedPart]
"""The last print of each player's part, by the player's number."""


class LastPrint(NamedTuple):
    """What the next print of a part goes by.

    Attributes:
        pages: of the last print; empty when there was none.
        keep_breaks: systems and pages begin where they began.
        both_sides: changed pages come with the other side of their sheet.
        apart: changed pages are bound as a document of their own.
    """

    pages: tuple[PrintedPage, ...] = ()
    keep_breaks: bool = False
    both_sides: bool = False
    apart: bool = True


class PageChange(NamedTuple):
    """A page that differs from the last print.

    Attributes:
        page: from 1.
        reasons: why, in words.
    """

    page: int
    reasons: tuple[str, ...]


def page_changes(before: Sequence[PrintedPage], now: Sequence[PrintedPage], piece: Piece) -> tuple[PageChange, ...]:
    """The pages that must be printed anew, and why.

    Args:
        before: the last print's pages; empty when there was none.
        now: the pages as they are now.
        piece: the piece.
    """
    return tuple(
        PageChange(number, tuple(_reasons(old, page, piece)))
        for number, (old, page) in enumerate(zip_longest(before, now), 1)
        if page is not None and (old is None or old.look != page.look)
    )


def _reasons(old: PrintedPage | None, page: PrintedPage, piece: Piece) -> Iterator[str]:
    if old is None:
        yield "a page that was not there"
        return
    if (old.systems, old.last) != (page.systems, page.last):
        yield "its bars are divided otherwise"
    earlier = dict(old.bars)
    for what, part in (("notes or signs", _MUSIC), ("cues", _CUES), ("words", _WORDS)):
        bars = [index for index, digest in page.bars if index in earlier and earlier[index][part] != digest[part]]
        if bars:
            yield f"{what} in bar{'s' if len(bars) > 1 else ''} {', '.join(bar_name(piece, index) for index in bars)}"
    if old.turn != page.turn:
        yield f"{page.turn or 'no turn'} (was {old.turn or 'no turn'})"
    if old.bars == page.bars and old.turn == page.turn and old.systems == page.systems:
        yield "title, legend or layout"


def both_sides(pages: Sequence[int], count: int) -> list[int]:
    """These pages with the other side of each sheet, printed on both sides from page 1 on."""
    wanted = {side for page in pages for side in (page - 1 + page % 2, page + page % 2)}
    return sorted(side for side in wanted if side <= count)


def read_record(path: Path) -> PrintRecord:
    """The record that stands there; empty without one, or when it is no record of ours."""
    try:
        written = json.loads(path.read_text(encoding="utf-8"))
        parts = written["parts"] if written["form"] == _FORM else {}
        return {
            int(number): PrintedPart(str(part["setting"]), tuple(_page(page) for page in part["pages"]))
            for number, part in parts.items()
        }
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return {}


def write_record(path: Path, record: PrintRecord, source: str = "") -> Path:
    """Write the record beside the prints.

    Args:
        path: the record's file.
        record: what was printed.
        source: SHA-256 of the score it was printed from, for people who wonder which one that was.

    Raises:
        WritingError: the folder cannot be written.
    """
    parts = {
        str(number): {"setting": part.setting, "pages": [_written(page) for page in part.pages]}
        for number, part in sorted(record.items())
    }
    text = json.dumps({"form": _FORM, "source": source, "parts": parts}, ensure_ascii=False, separators=(",", ":"))
    return write_atomically(path, f"{text}\n".encode())


def _written(page: PrintedPage) -> dict[str, object]:
    bars = " ".join(f"{index}:{digest}" for index, digest in page.bars)
    return {"systems": page.systems, "last": page.last, "look": page.look, "turn": page.turn, "bars": bars}


def _page(page: Mapping[str, object]) -> PrintedPage:
    systems, last, bars = page["systems"], page["last"], str(page["bars"])
    if not isinstance(systems, list) or not isinstance(last, int) or not all(isinstance(bar, int) for bar in systems):
        raise ValueError("not a page")
    pairs = (pair.partition(":") for pair in bars.split())
    return PrintedPage(
        tuple(systems),
        last,
        str(page["look"]),
        turn=str(page["turn"]),
        bars=tuple((int(index), digest) for index, _, digest in pairs),
    )
