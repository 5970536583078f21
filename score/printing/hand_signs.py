"""What the group has agreed, as it is written over printed music: drawn signs, words in a typeface of its own.

The slanted letters, all as wide as each other, are unlike any the engraver uses: nobody takes them for the composer's.
"""

from enum import StrEnum
from html import escape
from typing import NamedTuple

HAND = "DejaVu Sans Mono"
"""The page maker brings it along."""
LETTER = 1233 / 2048
"""Width of every letter in its size: the font's own figure."""
_AFTER = 0.3


class HandSign(StrEnum):
    """A sign before the words."""

    NONE = "none"
    BREATH = "breath"
    LEAD = "lead"
    LOOK = "look"


# In letter sizes, on the line the words stand on, y downwards: a comma, an arrow, a pair of spectacles.
_WIDTHS = {HandSign.NONE: 0.0, HandSign.BREATH: 0.34, HandSign.LEAD: 0.82, HandSign.LOOK: 1.3}
_PATHS = {
    HandSign.BREATH: '<path d="M0.05 -0.72 C0.24 -0.78 0.4 -0.62 0.33 -0.4 C0.29 -0.25 0.19 -0.1 0.06 0 '
    'C0.14 -0.14 0.2 -0.26 0.2 -0.38 C0.06 -0.36 -0.06 -0.62 0.05 -0.72 Z" stroke="none"/>',
    HandSign.LEAD: '<path d="M0 -0.33 H0.6" fill="none" stroke-width="0.09"/>'
    '<path d="M0.52 -0.58 L0.82 -0.33 L0.52 -0.08 Z" stroke="none"/>',
    HandSign.LOOK: '<g fill="none" stroke-width="0.08"><circle cx="0.3" cy="-0.25" r="0.24"/>'
    '<circle cx="0.98" cy="-0.25" r="0.24"/><path d="M0.54 -0.3 Q0.64 -0.42 0.74 -0.3 M0.08 -0.36 L0 -0.62 '
    'M1.2 -0.36 L1.28 -0.62"/></g>',
}


class HandMark(NamedTuple):
    """A sign with words; either may be missing."""

    text: str
    sign: HandSign = HandSign.NONE

    def width(self, size: float) -> float:
        """Width at a letter size, in its unit."""
        between = _AFTER if self.text and self.sign is not HandSign.NONE else 0.0
        return size * (_WIDTHS[self.sign] + between + LETTER * len(self.text))

    def drawn(self, x: float, y: float, size: float) -> str:
        """The mark as SVG.

        Args:
            x: its left edge.
            y: the line the words stand on, downwards.
            size: of the letters.
        """
        sign = _PATHS.get(self.sign, "")
        start = self.width(size) - size * LETTER * len(self.text)
        parts = [f'<g transform="translate({x:.1f} {y:.1f}) scale({size:.2f})">{sign}</g>' if sign else ""]
        if self.text:
            parts.append(
                f'<text x="{x + start:.1f}" y="{y:.1f}" font-family="{HAND}" font-style="italic" '
                f'font-size="{size:.1f}px" stroke="none">{escape(self.text)}</text>'
            )
        return f'<g class="agreed">{"".join(parts)}</g>'
