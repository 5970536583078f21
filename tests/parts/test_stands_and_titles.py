"""Pages for real stands and real titles: small scores that were refused, ran out of the margins or were misread."""

import io
import re
from collections.abc import Callable
from itertools import pairwise
from math import isinf
from pathlib import Path
from typing import Any

import music21
import pypdfium2
import pytest
from fontTools.ttLib import TTFont

from score.cues.cue_choice import choose_cues
from score.cues.sheet import Level
from score.errors import RequestError
from score.parts.paper import PAPERS, PageOptions, PartPages, paper_named
from score.parts.part_pages import part_pages
from score.parts.uncued_part import uncued_part
from score.printing.fonts import font_folder
from score.printing.text_width import lines_of, shortened, text_width
from score.printing.typesetting import quoted
from score.reading import read_score

pytestmark = pytest.mark.campaign

MM = 25.4 / 72
SAMPLE = Path(__file__).parents[2] / "samples" / "quartet.musicxml"
LONG_TITLE = "A title that a composer fond of words has written over more than one line, as some do, and then on" * 2
Pages = Callable[..., PartPages]


def score(bars: int, title: str, head: str = "", first_words: str = "", low: bool = False) -> str:
    """A duo: player 1 strikes quarters in every bar, player 2 rests."""
    words = (
        f"<direction><direction-type><words>{first_words}</words></direction-type></direction>" if first_words else ""
    )
    clef = "<clef><sign>G</sign><line>2</line></clef>"
    opening = (
        f"<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time>{clef}</attributes>"
    )
    pitch = (
        "<pitch><step>C</step><octave>1</octave></pitch>" if low else "<pitch><step>C</step><octave>5</octave></pitch>"
    )
    note = f"<note>{pitch}<duration>1</duration><type>quarter</type></note>"
    rest = '<note><rest measure="yes"/><duration>4</duration></note>'
    parts = ""
    for name, content in (("P1", note * 4), ("P2", rest)):
        measures = "".join(
            f'<measure number="{n}">{opening + words * (name == "P1") if n == 1 else ""}{content}</measure>'
            for n in range(1, bars + 1)
        )
        parts += f'<part id="{name}">{measures}</part>'
    return (
        f'<score-partwise version="4.0"><work><work-title>{title}</work-title></work>{head}<part-list>'
        '<score-part id="P1"><part-name>Marimba</part-name></score-part>'
        f'<score-part id="P2"><part-name>Vibraphone</part-name></score-part></part-list>{parts}</score-partwise>'
    )


@pytest.fixture
def pages_of(tmp_path: Path) -> Pages:
    def engraved(music: str, options: PageOptions | None = None, player: int = 1) -> PartPages:
        path = tmp_path / "small.musicxml"
        path.write_text(music, encoding="utf-8")
        reading = read_score(path)
        sheet = choose_cues(reading.piece, player, Level.USUAL)
        return part_pages(uncued_part(reading, sheet), reading.piece, sheet, options or PageOptions())

    return engraved


def sample(player: int, **options: Any) -> PartPages:
    reading = read_score(SAMPLE)
    sheet = choose_cues(reading.piece, player, Level.USUAL)
    return part_pages(uncued_part(reading, sheet), reading.piece, sheet, PageOptions()._replace(**options))


def words_of(pages: PartPages) -> list[str]:
    return [" ".join(page.get_textpage().get_text_bounded().split()) for page in pypdfium2.PdfDocument(pages.pdf)]


@pytest.mark.parametrize("bars", [1, 2, 3])
def test_a_piece_of_one_system_is_engraved(pages_of: Pages, bars: int) -> None:
    # Without a break in the document the engraver used to break it for itself, and the part was refused.
    for player in (1, 2):
        assert pages_of(score(bars, "Short"), player=player).page_count == 1
    wide = pages_of(score(bars, "Short"), PageOptions("tablet", 10.0))
    assert wide.page_count == 1


