"""Words above the music stay between the margins, measured in the PDF."""

from pathlib import Path
from typing import Any

import music21
import pypdfium2

from score.reading import read_score

CORPUS = Path(music21.__file__).parent / "corpus"
MM = 25.4 / 72


def test_no_word_reaches_beyond_the_last_barline(small: Any) -> None:
    # Outside: the widths of letters as PDFium measures them; the margin is 19 mm.
    reading = read_score(CORPUS / "mozart" / "k156" / "movement1.mxl")
    pdf = small.pages(reading, 3).pdf
    for page in pypdfium2.PdfDocument(pdf):
        letters = page.get_textpage()
        boxes = [letters.get_charbox(index) for index in range(letters.count_chars())]
        rights = [right * MM for left, _, right, _ in boxes if right > left]  # blanks have no width
        assert "Violin" in letters.get_text_range()
        assert 150 < max(rights) < page.get_width() * MM - 18.5
