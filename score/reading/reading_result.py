"""What reading a score gives: the piece, and the source the cue-annotated parts are made from."""

from pathlib import Path
from typing import NamedTuple

from score.piece import Bar, Piece, Tempo, TempoChange


class Source(NamedTuple):
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


class Outline(NamedTuple):
    """What is known of a score before its notes are read: enough to set out everybody's part.

    Attributes:
        source: the score's own document.
        bars, tempi, tempo_changes: as in the piece to come.
        players: (number, indices of the parts that are theirs).
    """

    source: Source
    bars: tuple[Bar, ...]
    tempi: tuple[Tempo, ...]
    tempo_changes: tuple[TempoChange, ...]
    players: tuple[tuple[int, tuple[int, ...]], ...]


class Reading(NamedTuple):
    """The outcome of reading one file."""

    piece: Piece
    source: Source

    @property
    def outline(self) -> Outline:
        """What was known before the notes."""
        piece = self.piece
        players = tuple((player.number, player.parts) for player in piece.players)
        return Outline(self.source, piece.bars, piece.tempi, tempo_changes=piece.tempo_changes, players=players)
