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


class PrintRecord(NamedTuple):
    """A print of a score's parts.

    Attributes:
        score: digest of the score's document.
        engraver: its version; another one may draw everything otherwise.
        options: what was asked of the pages.
        bar_count: bars of the piece.
        parts: the pages of each player's part, by the player's number.
    """

    score: str
    engraver: str
    options: str
    bar_count: int
    parts: Mapping[int, tuple[PrintedPage, ...]]

    def pins(self, engraver: str, options: str, bar_count: int) -> Mapping[int, tuple[PrintedPage, ...]]:
        """The pages whose breaks can be kept; none when the engraver, the options or the bars are others."""
        return self.parts if (self.engraver, self.options, self.bar_count) == (engraver, options, bar_count) else {}


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


def read_record(path: Path) -> PrintRecord | None:
    """The record that stands there; None without one, or when it is no record of ours."""
    try:
        written = json.loads(path.read_text(encoding="utf-8"))
        if written["form"] != _FORM:
            return None
        parts = {int(number): tuple(_page(page) for page in pages) for number, pages in written["parts"].items()}
        return PrintRecord(
            str(written["score"]),
            str(written["engraver"]),
            str(written["options"]),
            bar_count=int(written["bars"]),
            parts=parts,
        )
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None


def write_record(path: Path, record: PrintRecord) -> Path:
    """Write the record beside the prints.

    Raises:
        WritingError: the folder cannot be written.
    """
    parts = {str(number): [_written(page) for page in pages] for number, pages in sorted(record.parts.items())}
    head = {"form": _FORM, "score": record.score, "engraver": record.engraver, "options": record.options}
    text = json.dumps({**head, "bars": record.bar_count, "parts": parts}, ensure_ascii=False, separators=(",", ":"))
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
