"""One table of the tuning log, with checks that name file, table and field."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from score.errors import RequestError, TuningLogError
from score.group.group_file import Table
from score.tubes.air import Air


class LogTable(Table):
    """A table whose fields must be there: what is missing was lost, for the log is written whole.

    Every method raises `TuningLogError` in one line when the field cannot be used.
    """

    def __init__(self, path: Path, name: str, entry: object, which: str = "") -> None:
        """A table of the log.

        Args:
            path: of the log.
            name: as written, with its brackets.
            entry: what TOML holds.
            which: of several, such as "3 (E3)".
        """
        self.which = which
        super().__init__(path, name, entry)

    def wrong(self, what: str, remedy: str) -> TuningLogError:
        """The error to raise: what is wrong in this table, and what to do."""
        where = f"{self.name} {self.which}".strip()
        return TuningLogError(f"Tuning log {self.path.name}", f"{where} {what}", remedy)

    def needed(self, field: str, low: float, high: float) -> float:
        """A figure from low to high that must be there."""
        value = self._there(field)
        if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
            raise self.wrong(f"has {field} = {value!r}", f"it must be a figure from {low:g} to {high:g}")
        return float(value)

    def named(self, field: str) -> str:
        """A text that must be there and say something."""
        value = self._there(field)
        if not isinstance(value, str) or not value.strip():
            raise self.wrong(f"has {field} = {value!r}", f'write the note\'s name: {field} = "C3"')
        return value

    def yes(self, field: str) -> bool:
        """True or false."""
        value = self._there(field)
        if not isinstance(value, bool):
            raise self.wrong(f"has {field} = {value!r}", f"write {field} = true or {field} = false")
        return value

    def air(self, field: str) -> Air:
        """Temperature and humidity."""
        value = self._there(field)
        figures = isinstance(value, list) and all(type(figure) in (int, float) for figure in value)
        if not isinstance(value, list) or not figures or len(value) != 2:
            raise self.wrong(f"has no temperature and humidity in {field}", f"write {field} = [20.0, 50.0]")
        with self.mine():
            return Air(float(value[0]), float(value[1]))

    @contextmanager
    def mine(self) -> Iterator[None]:
        """Give an error of what the fields make the name of file and table."""
        try:
            yield
        except RequestError as error:
            raise self.wrong(f"cannot be used: {error.what}", error.remedy) from error

    def _there(self, field: str) -> object:
        if field not in self.entry:
            raise self.wrong(f"lacks {field}", "the file was cut short or edited: take it from a copy")
        return self.entry[field]
