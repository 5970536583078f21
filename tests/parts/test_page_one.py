"""The first page of a percussion part: what to bring, where it is written, how it stands; stickings on request."""

from itertools import combinations
from pathlib import Path
from typing import Any

import music21
import pypdfium2
import pytest
from pypdfium2.raw import FPDF_PAGEOBJ_PATH

from score.cues.cue_choice import choose_cues
from score.group.group_file import Group, read_group
from score.parts.drawn_staves import SVG
from score.parts.front_drawing import key_of_places, sketch_svg, written_places
from score.parts.paper import PageOptions, PartPages
from score.parts.part_pages import part_pages
from score.parts.uncued_part import uncued_part
from score.reading import read_score
from score.setup.player_notes import PlayerNotes, player_notes

CORPUS = Path(music21.__file__).parent / "corpus"
SAMPLES = Path(__file__).parents[2] / "samples"


def first_page(reading: Any, player: int, notes: PlayerNotes) -> tuple[PartPages, str]:
    sheet = choose_cues(reading.piece, player)
    made = part_pages(uncued_part(reading, sheet), reading.piece, sheet, PageOptions(), notes)
    return made, " ".join(pypdfium2.PdfDocument(made.pdf)[0].get_textpage().get_text_bounded().split())


def test_page_one_names_mallets_and_what_is_shared(small: Any) -> None:
    # Outside: the group's file beside the sample, and the words printed in the score.
    piece, group = small.sample().piece, read_group(SAMPLES / "quartet.group.toml")
    _, text = first_page(small.sample(), 1, player_notes(piece, group)[1])
    assert "Mallets: medium yarn, soft yarn, hard yarn, triangle beaters" in text
    assert "Shared: marimba with Player 2" in text
    assert "you" in text


def test_a_staff_of_several_instruments_has_a_key(small: Any) -> None:
    piece = small.sample("trio-noteheads").piece
    (places,) = written_places(piece.player(3)).values()
    # As the sample's source writes them: the bass drum in the lowest space, the tam-tam as a diamond above it.
    assert [(name.lower(), head) for _, head, name in places] == [("bass drum", "normal"), ("tam-tam", "diamond")]
    (key,) = key_of_places(places, 5, "", 170.0)
    heads = [group for measure in key.measures for group in measure.iter(SVG + "g") if group.get("class") == "notehead"]
    assert len(heads) == 2
    assert "Bass" in key.svg
    made, text = first_page(small.sample("trio-noteheads"), 3, PlayerNotes())
    assert text.index("Bass drum") < text.index("Steady")
    # Printed again, nothing of it has changed.
    assert first_page(small.sample("trio-noteheads"), 3, PlayerNotes())[0].printed == made.printed


def test_instruments_stand_in_the_sketch_as_their_player_sees_them(small: Any) -> None:
    notes = player_notes(small.sample().piece, Group())
    for player in (1, 2, 3):
        boxes = notes[player].sketch
        assert len(boxes) == 2
        # In front of the player, who stands at (0, 0); no corner behind them.
        assert all(y > 0 for box in boxes for _, y in box.corners)
        assert all(box.name.split()[0] in sketch_svg(boxes) for box in boxes)
    # The crotales stand beside the marimba, not before or behind it.
    marimba, other = notes[2].sketch
    assert (
        max(x for x, _ in marimba.corners) <= min(x for x, _ in other.corners) + 0.1
        or max(x for x, _ in other.corners) <= min(x for x, _ in marimba.corners) + 0.1
    )
    assert notes[4].sketch == ()  # one instrument needs no sketch


def test_names_in_the_sketch_lie_upon_nothing(small: Any) -> None:
    # Outside: the boxes of letters as PDFium measures them, on a kit of a published collection.
    reading = read_score(CORPUS / "demos" / "drum_sample.xml")
    made, _ = first_page(reading, 1, player_notes(reading.piece, Group())[1])
    page = pypdfium2.PdfDocument(made.pdf)[0]
    letters = page.get_textpage()
    boxes = [letters.get_charbox(index) for index in range(letters.count_chars())]
    texts = [letters.get_text_range(index, 1) for index in range(letters.count_chars())]
    sketch = [box for box, text in zip(boxes, texts, strict=True) if text.strip() and box[3] - box[1] < 7]
    sketch = [box for box in sketch if box[0] > 0.68 * page.get_width() and box[1] > 0.75 * page.get_height()]
    assert len(sketch) > 25
    for a, b in combinations(sketch, 2):
        across, down = min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])
        assert across < 0.4 or down < 0.4


