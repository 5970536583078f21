"""Prints after the first: one agreed mark changes one page of each part it concerns, and nothing else.

What is on a page is compared in pixels of the PDF (drawn by pypdfium2), not by our own digests.
"""

import json
import os
import random
from collections.abc import Iterator, Sequence
from fractions import Fraction
from pathlib import Path

import numpy as np
import pypdfium2
import pytest

from score.activity.agreed_marks import AgreedMark, MarkSort
from score.cues.cue_choice import choose_cues
from score.cues.sheet import Level
from score.parts.closer_systems import closest_gaps, height, stand_apart
from score.parts.engraver import EngravedSystem
from score.parts.make_part import make_part
from score.parts.paper import PageOptions, PartPages
from score.parts.print_record import (
    LastPrint,
    PrintedPage,
    PrintedPart,
    both_sides,
    page_changes,
    read_record,
    write_record,
)
from score.parts.uncued_part import UncuedPart, uncued_part
from score.reading import read_score
from score.reading.reading_result import Reading

pytestmark = pytest.mark.campaign

SAMPLES = Path(__file__).parents[2] / "samples"
WORDS = ("press on", "hold back", "wait for 3", "stretch the end", "lean forward", "look at 3, breathe with 1")


def pictures(pdf: bytes) -> Iterator[np.ndarray]:
    for page in pypdfium2.PdfDocument(pdf):
        yield page.render(scale=1.5, grayscale=True).to_numpy()


def differing(before: bytes, after: bytes) -> list[int]:
    """Numbers of the pages that look otherwise; every page where their count differs."""
    one, other = list(pictures(before)), list(pictures(after))
    if len(one) != len(other):
        return list(range(1, max(len(one), len(other)) + 1))
    pairs = enumerate(zip(one, other, strict=True), 1)
    return [number for number, (a, b) in pairs if np.abs(a.astype(int) - b).max() > 8]


def note(bar: int, text: str, players: Sequence[int], number: int = 0) -> AgreedMark:
    return AgreedMark(MarkSort.NOTE, bar, Fraction(0), text=text, players=frozenset(players), name=f"n{bar}-{number}")


class Printer:
    """Prints the parts of one score again and again."""

    def __init__(self, reading: Reading) -> None:
        self.reading = reading
        self._ready: dict[int, UncuedPart] = {}

    def part(self, player: int, marks: Sequence[AgreedMark] = (), last: LastPrint | None = None) -> PartPages:
        sheet = choose_cues(self.reading.piece, player, Level.USUAL, ())
        if player not in self._ready:
            self._ready[player] = uncued_part(self.reading, sheet)
        return make_part(self._ready[player], self.reading.piece, sheet, PageOptions(), marks=marks, last=last).pages


@pytest.fixture(scope="module")
def quartet() -> Printer:
    return Printer(read_score(SAMPLES / "quartet.musicxml"))


@pytest.fixture(scope="module")
def first(quartet: Printer) -> dict[int, PartPages]:
    return {player: quartet.part(player) for player in (1, 2, 3, 4)}


def kept(pages: PartPages) -> LastPrint:
    return LastPrint(pages.printed, keep_breaks=True)


def one_mark(quartet: Printer, first: dict[int, PartPages], player: int, mark: AgreedMark) -> None:
    before = first[player]
    after = quartet.part(player, [mark], kept(before))
    page = next(number for number, each in enumerate(before.printed, 1) if mark.bar <= each.last)
    assert differing(before.pdf, after.pdf) == [page]
    assert [change.page for change in after.changes] == [page]
    assert [(each.systems, each.last) for each in after.printed] == [
        (each.systems, each.last) for each in before.printed
    ]
    (picture,) = pictures(after.changed_pdf)
    # The same drawing in another document: a few pixels on edges round otherwise by a few of 255 greys.
    assert np.abs(picture.astype(int) - list(pictures(after.pdf))[page - 1]).max() <= 8


@pytest.mark.parametrize(("player", "bar"), [(1, 72), (2, 0), (3, 20), (4, 115)])
def test_one_mark_changes_one_page_and_says_why(
    quartet: Printer, first: dict[int, PartPages], player: int, bar: int
) -> None:
    one_mark(quartet, first, player, note(bar, "press on", [player]))
    after = quartet.part(player, [note(bar, "press on", [player])], kept(first[player]))
    (reason,) = after.changes[0].reasons
    label = quartet.reading.piece.bars[bar].label
    assert reason == f"words in bar {label}"


