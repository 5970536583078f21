"""Systems for the screen against the piece itself and against pixels.

A picture is decoded by Pillow, a reader of PNG of its own. The bars' own onsets come from the reading of the score,
which knows nothing of the engraver.
"""

import io
import time
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from score.cues.cue_choice import choose_cues
from score.cues.sheet import Level
from score.errors import InbreathError
from score.parts.part_notes import EngravedPart
from score.parts.picture_process import Part, PictureProcess
from score.parts.system_picture import STAFF_MM, Request, SystemPicture, system_picture
from score.parts.uncued_part import UncuedPart, uncued_part
from score.piece import StrokeKind
from score.reading import read_score
from score.reading.reading_result import Reading

SAMPLES = Path(__file__).parents[2] / "samples"
INK = (0xD7, 0xDE, 0xE6)
CELL = (9, 18)


def request(bars: range, columns: int = 160, staff: float = 58.0, cell: tuple[int, int] = CELL) -> Request:
    return Request(bars, columns, cell, staff, "#d7dee6")


@pytest.fixture(scope="module")
def quartet() -> Reading:
    return read_score(SAMPLES / "quartet.musicxml")


@pytest.fixture(scope="module")
def trio() -> Reading:
    return read_score(SAMPLES / "trio-plain.musicxml")


def notes_of(reading: Reading, player: int) -> EngravedPart:
    sheet = choose_cues(reading.piece, player, Level.USUAL, ())
    return EngravedPart(uncued_part(reading, sheet), reading.piece, sheet, STAFF_MM)


@pytest.fixture(scope="module")
def second(quartet: Reading) -> EngravedPart:
    return notes_of(quartet, 2)


def onsets(reading: Reading, player: int, bars: range) -> set[Fraction]:
    """When the player strikes, quarters from the first bar, from what was read."""
    piece = reading.piece
    start = piece.bars[bars[0]].start
    strokes = (stroke for stroke in piece.player(player).strokes if stroke.kind is not StrokeKind.GRACE)
    return {piece.offset(stroke.place) - start for stroke in strokes if stroke.bar in bars}


def pixels(picture: SystemPicture) -> np.ndarray:
    return np.asarray(Image.open(io.BytesIO(picture.png)).convert("RGBA"))


def test_a_picture_fills_its_cells_and_has_a_transparent_ground(second: EngravedPart) -> None:
    picture = system_picture(second, request(range(16, 20)))
    seen = pixels(picture)
    assert seen.shape == (picture.rows * 18, 160 * 9, 4)
    assert 0.5 < (seen[..., 3] == 0).mean() < 0.98
    drawn = seen[seen[..., 3] == 255][:, :3]
    assert len(drawn) > 1000
    assert np.abs(drawn.astype(int) - INK).max() <= 6  # edges on edges round a little


@pytest.mark.parametrize(
    ("player", "bars"), [(1, range(56, 62)), (2, range(16, 20)), (3, range(64, 72)), (4, range(8))]
)
def test_every_onset_has_its_place_in_the_quartet(quartet: Reading, player: int, bars: range) -> None:
    picture = system_picture(notes_of(quartet, player), request(bars))
    table = dict(picture.places)
    assert onsets(quartet, player, bars) <= set(table)
    assert [x for _, x in picture.places] == sorted(set(table.values()))
    assert picture.places[-1][0] == sum(quartet.piece.bars[index].length for index in bars)
    assert 0 < picture.places[0][1] < picture.places[-1][1] <= 160 * 9


@pytest.mark.parametrize("player", [1, 2, 3])
def test_every_onset_has_its_place_in_the_trio(trio: Reading, player: int) -> None:
    notes = notes_of(trio, player)
    for first in range(0, len(trio.piece.bars) - 4, 4):
        bars = range(first, first + 4)
        assert onsets(trio, player, bars) <= set(dict(system_picture(notes, request(bars)).places))


def test_ink_stands_where_the_table_says(quartet: Reading, second: EngravedPart) -> None:
    bars = range(16, 20)
    picture = system_picture(second, request(bars))
    alpha = pixels(picture)[..., 3].astype(float)
    top, bottom = picture.staff[0] * 18 - 40, (picture.staff[1] + 1) * 18
    band = alpha[max(0, top) : bottom]
    struck = [round(picture.x(at)) for at in sorted(onsets(quartet, 2, bars))]
    beside = [(a + b) // 2 for a, b in pairwise(struck) if b - a > 30]
    heads = [band[:, x - 3 : x + 4].mean() for x in struck]
    empty = [band[:, x - 1 : x + 2].mean() for x in beside]
    assert min(heads) > np.median(empty)


def test_moments_between_notes_stand_in_proportion(second: EngravedPart) -> None:
    picture = system_picture(second, request(range(16, 20)))
    (start, left), (end, right) = picture.places[0], picture.places[1]
    assert picture.x((start + end) / 2) == pytest.approx((left + right) / 2)
    assert picture.x(Fraction(-1)) == left
    assert picture.x(Fraction(1000)) == picture.places[-1][1]


def test_double_density_shows_the_same_system_twice_as_large(second: EngravedPart) -> None:
    usual = system_picture(second, request(range(16, 20)))
    double = system_picture(second, request(range(16, 20), staff=116.0, cell=(18, 36)))
    assert (double.columns, double.rows, double.staff) == (usual.columns, usual.rows, usual.staff)
    assert [x / 2 for _, x in double.places] == pytest.approx([x for _, x in usual.places], abs=1)


def test_bars_that_need_more_width_are_drawn_smaller_not_cut(second: EngravedPart) -> None:
    wide, narrow = (system_picture(second, request(range(16, 20), columns)) for columns in (160, 80))
    assert narrow.rows < wide.rows
    alpha = pixels(narrow)[..., 3]
    assert alpha[:, -2:].max() == 0 or narrow.places[-1][1] <= 80 * 9


def test_a_part_that_cannot_be_engraved_is_refused(quartet: Reading) -> None:
    sheet = choose_cues(quartet.piece, 2, Level.USUAL, ())
    uncued = uncued_part(quartet, sheet)
    one_bar = UncuedPart(uncued.own, uncued.mei.replace("<measure", "<lost", 1).replace("</measure", "</lost", 1))
    with pytest.raises(InbreathError, match="refuses"):
        EngravedPart(one_bar, quartet.piece, sheet, STAFF_MM)


def test_a_process_draws_the_same_and_the_last_request_first(quartet: Reading, second: EngravedPart) -> None:
    process = PictureProcess()
    process.start()
    try:
        process.take(Part(quartet.outline, quartet.piece, 2, ()))
        asked = [request(range(first, first + 4)) for first in (16, 20, 24)]
        for each in asked:
            process.draw(each)
        answers = [*process.drawn()]
        while len(answers) < 3:
            assert process._process.is_alive()
            answers += process.drawn()
            time.sleep(0.01)
        assert {answer.request for answer in answers} == set(asked)
        assert all(answer.picture is not None for answer in answers)
        first = next(answer.picture for answer in answers if answer.request == asked[0])
        assert first == system_picture(second, asked[0])
    finally:
        process.close()
    assert not process._process.is_alive()
    process.draw(request(range(4)))  # nobody there: nothing happens
    assert process.drawn() == []
