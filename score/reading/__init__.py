"""From a MusicXML file to a `Piece`: safe opening, repair, reading, playing order, players."""

from score.reading.result import Reading, Source

__all__ = ["Reading", "Source"]
