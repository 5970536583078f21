"""The record of prints of one score in one folder, kept from one print to the next."""

from pathlib import Path

from score.cues.sheet import Level
from score.library_version import library_version
from score.parts.paper import PageOptions
from score.parts.print_record import LastPrint, PrintedPage, PrintedPart, read_record, write_record
from score.plain_text import file_stem
from score.reading.reading_result import Reading


class Prints:
    """What was printed last into a folder, and what is printed now.

    Args:
        reading: the score.
        folder: where its parts are written.
        level: how much is cued.
        pages: how pages look.
    """

    def __init__(self, reading: Reading, folder: Path, level: Level, pages: PageOptions) -> None:
        self._path = folder / f"{file_stem(reading.source.path)}-prints.json"
        self._parts = dict(read_record(self._path))
        self._source = reading.source.digest
        asked = (str(value) for value in pages._replace(pulse=None, fade=None) if value is not None)
        # With another of these the breaks of the last print mean nothing.
        self._setting = " ".join((library_version("verovio"), level.value, *asked, f"{len(reading.piece.bars)} bars"))

    def last(self, player: int, *, anew: bool = False, both_sides: bool = False, apart: bool = False) -> LastPrint:
        """What the next print of a player's part goes by.

        Args:
            player: the player's number.
            anew: breaks are not kept.
            both_sides: changed pages come with the other side of their sheet.
            apart: changed pages are wanted as a document of their own.
        """
        part = self._parts.get(player)
        if part is None:
            return LastPrint(both_sides=both_sides, apart=apart)
        is_kept = part.setting == self._setting and not anew
        return LastPrint(part.pages, is_kept, both_sides=both_sides, apart=apart)

    def add(self, player: int, pages: tuple[PrintedPage, ...]) -> None:
        """The part is printed."""
        self._parts[player] = PrintedPart(self._setting, pages)

    def write(self) -> None:
        """Keep it.

        Raises:
            WritingError: the folder cannot be written.
        """
        write_record(self._path, self._parts, self._source)