def test_letters_are_filled_and_not_stroked(pages_of: Pages) -> None:
    # ISO 32000-1, 9.3.6: text rendering mode 0 fills; 2 fills and strokes, which looks bold and fills figures in.
    pages = pages_of(score(3, "Filled", first_words="with soft mallets"))
    modes = set()
    for page in pypdfium2.PdfDocument(pages.pdf):
        for item in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_TEXT], max_depth=8):
            modes.add(pypdfium2.raw.FPDFTextObj_GetTextRenderMode(item.raw))
    assert modes == {0}


def edges(pages: PartPages) -> list[tuple[float, float]]:
    """Left and right edge of every text in mm, page by page."""
    found = []
    for page in pypdfium2.PdfDocument(pages.pdf):
        for item in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_TEXT], max_depth=8):
            left, _, right, _ = item.get_bounds()
            found.append((left * MM, right * MM))
    return found


def test_long_titles_wrap_inside_the_margins(pages_of: Pages) -> None:
    pages = pages_of(score(120, LONG_TITLE))
    assert LONG_TITLE in words_of(pages)[0]
    # Bar numbers, which are narrow, stand before the staff.
    assert all(left > 18.5 and right < 210 - 18.5 for left, right in edges(pages) if right - left > 8)
    # The running head is one line: shortened, and it still names the player.
    assert re.search(r"…, Marimba", words_of(pages)[1])


def test_title_block_and_music_do_not_overlap(pages_of: Pages) -> None:
    first = pypdfium2.PdfDocument(pages_of(score(120, LONG_TITLE)).pdf)[0]
    boxes = [item.get_bounds() for item in first.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_TEXT], max_depth=8)]
    large = [bottom for left, bottom, right, top in boxes if top - bottom > 3.5 / MM * 0.9 and bottom > 300]
    lines = [
        item.get_bounds()[3]
        for item in first.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_PATH], max_depth=8)
        if item.get_bounds()[2] - item.get_bounds()[0] > 20 / MM
    ]
    assert large
    assert min(large) > max(lines)


def test_a_title_taken_from_the_files_name_stands_in_brackets(small: Any, tmp_path: Path) -> None:
    # AACR2 1.1B7 (from memory): a title that does not stand on the item is supplied in square brackets.
    reading = small.score(tmp_path, [small.note(4)])
    assert " ".join(words_of(small.pages(reading, 1))).startswith("[small] Player 1 1")
    named = reading.source.path.rename(tmp_path / "an_old_rag.musicxml")
    assert read_score(named).piece.heading == "[an old rag]"
    assert small.sample().piece.heading == "Low Water, Four Lanterns"


def test_composer_arranger_and_copyright_stand_on_page_one(pages_of: Pages) -> None:
    # MusicXML 4.0: creator, type composer and arranger; rights.
    head = (
        '<identification><creator type="composer">C. Omposer</creator><creator type="arranger">A. Rranger</creator>'
        "<rights>© 2026 the writer &amp; friends</rights></identification>"
    )
    first, second = words_of(pages_of(score(120, "Named", head)))[:2]
    for said in ("C. Omposer", "arr. A. Rranger", "© 2026 the writer & friends"):
        assert said in first
        assert said not in second


def test_a_title_that_leaves_no_room_has_a_page_to_itself(pages_of: Pages) -> None:
    pages = pages_of(score(12, LONG_TITLE * 3), PageOptions("150x130 mm", 9.0))
    first, second = words_of(pages)[:2]
    assert " ".join(LONG_TITLE.split()) in first
    assert re.search(r"…, Marimba", second)
    sheet = pypdfium2.PdfDocument(pages.pdf)[0]
    assert not list(sheet.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_PATH], max_depth=8))
    assert not [line for line in pages.warnings if "too tall" in line]
    assert all(turn.page > 1 for turn in pages.turns)


@pytest.mark.parametrize("paper", ["a4", "tablet", "150x200 mm"])
def test_no_letter_stands_at_the_edge_of_the_paper(pages_of: Pages, paper: str) -> None:
    head = f"<identification><rights>{LONG_TITLE}</rights></identification>"
    for page in pypdfium2.PdfDocument(pages_of(score(60, LONG_TITLE, head), PageOptions(paper)).pdf):
        for item in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_TEXT], max_depth=8):
            left, bottom, right, top = (edge * MM for edge in item.get_bounds())
            assert left > 3
            assert bottom > 2.5
            assert right < page.get_width() * MM - 3
            assert top < page.get_height() * MM - 2.5


