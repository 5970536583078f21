"""Options that several commands take together."""

from collections.abc import Callable, Sequence
from functools import reduce
from typing import Any, TypeVar

Command = TypeVar("Command", bound=Callable[..., Any])


def take_options(command: Command, options: Sequence[Callable[[Any], Any]]) -> Command:
    """Give a command some options, which its help lists in their order."""
    return reduce(lambda inner, option: option(inner), reversed(options), command)
