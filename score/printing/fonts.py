"""Fonts for the pages, taken from the engraver's own installed data and unpacked for the page maker.

The engraver ships its music font and a text font as WOFF2 inside style sheets; nothing is copied into this
project. Unpacking takes as long as engraving a part, so it is done once for each version of the engraver and
kept in the user's cache folder; where that cannot be written, once a process.
"""

import base64
import io
import os
import re
import shutil
import time
from contextlib import suppress
from functools import cache
from pathlib import Path

from score.library_version import library_version

MUSIC, TEXT = "Leipzig", "Liberation Serif"
_A_DAY = 86400
"""Seconds."""
_DATA = re.compile(r"base64,\s*([A-Za-z0-9+/=\s]+)")


@cache
def font_folder() -> str:
    """A folder that holds the fonts as TTF or OTF files."""
    from platformdirs import user_cache_path

    cached = user_cache_path("inbreath", appauthor=False) / f"fonts-{library_version('verovio')}"
    if cached.is_dir():
        return str(cached)
    _clear_away(cached)
    fresh, beside = _unpacked(), cached.with_name(f"{cached.name}.{os.getpid()}")
    try:
        cached.parent.mkdir(parents=True, exist_ok=True)
        shutil.copytree(fresh, beside)
        # A folder appears whole or not at all; when another process was quicker, its folder is as good.
        beside.rename(cached)
    except OSError:
        shutil.rmtree(beside, ignore_errors=True)
        return str(cached if cached.is_dir() else fresh)
    return str(cached)


def _clear_away(cached: Path) -> None:
    """What processes left that were ended while they unpacked; one that unpacks just now is younger than a day."""
    for left in cached.parent.glob(f"{cached.name}.*"):
        with suppress(OSError):
            if left.suffix[1:].isdecimal() and time.time() - left.stat().st_mtime > _A_DAY:
                shutil.rmtree(left, ignore_errors=True)


def engraver_data() -> str:
    """The engraver's folder of resources."""
    return str(_engraver_data())


def _unpacked() -> Path:
    """The fonts in a folder that is removed when the process ends."""
    import atexit
    import tempfile

    folder = Path(tempfile.mkdtemp(prefix="inbreath-fonts-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    for sheet in sorted(_engraver_data().glob("*.css")):
        if sheet.stem.startswith(("Leipzig", "Liberation")):
            for count, packed in enumerate(_DATA.findall(sheet.read_text(encoding="utf-8"))):
                _unpack(base64.b64decode(packed), folder / f"{sheet.stem}-{count}.ttf")
    return folder


def _engraver_data() -> Path:
    import verovio

    return Path(verovio.__file__).parent / "data"


def _unpack(packed: bytes, target: Path) -> None:
    from fontTools.ttLib import TTFont

    # With the moment of unpacking in it, no two computers would write the same pages.
    font = TTFont(io.BytesIO(packed), recalcTimestamp=False)
    font.flavor = None
    font.save(target)