def test_every_mark_changes_one_page_in_each_part_it_concerns(quartet: Printer, first: dict[int, PartPages]) -> None:
    # All 160 take three minutes: INBREATH_MARKS=160.
    chance = random.Random(160)
    for number in range(int(os.environ.get("INBREATH_MARKS", "40"))):
        bar, words = chance.randrange(116), chance.choice(WORDS)
        players = chance.sample((1, 2, 3, 4), chance.choice((1, 1, 1, 2)))
        mark = note(bar, words, players, number)
        for player in players:
            one_mark(quartet, first, player, mark)
        other = next(player for player in (1, 2, 3, 4) if player not in players)
        if number % 16 == 0:
            untouched = quartet.part(other, [mark], kept(first[other]))
            assert untouched.changes == ()
            assert untouched.pdf == first[other].pdf


def test_nothing_new_is_nothing_to_print_and_the_same_bytes(quartet: Printer, first: dict[int, PartPages]) -> None:
    again = quartet.part(2, (), kept(first[2]))
    assert again.changes == ()
    assert again.changed_pdf == b""
    assert again.pdf == first[2].pdf


def some_notes(page: PrintedPage, count: int, player: int, seed: int) -> list[AgreedMark]:
    chance = random.Random(seed)
    bars = range(page.systems[0], page.last + 1)
    return [note(chance.choice(bars), chance.choice(WORDS), [player], number) for number in range(count)]


@pytest.mark.parametrize("count", [8, 16, 32])
def test_many_marks_on_one_page_leave_every_other_page_as_it_was(
    quartet: Printer, first: dict[int, PartPages], count: int
) -> None:
    marks = some_notes(first[1].printed[1], count, 1, seed=count)
    after = quartet.part(1, marks, kept(first[1]))
    assert differing(first[1].pdf, after.pdf) == [2]
    assert after.printed[1].systems == first[1].printed[1].systems


def test_32_marks_on_any_page_leave_every_other_page_as_it_was(quartet: Printer, first: dict[int, PartPages]) -> None:
    for player, before in first.items():
        for number, page in enumerate(before.printed, 1):
            after = quartet.part(player, some_notes(page, 32, player, seed=number), kept(before))
            assert differing(before.pdf, after.pdf) == [number]
            assert after.printed[number - 1].systems == page.systems


def drawing(*boxes: tuple[int, int, int, int], height: int) -> EngravedSystem:
    """A system of such rectangles (x, y, width, height in hundredths of a millimetre)."""
    drawn = "".join(f'<rect x="{x}" y="{y}" width="{width}" height="{down}"/>' for x, y, width, down in boxes)
    svg = f'<g xmlns="http://www.w3.org/2000/svg">{drawn}</g>'
    return EngravedSystem(svg, {}, (), top=0.0, bottom=float(height))


def test_systems_of_a_crowded_page_reach_into_each_others_empty_places() -> None:
    # 20 mm each; the upper one's lowest 8 mm are empty on the right, where the lower one's highest 6 mm are drawn.
    upper = drawing((0, 0, 8000, 1200), (0, 1200, 3000, 800), height=2000)
    lower = drawing((0, 600, 8000, 1400), (5000, 0, 3000, 600), height=2000)
    assert closest_gaps([upper, lower], 42.0) == [2.0]
    (gap,) = closest_gaps([upper, lower], 41.0)
    # On the left 20 mm of the one and 6 empty ones of the other are in the way, on the right 12 and none.
    assert gap == pytest.approx(max(0.0 - 6.0, -8.0) + 1.2)
    assert height([upper, lower], [gap]) == pytest.approx(40.0 + gap)
    # A page that is divided for the first time holds them while what is drawn is as far apart as rectangles are.
    assert stand_apart([upper, lower], 40.0 - 6.0 + 2.0)
    assert not stand_apart([upper, lower], 40.0 - 6.0 + 1.9)


