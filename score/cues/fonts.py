"""Fonts for the pages, taken from the engraver's own installed data and unpacked for the page maker.

The engraver ships its music font and a text font as WOFF2 inside style sheets; nothing is copied into this
project. They are unpacked once a process.
"""

import base64
import io
import re
from functools import cache
from pathlib import Path

MUSIC, TEXT = "Leipzig", "Liberation Serif"
_DATA = re.compile(r"base64,\s*([A-Za-z0-9+/=\s]+)")


@cache
def font_folder() -> str:
    """A folder with the fonts as TTF or OTF; made on first use and removed when the process ends."""
    import atexit
    import shutil
    import tempfile

    folder = Path(tempfile.mkdtemp(prefix="inbreath-fonts-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    for sheet in sorted(_engraver_data().glob("*.css")):
        if sheet.stem.startswith(("Leipzig", "Liberation")):
            for count, packed in enumerate(_DATA.findall(sheet.read_text(encoding="utf-8"))):
                _unpack(base64.b64decode(packed), folder / f"{sheet.stem}-{count}.ttf")
    return str(folder)


def engraver_data() -> str:
    """The engraver's folder of resources."""
    return str(_engraver_data())


def _engraver_data() -> Path:
    import verovio

    return Path(verovio.__file__).parent / "data"


def _unpack(packed: bytes, target: Path) -> None:
    from fontTools.ttLib import TTFont

    font = TTFont(io.BytesIO(packed))
    font.flavor = None
    font.save(target)
