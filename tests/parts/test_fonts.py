"""Fonts are unpacked once and found again; where nothing can be kept, they are still there."""

import base64
import os
import re
from pathlib import Path

import platformdirs
import pytest
import verovio
from fontTools.ttLib import TTFont

from score.library_version import library_version
from score.printing import fonts


def families(folder: str) -> set[str]:
    return {str(TTFont(path)["name"].getDebugName(1)) for path in Path(folder).glob("*.ttf")}


def test_fonts_are_kept_and_found_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(platformdirs, "user_cache_path", lambda *_, **__: tmp_path / "cache")
    fonts.font_folder.cache_clear()
    first = fonts.font_folder()
    assert {fonts.MUSIC, fonts.TEXT} <= families(first)
    assert Path(first).parent == tmp_path / "cache"
    fonts.font_folder.cache_clear()
    monkeypatch.setattr(fonts, "_unpacked", lambda: pytest.fail("unpacked again"))
    assert fonts.font_folder() == first
    fonts.font_folder.cache_clear()


def test_fonts_are_there_where_nothing_can_be_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "cache").write_text("a file where the folder should be")
    monkeypatch.setattr(platformdirs, "user_cache_path", lambda *_, **__: tmp_path / "cache" / "inbreath")
    fonts.font_folder.cache_clear()
    assert {fonts.MUSIC, fonts.TEXT} <= families(fonts.font_folder())
    fonts.font_folder.cache_clear()


def test_fonts_are_the_same_whenever_they_are_unpacked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # fontTools takes the time from this variable (reproducible-builds.org) where it writes one.
    sheet = next((Path(verovio.__file__).parent / "data").glob("Leipzig*.css"))
    packed = base64.b64decode(re.findall(r"base64,\s*([A-Za-z0-9+/=\s]+)", sheet.read_text(encoding="utf-8"))[0])
    for seconds in ("0", "86400"):
        monkeypatch.setenv("SOURCE_DATE_EPOCH", seconds)
        fonts._unpack(packed, tmp_path / seconds)
    assert (tmp_path / "0").read_bytes() == (tmp_path / "86400").read_bytes()


def test_what_ended_processes_left_behind_goes_when_fonts_are_unpacked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(platformdirs, "user_cache_path", lambda *_, **__: tmp_path)
    fresh, name = tmp_path / "fresh", f"fonts-{library_version('verovio')}"
    monkeypatch.setattr(fonts, "_unpacked", lambda: fresh)
    for folder in ("fresh", f"{name}.101", f"{name}.102", "fonts-0.1", f"{name}.mine"):
        (tmp_path / folder).mkdir()
        (tmp_path / folder / "font.ttf").touch()
        if not folder.endswith("102"):
            os.utime(tmp_path / folder, (0, 0))
    fonts.font_folder.cache_clear()
    fonts.font_folder()
    # What is unpacked just now stays, and so does what is another's.
    assert {each.name for each in tmp_path.iterdir()} == {"fresh", name, f"{name}.102", "fonts-0.1", f"{name}.mine"}
    fonts.font_folder.cache_clear()


def test_whoever_unpacks_too_late_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(platformdirs, "user_cache_path", lambda *_, **__: tmp_path / "cache")
    unpacked = fonts._unpacked

    def slowly() -> Path:
        quicker = tmp_path / "cache" / f"fonts-{library_version('verovio')}"
        quicker.mkdir(parents=True)
        (quicker / "font.ttf").touch()
        return unpacked()

    monkeypatch.setattr(fonts, "_unpacked", slowly)
    fonts.font_folder.cache_clear()
    assert [Path(fonts.font_folder())] == list((tmp_path / "cache").iterdir())
    fonts.font_folder.cache_clear()
