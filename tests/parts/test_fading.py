"""Parts that fade: what stays stands where it stood, and of what goes nothing is left over."""

import io
import json
import re
from functools import cache
from pathlib import Path
from typing import Any

import music21
import PIL.Image
import pypdfium2
import pytest
from lxml import etree

from score.chunks.division import divide
from score.cues.cue_choice import choose_cues
from score.cues.sheet import Level
from score.memory.fade import Fade, FadeStep
from score.memory.landmarks import landmarks
from score.parts.drawn_staves import SVG
from score.parts.engraver import EngravedSystem
from score.parts.faded_drawing import FadedDrawing
from score.parts.page_fitting import fit_pages
from score.parts.page_turns import free_seconds
from score.parts.paper import PageOptions, paper_named
from score.parts.part_notes import EngravedPart
from score.parts.system_picture import STAFF_MM, Request, system_picture
from score.parts.uncued_part import uncued_part
from score.reading import read_score
from tui.command import run

pytestmark = pytest.mark.campaign

CORPUS = Path(music21.__file__).parent / "corpus"
SAMPLE = str(Path(__file__).parents[2] / "samples" / "quartet.musicxml")
XML_ID = "{http://www.w3.org/XML/1998/namespace}id"
HREF = re.compile(r'href="#([0-9A-F]{4})-?\w*" transform="translate\((-?[\d.]+), (-?[\d.]+)\)')
Glyphs = list[tuple[int, float, float]]


def is_struck(code: int) -> bool:
    """SMuFL 1.4: heads and shapes E0A0-E19F, stems and tremolos E210-E22F, flags E240-E25F, articulations E4A0-E4BF."""
    return any(low <= code <= high for low, high in ((0xE0A0, 0xE19F), (0xE210, 0xE25F), (0xE4A0, 0xE4BF)))


def glyphs(svg: str) -> Glyphs:
    return [(int(code, 16), float(x), float(y)) for code, x, y in HREF.findall(svg)]


@cache
def engraved(
    small: Any, name: str, player: int, level: Level = Level.USUAL
) -> tuple[Any, Any, tuple[tuple[Any, EngravedSystem], ...]]:
    reading = small.sample() if not name else read_score(CORPUS / name)
    document = small.document(reading, player, level)
    free = free_seconds(reading.piece, player)
    fitted = fit_pages(document, free, (), paper_named("a4"), 30.0, PageOptions())
    lines = [line for page in fitted.plan for line in page]
    drawn = [system for page in fitted.systems for system in page]
    return reading.piece, document, tuple(zip(lines, drawn, strict=True))


PARTS = [
    ("", 1),
    ("", 4),
    ("haydn/opus74no1/movement3.mxl", 1),
    ("mozart/k155/movement1.mxl", 4),
    ("mozart/k80/movement2.mxl", 2),
]


@pytest.mark.parametrize(("name", "player"), PARTS)
@pytest.mark.parametrize("step", list(FadeStep)[1:])
def test_bars_stay_and_nothing_is_left_over(small: Any, name: str, player: int, step: FadeStep) -> None:
    piece, document, systems = engraved(small, name, player)
    stays = landmarks(piece, piece.player(player), tuple(chunk.first for chunk in divide(piece)))
    bars = {place.bar for place in stays} if step == FadeStep.LANDMARKS else set()
    assert step != FadeStep.LANDMARKS or 0 < len(bars) < len(piece.bars)
    fading = FadedDrawing(document, stays, Fade(step, cues=False))
    for line, whole in systems:
        faded = fading.system(whole)
        assert faded.widths == whole.widths
        assert (faded.top, faded.bottom) == (whole.top, whole.bottom)
        assert set(glyphs(faded.svg)) <= set(glyphs(whole.svg))
        for position, measure in zip(line, faded.measures, strict=True):
            text = etree.tostring(measure, encoding="unicode")
            heads = [(x, y) for code, x, y in glyphs(text) if is_struck(code)]
            if not bars & set(range(document.bars[position].first, document.bars[position].last + 1)):
                assert not heads
                # Beams and cut shapes are polygons; ties, slurs and open ties are curves.
                assert "<polygon" not in text
                assert not re.search(r' d="M[^"]*C', text)
                assert 'class="fing"' not in text
            for dash in ledger_dashes(measure):
                assert any(dash[0] <= x + 130 <= dash[1] for x, _ in heads)
        outside = etree.fromstring(faded.svg)
        assert bars or not [each for each in outside if (each.get("class") or "").split()[:1] in (["tie"], ["slur"])]


def test_a_tie_over_the_end_of_a_line_goes_on_both_sides_of_it(small: Any) -> None:
    piece, document, systems = engraved(small, "haydn/opus74no1/movement3.mxl", 1)
    own = {tie.get(XML_ID) for bar in document.bars for tie in bar.measure if tie.get("startid", "").startswith("#own")}
    fading = FadedDrawing(document, landmarks(piece, piece.player(1)), Fade(FadeStep.MARKS, cues=True))
    before = [name for _, whole in systems for name in tie_names(whole)]
    assert any(before.count(name) == 2 for name in own)
    assert own.isdisjoint(name for _, whole in systems for name in tie_names(fading.system(whole)))


def tie_names(system: EngravedSystem) -> list[str]:
    """The document's names of the ties in a drawing; a second part has them among its classes."""
    ties = re.findall(r'<g (?:id="(\w+)" )?class="tie(?: id-(\w+) spanning)?[ "]', system.svg)
    return [first or second for first, second in ties]


