"""What a player has chosen to be heard by."""

from enum import StrEnum
from typing import NamedTuple

from score.playback.sounding.sound_messages import Listen
from tui.session import Session


class EarKind(StrEnum):
    """What hears the player."""

    NOBODY = "nobody"
    KEYS = "tapped keys"
    MIDI = "MIDI"
    MICROPHONE = "microphone"
    HEADPHONES = "microphone, headphones on"
    FILE = "sound file"

    @property
    def is_sound(self) -> bool:
        """Whether sound is heard, and not strokes one by one."""
        return self in (EarKind.MICROPHONE, EarKind.HEADPHONES, EarKind.FILE)


class EarChoice(NamedTuple):
    """What the player has chosen to be heard by.

    Attributes:
        kind: what it is.
        port: name of a MIDI port or path of a sound file, "" for none.
    """

    kind: EarKind
    port: str = ""

    def words(self) -> str:
        """For a list and for the foot."""
        return f"{self.kind.value}: {self.port}" if self.port else self.kind.value

    def wish(self, level: float = 0.0) -> Listen:
        """As the sound process is told; with loudspeakers every stroke of the others would light one.

        Args:
            level: loudness of the player kept from an earlier take, 0 for none.
        """
        if self.kind is EarKind.FILE:
            return Listen(file=self.port, lights=True, level=level)
        lights = self.kind is EarKind.HEADPHONES
        return Listen(self.port, microphone=self.kind.is_sound, lights=lights, level=level if lights else 0.0)


NOBODY = EarChoice(EarKind.NOBODY)


def recalled_ear(session: Session, setting: str) -> EarChoice:
    """The ear of the settings, or the one that was chosen last on this computer where they name none.

    Args:
        session: the opened piece.
        setting: who hears the player as the settings say it, "" for nothing.
    """
    if setting:
        kind, _, port = setting.partition(": ")
        return EarChoice(EarKind(kind), port)
    kept = session.history.recall("ear")
    for kind in EarKind:
        if kept == kind.value or kept.startswith(f"{kind.value} "):
            return EarChoice(kind, kept[len(kind.value) + 1 :])
    return NOBODY


def delay_name(choice: EarChoice) -> str:
    """By which the history keeps the delay of a pad or of keys."""
    return f"delay {choice.words()}"


def count_in_name(choice: EarChoice) -> str:
    """By which the history keeps how count-ins were struck on a pad or on keys."""
    return f"count-in {choice.words()}"


def kept_level(session: Session) -> float:
    """Loudness of this player kept from a take really played, 0 for none."""
    try:
        return float(session.history.recall(_level_name(session)) or 0.0)
    except ValueError:
        return 0.0


def keep_level(session: Session, level: float) -> None:
    """Keep it for passes to come."""
    session.history.remember(_level_name(session), repr(level))


def _level_name(session: Session) -> str:
    return f"level {session.piece.digest} {session.me.number}"