def test_a_page_that_overflows_is_divided_anew_alone_and_said(quartet: Printer, first: dict[int, PartPages]) -> None:
    # The last print had a page with a system for each bar: more than it holds, but no more bars than fit when joined.
    pages = first[1].printed
    last = (pages[0], pages[1]._replace(systems=tuple(range(pages[1].systems[0], pages[1].last + 1))), *pages[2:])
    after = quartet.part(1, (), LastPrint(last, keep_breaks=True))
    assert any("page 2" in warning and "anew" in warning for warning in after.warnings)
    assert len(after.printed) == len(pages)
    assert [(each.systems, each.last) for each in after.printed[2:]] == [
        (each.systems, each.last) for each in pages[2:]
    ]
    assert after.printed[0].systems == pages[0].systems


def test_pages_from_one_that_holds_its_bars_no_longer_are_divided_anew(
    quartet: Printer, first: dict[int, PartPages]
) -> None:
    pages = first[1].printed
    joined = PrintedPage(pages[1].systems + pages[2].systems, pages[2].last, "", "", ())
    after = quartet.part(1, (), LastPrint((pages[0], joined, *pages[3:]), keep_breaks=True))
    assert any("from it on" in warning for warning in after.warnings)
    assert after.printed[0].systems == pages[0].systems
    assert after.printed[-1].last == 115


def test_breaks_that_are_no_longer_there_are_not_kept(quartet: Printer, first: dict[int, PartPages]) -> None:
    pages = first[2].printed
    strange = (pages[0]._replace(systems=(3, *pages[0].systems[1:])), *pages[1:])
    after = quartet.part(2, (), LastPrint(strange, keep_breaks=True))
    assert after.pdf == first[2].pdf


def test_a_print_without_one_before_is_all_new(quartet: Printer) -> None:
    pages = quartet.part(3, (), LastPrint())
    assert [change.page for change in pages.changes] == list(range(1, pages.page_count + 1))
    assert len(pypdfium2.PdfDocument(pages.changed_pdf)) == pages.page_count


def test_both_sides_of_a_sheet_come_together(quartet: Printer, first: dict[int, PartPages]) -> None:
    assert both_sides([2], 5) == [1, 2]
    assert both_sides([5], 5) == [5]
    assert both_sides([3, 2], 5) == [1, 2, 3, 4]
    last = kept(first[1])._replace(both_sides=True)
    after = quartet.part(1, [note(72, "press on", [1])], last)
    changed = [change.page for change in after.changes]
    assert len(pypdfium2.PdfDocument(after.changed_pdf)) == len(both_sides(changed, after.page_count))


def test_a_record_comes_back_as_it_was_written(tmp_path: Path, first: dict[int, PartPages]) -> None:
    path = tmp_path / "prints.json"
    record = {number: PrintedPart("setting", pages.printed) for number, pages in first.items()}
    write_record(path, record, "0" * 64)
    assert read_record(path) == record
    assert json.loads(path.read_text())["source"] == "0" * 64
    assert path.stat().st_size < 16_000
    for text in ("", "{", "[]", '{"form": 1}', '{"form": 7, "parts": {}}', '{"form": 1, "parts": {"x": {}}}'):
        path.write_text(text)
        assert read_record(path) == {}
    assert read_record(tmp_path / "none.json") == {}


def test_reasons_are_said_in_words(quartet: Printer) -> None:
    piece = quartet.reading.piece
    old = PrintedPage((0, 4), 7, "a", "turn: 2.0 s free", ((0, "111111222222333333"), (4, "111111222222333333")))
    new = old._replace(look="b", bars=((0, "999999222222333333"), (4, "111111999999333333")))
    (change,) = page_changes([old], [new], piece)
    assert change.reasons == ("notes or signs in bar 1", "cues in bar 5")
    (change,) = page_changes([old], [old._replace(look="c", turn="turn: 3.1 s free")], piece)
    assert change.reasons == ("turn: 3.1 s free (was turn: 2.0 s free)",)
    (change,) = page_changes([old], [old._replace(look="c")], piece)
    assert change.reasons == ("title, legend or layout",)
    (change,) = page_changes([old], [old._replace(look="c", systems=(0, 3))], piece)
    assert change.reasons == ("its bars are divided otherwise",)
    (change,) = page_changes([old], [old, new], piece)
    assert change == (2, ("a page that was not there",))
