"""How full pages are, how many turns fall where hands are free, and whether every score that is read becomes pages.

Run by hand: python -m pytest tests/bench/bench_pages.py -s
"""

import os
from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from functools import cache
from math import isinf
from pathlib import Path
from statistics import median

import music21
import pypdfium2
import pytest

from score.cues.cue_choice import choose_cues
from score.cues.sheet import Level
from score.errors import InbreathError
from score.parts.engraved_score import engraved_score
from score.parts.page_fitting import FittedPages, systems_height
from score.parts.paper import PageOptions, PartPages
from score.parts.part_pages import part_pages
from score.parts.score_jobs import ScoreOptions
from score.parts.uncued_part import UncuedPart, uncued_parts
from score.reading import read_score
from score.reading.reading_result import Reading

MUSIC21 = Path(music21.__file__).parent
CORPUS = MUSIC21 / "corpus"
SAMPLE = Path(__file__).parents[2] / "samples" / "quartet.musicxml"
EIGHT = [
    SAMPLE,
    CORPUS / "mozart" / "k155" / "movement2.mxl",
    CORPUS / "haydn" / "opus74no1" / "movement3.mxl",
    CORPUS / "beethoven" / "opus18no1" / "movement1.mxl",
    CORPUS / "haydn" / "opus74no1" / "movement1.mxl",
    CORPUS / "mozart" / "k80" / "movement2.mxl",
    CORPUS / "mozart" / "k458" / "movement1.mxl",
    CORPUS / "beethoven" / "opus59no1" / "movement2.mxl",
]
"""Chosen before anything was measured: the sample, the speed bench's, and quick, slow and long movements."""


@cache
def read(path: Path) -> tuple[Reading, dict[int, UncuedPart]]:
    reading = read_score(path)
    return reading, uncued_parts(reading.outline, [player.number for player in reading.piece.players], Level.USUAL)


def engraved(options: PageOptions, fitted: list[FittedPages]) -> Iterator[tuple[PartPages, FittedPages]]:
    for path in EIGHT:
        reading, uncued = read(path)
        for player in reading.piece.players:
            sheet = choose_cues(reading.piece, player.number, Level.USUAL)
            pages = part_pages(uncued[player.number], reading.piece, sheet, options)
            yield pages, fitted[-1]


def fills(fitted: FittedPages) -> list[float]:
    """How much of each page of music but the last its systems take, one close below the other."""
    rooms = [fitted.page.height if number else fitted.page.first_height for number in range(len(fitted.plan))]
    rows = list(zip(fitted.systems, rooms, strict=True))[:-1]
    return [systems_height(systems) / room for systems, room in rows if systems]


STANDS = {
    # Least share of turns with two seconds of free hands.
    "one page open": (PageOptions(), 0.85),
    "two": (PageOptions(side_by_side=2), 0.92),
    "three": (PageOptions(side_by_side=3), 0.97),
    "a booklet": (PageOptions(booklet=True), 0.92),
}


@pytest.mark.parametrize("stand", STANDS)
def test_turns_are_in_rests_and_pages_are_full(stand: str, monkeypatch: pytest.MonkeyPatch) -> None:
    options, least = STANDS[stand]
    fitted: list[FittedPages] = []
    fit = vars(__import__("score.parts.part_pages", fromlist=["fit_pages"]))["fit_pages"]

    def remembered(*arguments: object) -> FittedPages:
        fitted.append(fit(*arguments))
        return fitted[-1]

    monkeypatch.setattr("score.parts.part_pages.fit_pages", remembered)
    turns, full, pages, lone = [], [], 0, 0
    for part, here in engraved(options, fitted):
        turns += [turn.seconds for turn in part.turns]
        full += fills(here)
        pages += part.page_count
        lone += len(here.plan[-1][-1]) == 1 and here.plan[-1][-1].start > 0
        assert not [line for line in part.warnings if "too tall" in line]
    good = sum(isinf(seconds) or seconds >= 2 for seconds in turns) / len(turns)
    print(
        f"{stand}: {pages} pages, {len(turns)} turns, {good:.1%} with free hands; fill median {median(full):.1%}, "
        f"least {min(full):.1%}, {sum(share < 0.5 for share in full)} pages under half; {lone} last systems of one bar"
    )
    assert good >= least
    assert median(full) >= 0.88
    assert min(full) >= 0.5
    assert lone == 0


FOLDERS = {"corpus": CORPUS, "test suite": MUSIC21 / "musicxml"}


@pytest.mark.parametrize("folder", FOLDERS)
def test_every_score_that_is_read_becomes_pages(folder: str) -> None:
    kinds = (".mxl", ".xml", ".musicxml")
    count: Counter[str] = Counter()
    for path in sorted(path for path in FOLDERS[folder].rglob("*") if path.suffix in kinds):
        # Each in a process of its own: whatever the engraver does, the count goes on.
        child = os.fork()
        if child == 0:
            os._exit(_pages_for_every_player(path))
        _, status = os.waitpid(child, 0)
        outcome = {0: "pages for every player", 1: "not read"}.get(os.waitstatus_to_exitcode(status), "refused")
        count[outcome] += 1
        if outcome == "refused":
            print(f"  refused: {path.relative_to(MUSIC21)}")
    print(f"{folder}: {dict(count)}")
    assert count["refused"] == 0


def _pages_for_every_player(path: Path) -> int:
    try:
        reading = read_score(path)
    except InbreathError:
        return 1
    try:
        uncued = uncued_parts(reading.outline, [player.number for player in reading.piece.players], Level.USUAL)
        for player in reading.piece.players:
            sheet = choose_cues(reading.piece, player.number, Level.USUAL)
            part = part_pages(uncued[player.number], reading.piece, sheet, PageOptions())
            if len(pypdfium2.PdfDocument(part.pdf)) != part.page_count or part.page_count == 0:
                return 2
        with suppress(InbreathError):
            # Said in one line beside the parts; anything else would end the run.
            if not engraved_score(reading, ScoreOptions(), []).bars:
                return 2
    except BaseException:
        return 2
    return 0