def test_a_name_in_its_box_has_air_around_it(small: Any) -> None:
    # Outside: boxes of letters and frames as PDFium measures them, in points; half a millimetre is 1.4 of them.
    reading = small.sample("trio-ids")
    made, _ = first_page(reading, 3, player_notes(reading.piece, Group())[3])
    page = pypdfium2.PdfDocument(made.pdf)[0]
    letters = page.get_textpage()
    frames = [each.get_bounds() for each in page.get_objects(filter=[FPDF_PAGEOBJ_PATH])]
    for name in ("Bass", "drum", "Tam-tam"):
        for left, bottom, right, top in printed(letters, name):
            around = [box for box in frames if box[0] < left and box[1] < bottom and box[2] > right and box[3] > top]
            frame = min(around, key=lambda box: box[2] - box[0])
            assert min(left - frame[0], frame[2] - right, bottom - frame[1], frame[3] - top) > 1.4


def printed(page: Any, word: str) -> list[tuple[float, float, float, float]]:
    """The box of a word in the sketch, which is in the upper right of its page."""
    search, boxes = page.search(word, match_case=True), []
    while place := search.get_next():
        letters = [page.get_charbox(index) for index in range(place[0], place[0] + place[1])]
        lefts, bottoms, rights, tops = zip(*letters, strict=True)
        boxes.append((min(lefts), min(bottoms), max(rights), max(tops)))
    sketch = [box for box in boxes if box[0] > 400 and box[1] > 700]
    assert len(sketch) == 1
    return sketch


@pytest.mark.campaign
@pytest.mark.parametrize("player", [1, 4])
def test_suggested_stickings_are_in_italics_and_beside_what_is_printed(small: Any, player: int) -> None:
    reading = small.sample()
    notes = player_notes(reading.piece, Group(), stickings=True)[player]
    assert notes.stickings
    printed = {(stroke.bar, stroke.at) for stroke in reading.piece.player(player).strokes if stroke.stickings}
    assert not printed & {(each.bar, each.at) for each in notes.stickings}
    made, text = first_page(reading, player, notes)
    assert "Stickings in italics are suggestions" in text
    assert made.unprinted == ()
    plain, _ = first_page(reading, player, notes._replace(stickings=()))
    assert letters(made.pdf) - letters(plain.pdf) >= len(notes.stickings)


def letters(pdf: bytes) -> int:
    text = " ".join(page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(pdf))
    return sum(text.count(letter) for letter in "LR1234")


def two_instruments(small: Any, folder: Path, words: str = "") -> Any:
    """A part on a drum and then a cymbal, each bar with words over it."""

    def stroke(place: str) -> str:
        step, octave = place[0], place[1]
        return (
            f"<note><unpitched><display-step>{step}</display-step><display-octave>{octave}</display-octave></unpitched>"
            f'<duration>4</duration><instrument id="I-{place}"/><voice>1</voice><type>quarter</type></note>'
        )

    said = f'<direction placement="above"><direction-type><words>{words}</words></direction-type></direction>'
    drum, cymbal = ((said if words else "") + stroke(place) * 4 for place in ("C5", "A5"))
    small.score(folder, [drum] * 150 + [cymbal] * 150, [small.note(4)] * 300)
    path = folder / "small.musicxml"
    listed = "".join(
        f'<score-instrument id="I-{place}"><instrument-name>{name}</instrument-name></score-instrument>'
        for place, name in (("C5", "Snare drum"), ("A5", "Suspended cymbal"))
    )
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("</part-name>", f"</part-name>{listed}", 1), encoding="utf-8")
    return read_score(path)


def test_the_instrument_is_said_again_at_the_first_entry_of_a_page(small: Any, tmp_path: Path) -> None:
    made, _ = first_page(two_instruments(small, tmp_path), 1, PlayerNotes())
    pages = [page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(made.pdf)]
    assert len(pages) > 2
    assert "(snare drum)" not in pages[0]
    assert "(snare drum)" in pages[1]
    assert "(suspended cymbal)" in pages[-1]
    assert all(page.count("(snare drum)") + page.count("(suspended cymbal)") == 1 for page in pages[1:])


@pytest.mark.campaign
def test_an_instrument_said_again_stands_before_the_words_there(small: Any, tmp_path: Path) -> None:
    made, _ = first_page(two_instruments(small, tmp_path, "edge"), 1, PlayerNotes())
    assert made.page_count > 2
    assert not made.unprinted
    for page in list(pypdfium2.PdfDocument(made.pdf))[1:]:
        lines = [" ".join(line.split()) for line in page.get_textpage().get_text_bounded().splitlines()]
        assert [line for line in lines if "drum) edge" in line or "cymbal) edge" in line]
