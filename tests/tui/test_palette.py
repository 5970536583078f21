"""Colours against published measures, letters against the width and range of what replaces them.

Contrast: WCAG 2.2, success criterion 1.4.3 (4.5 for text). Difference: Euclidean distance in OKLab (Ottosson 2020),
under the simulation of Machado, Oliveira and Fernandes (IEEE TVCG 15:6, 2009), matrices of severity 1.
"""

import asyncio
import re
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from rich.cells import cell_len

import tui
from tests.tui.stand_steps import holds, text_of, until
from tui.drawing.letters import plain, wants_plain
from tui.drawing.palette import DARK, DARK_GREYS, LIGHT, LIGHT_GREYS, Palette, contrast, ink_on, mixed, palette, style
from tui.settings import Settings

ALL = [DARK, LIGHT, DARK_GREYS, LIGHT_GREYS]
VISIONS = {
    "usual": np.eye(3),
    "protan": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "deutan": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "tritan": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]
    ),
}
TO_LMS = np.array(
    [
        [0.4122214708, 0.5363325363, 0.0514459929],
        [0.2119034982, 0.6806995451, 0.1073969566],
        [0.0883024619, 0.2817188376, 0.6299787005],
    ]
)
TO_LAB = np.array(
    [
        [0.2104542553, 0.7936177850, -0.0040720468],
        [1.9779984951, -2.4285922050, 0.4505937099],
        [0.0259040371, 0.7827717662, -0.8086757660],
    ]
)


def linear(colour: str) -> np.ndarray:
    share = np.array([int(colour[first : first + 2], 16) for first in (1, 3, 5)]) / 255
    return np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)


def closest(colours: tuple[str, ...], vision: np.ndarray) -> float:
    """The smallest distance between two of the colours, a hundred from black to white."""
    seen = [TO_LAB @ np.cbrt(TO_LMS @ np.clip(vision @ linear(colour), 0, 1)) for colour in colours]
    return min(100 * float(np.linalg.norm(a - b)) for a, b in combinations(seen, 2))


def test_contrast_is_that_of_the_guideline() -> None:
    # Examples of the guideline's own: black on white is 21, #777777 on white 4.48 (just too little).
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize("colours", ALL)
def test_text_is_read_on_every_ground(colours: Palette) -> None:
    for ink in (*colours.players, colours.ink, colours.faint, colours.good, colours.caution, colours.bad):
        assert contrast(ink, colours.ground) >= 4.5
        assert contrast(ink, colours.field) >= 4.5
    for ground in (colours.panel, colours.chosen, colours.lit):
        assert contrast(colours.ink, ground) >= 4.5
    assert contrast(colours.faint, colours.panel) >= 4.5
    for head in colours.players:
        assert contrast(ink_on(head), head) >= 4.5


@pytest.mark.parametrize("vision", VISIONS)
def test_players_stay_apart_for_every_eye(vision: str) -> None:
    assert closest(DARK.players, VISIONS[vision]) >= 7
    # On a light ground colours that are dark enough to read lie closer; the number beside them carries it.
    assert closest(LIGHT.players, VISIONS[vision]) >= 4.3


@pytest.mark.parametrize("colours", [DARK_GREYS, LIGHT_GREYS])
def test_without_colour_there_are_only_greys(colours: Palette) -> None:
    for colour in (*colours.players, *(value for value in colours if isinstance(value, str))):
        assert len({colour[1:3], colour[3:5], colour[5:7]}) == 1
    assert len(set(colours.players)) == len(colours.players)


def test_a_palette_is_chosen_by_ground_and_colour() -> None:
    assert palette(True) is DARK
    assert palette(False, coloured=False) is LIGHT_GREYS
    assert DARK.player(7) == DARK.player(1)
    assert mixed("#000000", "#ffffff", 0.5) == "#808080"
    assert DARK.dimmed("#56b4e9", 1.0) == "#56b4e9"
    assert style("#56b4e9", "#000000", bold=True) == "bold #56b4e9 on #000000"


def test_every_sign_of_the_screens_has_a_plain_letter_as_wide() -> None:
    signs = set()
    for file in Path(tui.__file__).parent.rglob("*.py"):
        if file.name != "letters.py":
            text = file.read_text(encoding="utf-8")
            signs |= {sign for sign in text if not sign.isascii()}
            signs |= {chr(int(code, 16)) for code in re.findall(r"\\u([0-9a-fA-F]{4})", text)}
    shown = {sign for sign in signs if cell_len(sign)}
    assert shown
    assert all(plain(sign) != "?" and len(plain(sign)) == cell_len(sign) for sign in shown)


def test_plain_letters_keep_the_width_of_anything() -> None:
    for text in ("╭─ Müller ─╮", "▁▃▅▇ ⠉⠒⠶⠤⣀", "三味線 1", "a\u0301", "№ 5", "𝄞"):
        changed = plain(text)
        assert all(ord(letter) < 127 for letter in changed)
        assert len(changed) == cell_len(text)
    assert plain("Müller, Ørsted, Žižka") == "Muller, Orsted, Zizka"
    assert len({plain(sign) for sign in "⠉⠒⠶⠤⣀"}) == 5  # early to late stays told apart


@pytest.mark.parametrize(
    ("setting", "encoding", "terminal", "is_plain"),
    [
        ("auto", "utf-8", "xterm-256color", False),
        ("auto", "UTF-8", "", False),
        ("auto", "utf8", "tmux-256color", False),
        ("auto", "iso8859-1", "xterm", True),
        ("auto", "ANSI_X3.4-1968", "xterm", True),
        ("auto", None, "xterm", True),
        ("auto", "utf-8", "linux", True),
        ("auto", "utf-8", "dumb", True),
        ("plain", "utf-8", "xterm-256color", True),
    ],
)
def test_plain_letters_where_nothing_else_can_be_drawn(
    setting: str, encoding: str | None, terminal: str, is_plain: bool
) -> None:
    assert wants_plain(setting, encoding, terminal) is is_plain


def test_plain_letters_reach_every_cell_of_the_screen(stand, score: Path) -> None:
    app = stand(score, Settings(letters="plain"))

    async def drawn() -> str:
        async with app.run_test(size=(80, 24)) as pilot:
            await until(pilot, "AskOne")
            await holds(pilot, lambda: "Which player" in text_of(app))
            strips = app.screen._compositor.render_strips()
            return "".join(segment.text for strip in strips for segment in strip)

    cells = asyncio.run(drawn())
    assert all(ord(letter) < 127 for letter in cells)
    assert "+-" in cells  # the frame is still one
