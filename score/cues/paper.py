"""Paper and what of it the music may use."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet in mm. Margins of about 19 mm, from memory of orchestra librarians' guidelines."""

    width: float
    height: float
    side: float = 19.0
    top: float = 16.0
    bottom: float = 19.0

    @property
    def music_width(self) -> float:
        """Width of a system, mm."""
        return self.width - 2 * self.side

    @property
    def music_height(self) -> float:
        """Height that systems may fill, mm."""
        return self.height - self.top - self.bottom


PAPERS = {"a4": Paper(210.0, 297.0), "letter": Paper(215.9, 279.4)}
"""ISO 216 A4; ANSI/ASME Y14.1 Letter, 8.5 × 11 inches."""
