"""What reading a score gives: the piece, and the source the cue-annotated parts are made from."""

from dataclasses import dataclass
from pathlib import Path

from score.piece import Piece


@dataclass(frozen=True, slots=True)
class Source:
    """The score's own document, as needed to edit it.

    Attributes:
        path: the file it came from (which is never written to).
        xml: the MusicXML document as UTF-8 bytes, unpacked and partwise but otherwise unrepaired, so
            that a player's part can be kept element for element.
        digest: SHA-256 of `xml` in hex.
    """

    path: Path
    xml: bytes
    digest: str


@dataclass(frozen=True, slots=True)
class Reading:
    """The outcome of reading one file."""

    piece: Piece
    source: Source