def ledger_dashes(measure: etree._Element) -> list[tuple[float, float]]:
    """Short horizontal lines of a staff that are none of its own, which are as long as the bar."""
    dashes = []
    for path in measure.iter(SVG + "path"):
        line = re.fullmatch(r"M(-?[\d.]+) (-?[\d.]+) L(-?[\d.]+) (-?[\d.]+)", path.get("d") or "")
        if line and line[2] == line[4] and float(line[3]) - float(line[1]) < 400:
            dashes.append((float(line[1]), float(line[3])))
    return dashes


def test_strokes_at_landmarks_are_the_heads_that_stay(small: Any) -> None:
    piece, document, systems = engraved(small, "", 1)
    player = piece.player(1)
    stays = landmarks(piece, player)
    fading = FadedDrawing(document, stays, Fade(FadeStep.LANDMARKS, cues=False))
    texts = {
        document.bars[position].first: etree.tostring(measure, encoding="unicode")
        for line, whole in systems
        for position, measure in zip(line, fading.system(whole).measures, strict=True)
    }
    for place in stays:
        pitches = [pitch for each in player.strokes if (each.bar, each.at) == place for pitch in each.pitches or (0,)]
        assert sum(is_struck(code) and code < 0xE200 for code, _, _ in glyphs(texts[place.bar])) >= len(pitches)


def test_cues_are_a_switch_of_their_own(small: Any) -> None:
    _, document, systems = engraved(small, "", 1)
    with_cues = FadedDrawing(document, (), Fade(FadeStep.BARS))
    without = FadedDrawing(document, (), Fade(FadeStep.ALL, cues=False))
    for _, whole in systems:
        names = set(re.findall(r'id="(cue-[^"]+)"', whole.svg))
        assert set(re.findall(r'id="(cue-[^"]+)"', with_cues.system(whole).svg)) == names
        bare = without.system(whole)
        assert 'id="cue-' not in bare.svg
        assert 'class="dir cue"' not in bare.svg
        assert set(re.findall(r'id="(own-[^"]+)"', bare.svg)) == set(re.findall(r'id="(own-[^"]+)"', whole.svg))
        assert bare.widths == whole.widths


def test_names_of_cue_staves_go_with_them(small: Any) -> None:
    _, document, systems = engraved(small, "", 2, Level.FULL)
    fading = FadedDrawing(document, (), Fade(FadeStep.ALL, cues=False))
    for _, whole in systems:
        before, after = labels(whole.svg), labels(fading.system(whole).svg)
        assert any(name.startswith("P") for name in before)
        assert after == [name for name in before if not name.startswith("P")]


def labels(svg: str) -> list[str]:
    groups = [g for g in etree.fromstring(svg) if (g.get("class") or "").startswith("label")]
    return ["".join(map(str, group.itertext())) for group in groups]


def test_only_the_bars_asked_for_fade(small: Any) -> None:
    piece, document, systems = engraved(small, "", 4)
    whole_bars = frozenset(range(len(piece.bars))) - frozenset(range(16, 40))
    fading = FadedDrawing(document, (), Fade(FadeStep.BARS, whole=whole_bars))
    for line, whole in systems:
        for position, before, after in zip(line, whole.measures, fading.system(whole).measures, strict=True):
            same = etree.tostring(before, with_tail=False) == etree.tostring(after, with_tail=False)
            assert same or document.bars[position].first in range(16, 40)


def test_pages_begin_with_the_same_bars_at_every_step(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["parts", SAMPLE, "--player", "1", "--out", str(tmp_path)]) == 0
    printed = (tmp_path / "quartet-prints.json").read_bytes()
    capsys.readouterr()
    for step in ("2", "4"):
        assert run(["parts", SAMPLE, "--player", "1", "--out", str(tmp_path), "--fade", step, "--json"]) == 0
        (made,) = json.loads(capsys.readouterr().out)
        assert list(made) == ["player", "pdf", "pages", "step", "cues"]
        for page, before in zip(
            pypdfium2.PdfDocument(made["pdf"]), pypdfium2.PdfDocument(tmp_path / "quartet-player-1.pdf"), strict=True
        ):
            numbers = [set(re.findall(r"\b\d+\b", text_of(each))) for each in (page, before)]
            assert numbers[0] - {step} <= numbers[1]
    assert (tmp_path / "quartet-prints.json").read_bytes() == printed


def text_of(page: Any) -> str:
    return str(page.get_textpage().get_text_bounded())


@pytest.mark.parametrize(
    "wrong", [["--fade", "5"], ["--fade", "2", "--fade-bars", "900"], ["--fade", "2", "--changed"]]
)
def test_what_cannot_fade_is_one_line(wrong: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["parts", SAMPLE, "--player", "1", "--out", str(tmp_path), *wrong]) == 2
    assert "Traceback" not in capsys.readouterr().err
    assert not list(tmp_path.glob("*.pdf"))


def test_a_picture_for_the_screen_fades_in_place(small: Any) -> None:
    reading = small.sample()
    sheet = choose_cues(reading.piece, 1, Level.USUAL)
    notes = EngravedPart(uncued_part(reading, sheet), reading.piece, sheet, STAFF_MM)
    whole = system_picture(notes, Request(range(16, 19), 100, (9, 18), staff=60.0, ink="#ffffff"))
    for step, glanced in ((FadeStep.LANDMARKS, ()), (FadeStep.MARKS, ()), (FadeStep.MARKS, (17,))):
        fade = Fade(step, whole=frozenset(glanced))
        faded = system_picture(notes, Request(range(16, 19), 100, (9, 18), staff=60.0, ink="#ffffff", fade=fade))
        assert (faded.places, faded.rows, faded.staff) == (whole.places, whole.rows, whole.staff)
        ink = [
            sum(1 for value in PIL.Image.open(io.BytesIO(each.png)).getchannel("A").tobytes() if value > 99)
            for each in (faded, whole)
        ]
        assert ink[0] < ink[1]
