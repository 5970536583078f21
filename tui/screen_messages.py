"""What workers tell the screens."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual.message import Message

from score.errors import InbreathError

if TYPE_CHECKING:
    # A session knows the engine's types; the first frame must not wait for them.
    from tui.session import Session


@dataclass
class Step(Message):
    """Long work has come so far.

    Attributes:
        what: the step.
        done: from 0 to 1.
    """

    what: str
    done: float


@dataclass
class Opened(Message):
    """A score has been read."""

    session: "Session"


@dataclass
class Failed(Message):
    """Work ended with an error the user can act on."""

    error: InbreathError


@dataclass
class Written(Message):
    """Files were written; where, in words."""

    where: str
