"""Fonts are unpacked once and found again; where nothing can be kept, they are still there."""

from pathlib import Path

import platformdirs
import pytest
from fontTools.ttLib import TTFont

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
