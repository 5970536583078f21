"""Options that take a number: the help says which numbers do, and whatever else is typed is refused in one line."""

from collections.abc import Callable
from math import isfinite
from typing import Any

import click


class TypedNumber(click.ParamType):  # type: ignore[type-arg]
    """A number as somebody types it after an option; neither infinite nor "not a number" is one.

    Args:
        between: the smallest that is taken and the largest, None for any number.
        whole: only whole numbers.
    """

    name = "number"

    def __init__(self, between: tuple[float, float] | None = None, *, whole: bool = False) -> None:
        self.between, self.whole = between, whole

    @property
    def limits(self) -> str:
        """In words: "4 to 12", "" where any number does."""
        return f"{self.between[0]:.10g} to {self.between[1]:.10g}" if self.between else ""

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """The number.

        Raises:
            click.BadParameter: the text is none, or is out of the limits.
        """
        if isinstance(value, (int, float)):
            return value
        number = self._number(str(value))
        if number is None:
            kind = "a whole number" if self.whole else "a number"
            self.fail(f"{value!r} is not {kind}{f' from {self.limits}' if self.between else ''}.", param, ctx)
        return number

    def _number(self, text: str) -> float | None:
        """What the text says, None where that does not do."""
        try:
            number = int(text) if self.whole else float(text)
        except ValueError:
            return None
        least, most = self.between or (number, number)
        return number if least <= number <= most and (self.whole or isfinite(number)) else None


PLAYER = TypedNumber(whole=True)
"""A player's number: which there are, the score knows."""


def number_option(
    *names: str, between: tuple[float, float], whole: bool = False, **settings: Any
) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """An option that takes a number, whose help ends with the usual one and the limits.

    Args:
        names: of the option, as `click.option` takes them.
        between: the smallest number that is taken, and the largest.
        whole: only whole numbers.
        settings: as `click.option` takes them; with `show_default` the help names the default.
    """
    figure = TypedNumber(between, whole=whole)
    usual = f"default: {settings['default']:g}; " if settings.pop("show_default", False) else ""
    settings["help"] += f"  [{usual}{figure.limits}]"
    return click.option(*names, type=figure, **settings)
