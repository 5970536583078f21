"""Colours of the screens: one set for dark grounds, one for light ones, and greys where colour is not wanted.

A player's colour belongs to the player's number, for everybody in the group. Beside every colour stands a number, a
letter or a word: colour alone says nothing. The dark set is that of Okabe and Ito (Color Universal Design, 2008; also
Wong, Nature Methods 8:441, 2011), which stays apart under every kind of colour vision.
"""

from functools import lru_cache
from typing import NamedTuple

_BLACK, _WHITE = "#000000", "#ffffff"


class Palette(NamedTuple):
    """The colours of one kind of screen, "#rrggbb" each.

    Attributes:
        players: of players 1, 2, 3 …; from the seventh on they begin again.
        ground: behind everything.
        panel: behind headings and the foot.
        field: behind one's own staff.
        chosen: behind the row or box where the cursor stands.
        lit: behind the beat that sounds.
        head: behind the moment that sounds, on the ruler.
        line: staff lines, bar lines and frames.
        ink: letters.
        faint: letters that matter less; still easily read.
        good, caution, bad: what is well, what wants a look, what is wrong.
        is_dark: whether the ground is dark.
    """

    players: tuple[str, ...]
    ground: str
    panel: str
    field: str
    chosen: str
    lit: str
    head: str
    line: str
    ink: str
    faint: str
    good: str
    caution: str
    bad: str
    is_dark: bool

    def player(self, number: int) -> str:
        """Colour of a player, by the player's number from 1."""
        return self.players[(number - 1) % len(self.players)]

    def dimmed(self, colour: str, share: float = 0.5, ground: str = "") -> str:
        """A colour with so much of it left (0 to 1) over the ground, or over another colour."""
        return mixed(ground or self.ground, colour, share)


DARK = Palette(
    players=("#56b4e9", "#e69f00", "#009e73", "#cc79a7", "#f0e442", "#d55e00"),
    ground="#0f1216",
    panel="#1c242d",
    field="#131a21",
    chosen="#22303d",
    lit="#26394b",
    head="#d7dee6",
    line="#4b5763",
    ink="#d7dee6",
    faint="#8b96a1",
    good="#00b080",
    caution="#e69f00",
    bad="#e8743b",
    is_dark=True,
)

LIGHT = Palette(
    players=("#0072b2", "#9a5b00", "#00704f", "#a23b78", "#332200", "#3b1f8c"),
    ground="#f7f5f0",
    panel="#e6e2d8",
    field="#ffffff",
    chosen="#cfdeec",
    lit="#cfe0f2",
    head="#1a1d21",
    line="#a3a39c",
    ink="#1a1d21",
    faint="#5a5f65",
    good="#00704f",
    caution="#8a5200",
    bad="#a83200",
    is_dark=False,
)

DARK_GREYS = DARK._replace(
    players=("#e0e0e0", "#c4c4c4", "#a8a8a8", "#8e8e8e", "#d2d2d2", "#b6b6b6"),
    ground="#101010",
    panel="#242424",
    field="#1a1a1a",
    chosen="#333333",
    lit="#3c3c3c",
    head="#dedede",
    line="#575757",
    ink="#dedede",
    faint="#969696",
    good="#dedede",
    caution="#f0f0f0",
    bad="#ffffff",
)

LIGHT_GREYS = LIGHT._replace(
    players=("#1c1c1c", "#363636", "#4e4e4e", "#646464", "#292929", "#424242"),
    ground="#f5f5f5",
    panel="#e2e2e2",
    field="#ffffff",
    chosen="#d4d4d4",
    lit="#d0d0d0",
    head="#1c1c1c",
    line="#a2a2a2",
    ink="#1c1c1c",
    faint="#5e5e5e",
    good="#1c1c1c",
    caution="#101010",
    bad="#000000",
)


def palette(is_dark: bool, coloured: bool = True) -> Palette:
    """The colours for a dark or a light ground; greys where colour is not wanted (NO_COLOR)."""
    if coloured:
        return DARK if is_dark else LIGHT
    return DARK_GREYS if is_dark else LIGHT_GREYS


@lru_cache(4096)
def mixed(ground: str, colour: str, share: float) -> str:
    """A colour between a ground (share 0) and a colour (share 1), "#rrggbb"."""
    pairs = zip(_channels(ground), _channels(colour), strict=True)
    return "#" + "".join(f"{round(below + (above - below) * share):02x}" for below, above in pairs)


def ink_on(colour: str) -> str:
    """Black or white, whichever is read more easily on a colour."""
    return max((_BLACK, _WHITE), key=lambda ink: contrast(ink, colour))


def contrast(one_colour: str, other: str) -> float:
    """Contrast of two colours, 1 to 21, as WCAG 2.2 defines it."""
    darker, lighter = sorted((_luminance(one_colour), _luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def style(ink: str, ground: str = "", *, bold: bool = False, italic: bool = False) -> str:
    """A style as rich spells it: letters in a colour, on a ground or on whatever is there."""
    words = [word for word, wanted in (("bold", bold), ("italic", italic)) if wanted]
    return " ".join((*words, ink, *(("on", ground) if ground else ())))


def _channels(colour: str) -> tuple[int, int, int]:
    red, green, blue = (int(colour[first : first + 2], 16) for first in (1, 3, 5))
    return red, green, blue


def _luminance(colour: str) -> float:
    red, green, blue = (_linear(channel / 255) for channel in _channels(colour))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(channel: float) -> float:
    return channel / 12.92 if channel <= 0.04045 else float(((channel + 0.055) / 1.055) ** 2.4)
