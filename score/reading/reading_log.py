"""The list of what had to be repaired or supplied while a score was read."""

from collections.abc import Sequence

from score.piece import ReadingWarning
from score.plain_text import harmless


class WarningLog:
    """Collects warnings in the order they are found, each different one once."""

    def __init__(self) -> None:
        self._warnings: dict[ReadingWarning, None] = {}

    def add(self, what: str, part: str = "", bar: str = "") -> None:
        """Note one thing: a sentence, the printed name of the part and the label of the bar."""
        self._warnings[ReadingWarning(harmless(what), part, bar)] = None

    def extend(self, warnings: Sequence[ReadingWarning]) -> None:
        """Note what another reader found."""
        self._warnings.update(dict.fromkeys(warnings))

    def in_order(self, labels: Sequence[str]) -> tuple[ReadingWarning, ...]:
        """Everything noted, by bar; what concerns no single bar comes first.

        Args:
            labels: how the score's bars are called, in order.
        """
        index = {label: position for position, label in reversed(list(enumerate(labels)))}
        return tuple(sorted(self._warnings, key=lambda warning: index.get(warning.bar, -1)))

    @property
    def warnings(self) -> tuple[ReadingWarning, ...]:
        """Everything noted so far."""
        return tuple(self._warnings)