WIDTHS = {
    # ISO 216; ANSI/ASME Y14.1; an inch is 25.4 mm.
    "a4": (210.0, 297.0),
    "b4": (250.0, 353.0),
    "letter": (8.5 * 25.4, 11 * 25.4),
    "9x12": (9 * 25.4, 12 * 25.4),
    "10x13": (10 * 25.4, 13 * 25.4),
    "210x280 mm": (210.0, 280.0),
    "8 x 10 in": (203.2, 254.0),
    "18×24cm": (180.0, 240.0),
}


@pytest.mark.parametrize("name", WIDTHS)
def test_paper_has_its_size(pages_of: Pages, name: str) -> None:
    for page in pypdfium2.PdfDocument(pages_of(score(60, "Sized"), PageOptions(name)).pdf):
        assert (page.get_width() * MM, page.get_height() * MM) == pytest.approx(WIDTHS[name], abs=0.1)


def test_a_tablet_is_three_to_four() -> None:
    paper = PAPERS["tablet"]
    assert paper.width / paper.height == pytest.approx(3 / 4, abs=0.01)


@pytest.mark.parametrize("name", ["foolscap", "210", "20x30 mm", "2000x3000", "-210x280", "210x280 miles", ""])
def test_paper_that_is_none_is_one_line(name: str) -> None:
    with pytest.raises(RequestError) as refused:
        paper_named(name)
    assert "--" not in refused.value.line


def test_the_staff_is_seven_and_a_half_by_default() -> None:
    # Orchestra librarians' guidelines of 2017, quoted from memory: best 7.5 mm.
    assert PageOptions().staff_mm == 7.5


def test_with_pages_side_by_side_only_the_last_says_when_to_turn() -> None:
    for count in (1, 2, 3):
        pages = sample(4, side_by_side=count)
        turned = {turn.page for turn in pages.turns}
        assert turned == {n for n in range(1, pages.page_count) if n % count == 0}
        for number, text in enumerate(words_of(pages), start=1):
            assert ("turn:" in text) == (number in turned)


def test_a_booklet_turns_after_right_hand_pages_or_before_a_blank_one() -> None:
    for player in (1, 2, 3, 4):
        pages = sample(player, booklet=True)
        texts = words_of(pages)
        blank = {n for n, text in enumerate(texts, start=1) if "blank for the turn" in text}
        assert all(turn.page % 2 == 1 or turn.page + 1 in blank for turn in pages.turns)
        assert all(n % 2 == 1 for n in blank)
        assert all(isinf(turn.seconds) or turn.seconds >= 2 for turn in pages.turns)


def test_a_booklet_leaves_a_page_blank_where_only_that_saves_a_turn(pages_of: Pages) -> None:
    # Hands are free only after bar 150, a few pages from the beginning: page 1 or one before the rest stays blank.
    music = score(300, "Busy")
    rest = '<note><rest measure="yes"/><duration>4</duration></note>'
    head, _, tail = music.partition('<measure number="150">')
    played, _, after = tail.partition("</measure>")
    pages = pages_of(f'{head}<measure number="150">{rest}</measure>{after}', PageOptions(booklet=True))
    assert played
    blank = [n for n, page in enumerate(pypdfium2.PdfDocument(pages.pdf), start=1) if not staff_lines(page)]
    assert blank
    assert len(blank) < pages.page_count


def staff_lines(page: Any) -> int:
    """How many long lines a page has."""
    paths = page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_PATH], max_depth=8)
    return sum(item.get_bounds()[2] - item.get_bounds()[0] > 20 / MM for item in paths)


def test_a_pedal_needs_less_time() -> None:
    assert sum("must be turned" in line for line in sample(4, min_turn_seconds=0.3).warnings) <= sum(
        "must be turned" in line for line in sample(4).warnings
    )


