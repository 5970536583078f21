"""The list of what had to be repaired or supplied while a score was read."""

from score.piece import ReadingWarning


class WarningLog:
    """Collects warnings in the order they are found, each different one once."""

    def __init__(self) -> None:
        self._found: dict[ReadingWarning, None] = {}

    def add(self, what: str, part: str = "", bar: str = "") -> None:
        """Note one thing: a sentence, the printed name of the part and the label of the bar."""
        self._found[ReadingWarning(what, part, bar)] = None

    def extend(self, warnings: "tuple[ReadingWarning, ...] | list[ReadingWarning]") -> None:
        """Note what another reader found."""
        self._found.update(dict.fromkeys(warnings))

    @property
    def warnings(self) -> tuple[ReadingWarning, ...]:
        """Everything noted so far."""
        return tuple(self._found)
