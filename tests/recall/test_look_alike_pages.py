"""Look-alikes on paper: a page a family, the bars named, what differs behind a band where its notes stand."""

import json
import re
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import music21
import pypdfium2
import pytest
from lxml import etree

from score.memory.bar_contents import Contents
from score.memory.families import families
from score.parts.drawn_staves import SVG
from score.parts.engraver import EngravedSystem
from score.parts.system_drawing import system_svg
from score.reading import read_score
from score.recall.bar_crops import BarCrops
from tui.command import run

pytestmark = pytest.mark.campaign

CORPUS = Path(music21.__file__).parent / "corpus"
SAMPLE = Path(__file__).parents[2] / "samples" / "quartet.musicxml"


def test_every_family_has_a_page(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "pages.pdf"
    assert run(["memory", str(SAMPLE), "--player", "2", "--pages", str(path), "--json"]) == 0
    (values,) = json.loads(capsys.readouterr().out)
    piece = read_score(SAMPLE).piece
    alike = families(piece, piece.player(2))
    pages = [page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(path)]
    assert values["families"] == len(alike) > 0
    assert len(pages) == len(alike) + (values["traps"] > 0) + (values["shifted"] > 0)
    for number, family in enumerate(alike):
        assert f"{len(family.occurrences)} passages of {family.length} bars" in pages[number]
        assert f"{number + 1} of {len(alike)}" in pages[number]
        for passage in family.occurrences:
            assert f"{piece.bars[passage.first].label}-" in pages[number]


def bands(svg: str) -> Iterator[tuple[float, float]]:
    for x, width in re.findall(r'<rect x="(-?\d+)" y="-?\d+" width="(\d+)" height="\d+" fill="#d8d8d8"', svg):
        yield float(x), float(x) + float(width)


def test_bands_stand_behind_the_notes_of_a_moment_and_no_cue_staff_is_left(monkeypatch: pytest.MonkeyPatch) -> None:
    drawn: list[EngravedSystem] = []

    def remembered(system: EngravedSystem, view: str, **more: str) -> str:
        drawn.append(system)
        return system_svg(system, view, **more)

    # What is bound has no names of groups any more.
    monkeypatch.setattr("score.recall.bar_crops.system_svg", remembered)
    reading = read_score(SAMPLE)
    crops = BarCrops(reading, 1, 5.0)
    contents = Contents(reading.piece, reading.piece.player(1))
    bars = range(16, 20)  # B, where the marimba plays sixteenths and the triangle rests
    marks = [(17, at) for at, _ in contents.bars[17]][:2]
    crop = crops.crop(bars, 150.0, marks)
    root = etree.fromstring(drawn[0].svg)
    measures = [g for g in root.iter(SVG + "g") if g.get("class") == "measure"]
    assert len(measures) == 4
    assert all(len([g for g in measure if g.get("class") == "staff"]) == 1 for measure in measures)
    notes = [g for g in measures[1].iter(SVG + "g") if (g.get("class") or "").split()[:1] == ["note"]]
    heads = [float(re.findall(r"translate\((-?[\d.]+)", etree.tostring(g, encoding="unicode"))[0]) for g in notes]
    for head, (left, right) in zip(sorted(heads), sorted(bands(crop.svg)), strict=False):
        assert left <= head <= right
    assert len(list(bands(crop.svg))) == 2
    assert crop.width == pytest.approx(150.0, abs=0.5)
    assert not list(bands(crops.crop(bars, 150.0).svg))


def test_every_bar_of_every_player_can_be_cut_out() -> None:
    # 7/8 in groups and bars of rest were counted wrongly by the engraver where no cue stands in them.
    reading = read_score(SAMPLE)
    for player in reading.piece.players:
        crops = BarCrops(reading, player.number, 4.0)
        for bar in (0, 55, 56, 100, len(reading.piece.bars) - 1):
            crop = crops.crop(range(bar, bar + 1), 30.0, [(bar, Fraction(0))])
            assert 0 < crop.height < 40


def test_moments_after_triplets_stand_in_their_own_bars() -> None:
    reading = read_score(CORPUS / "mozart" / "k155" / "movement3.mxl")
    crops = BarCrops(reading, 3, 5.0)
    labels = [bar.label for bar in reading.piece.bars]
    bars = range(labels.index("46"), labels.index("49") + 1)
    assert len(list(bands(crops.crop(bars, 150.0, [(bars[-1], Fraction(0))]).svg))) == 1


def test_a_part_without_look_alikes_is_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    study = str(SAMPLE.with_name("study.musicxml"))
    assert run(["memory", study, "--player", "1", "--pages", str(tmp_path / "pages.pdf")]) == 2
    assert "no two passages are nearly the same" in capsys.readouterr().err
    assert not list(tmp_path.iterdir())


def test_counting_traps_have_a_page_of_their_own(tmp_path: Path) -> None:
    trio, path = str(SAMPLE.with_name("trio-plain.musicxml")), tmp_path / "pages.pdf"
    assert run(["memory", trio, "--player", "3", "--pages", str(path)]) == 0
    (page,) = pypdfium2.PdfDocument(path)
    text = page.get_textpage().get_text_bounded()
    assert "How many times?" in text
    assert "once at 3, 3 times at 5, twice at 17" in text