def test_every_page_fits_even_where_the_music_is_taller_than_thought(pages_of: Pages) -> None:
    # Ledger lines far below the staff; the feet of the pages stay free.
    pages = pages_of(score(150, "Deep", low=True))
    assert not [line for line in pages.warnings if "too tall" in line]
    for page in pypdfium2.PdfDocument(pages.pdf):
        for item in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_PATH], max_depth=8):
            assert item.get_bounds()[1] * MM > 18.0


HOSTILE = [
    '#panic("x")',
    "\\u{41} \\",
    '"); #import "/etc/passwd"; ("',
    "]#sys.version[",
    "href=&quot;#nothing&quot; d=&quot;1e9&quot; y=&quot;-99999&quot;",
    "&lt;image href=&quot;file:///etc/passwd&quot;/&gt;",
    "a\u202eb\u0085c",
]


@pytest.mark.parametrize("text", HOSTILE)
def test_no_text_of_a_score_is_acted_upon(pages_of: Pages, text: str) -> None:
    head = f'<identification><creator type="composer">{text}</creator><rights>{text}</rights></identification>'
    pages = pages_of(score(4, text, head, first_words=text))
    plain = text.replace("&quot;", '"').replace("&lt;", "<").replace("&gt;", ">")
    plain = re.sub("[\u202e\u0085]", "", plain)
    squeezed = "".join("".join(words_of(pages)).split())
    assert squeezed.count("".join(plain.split())) >= 3
    assert pages.page_count == 1


def test_strings_of_the_page_maker_hold_every_letter() -> None:
    assert quoted('a"\\b\n') == '"a\\"\\\\b\\n"'
    assert quoted("a\x1b\x9b\u202e\u2066b") == '"ab"'


@pytest.mark.parametrize(("cut", "bold"), [("Regular", False), ("Bold", True)])
def test_widths_are_those_of_the_font(cut: str, bold: bool) -> None:
    # Outside: the font's own tables, read by fontTools.
    fonts = [TTFont(io.BytesIO(path.read_bytes())) for path in Path(font_folder()).glob("Liberation*")]
    font = next(font for font in fonts if font["name"].getDebugName(2) == cut)
    letters, widths, units = font.getBestCmap(), font["hmtx"], font["head"].unitsPerEm
    text = "Waltz for four players & friends, ‘Größe’ – 1986 (Ø)"
    wanted = sum(widths[letters[ord(letter)]][0] for letter in text) / units * 12 * MM
    assert text_width(text, 12, bold) == pytest.approx(wanted, rel=0.001)


def test_lines_break_between_words_and_fill_the_width() -> None:
    text = " ".join(["timpani", "bowl", "of", "water"] * 20)
    lines = lines_of(text, 80, 10)
    assert " ".join(lines) == text
    assert all(text_width(line, 10) <= 80 for line in lines)
    assert all(text_width(f"{a} {b.split()[0]}", 10) > 80 for a, b in pairwise(lines))
    assert all(text_width(line, 10) <= 80 for line in lines_of("m" * 200, 80, 10))
    assert text_width(shortened(text, 50, 10), 10) <= 50
    assert shortened("short", 50, 10) == "short"


def test_the_public_test_suite_is_engraved_for_every_player() -> None:
    # The MusicXML test suite inside music21: the short pieces of it that are read.
    suite = Path(music21.__file__).parent / "musicxml" / "lilypondTestSuite"
    for name in ("22a", "22b", "72a", "11a", "11h", "32a"):
        reading = read_score(next(suite.glob(f"{name}*")))
        for player in reading.piece.players:
            sheet = choose_cues(reading.piece, player.number, Level.USUAL)
            assert part_pages(uncued_part(reading, sheet), reading.piece, sheet, PageOptions()).page_count >= 1


def test_bars_are_numbered_as_a_player_calls_them(pages_of: Pages) -> None:
    music = re.sub(r'<measure number="(\d+)">', r'<measure number="INDEX0_MOVEMENT1_MEASURE\1">', score(40, "Called"))
    words = words_of(pages_of(music))[0].split()
    assert not [word for word in words if "MEASURE" in word]
    assert len([word for word in words if word.isdigit()]) > 2
