"""What the practice screen says of who hears the player and of a pass that was kept."""

from score.playback.sounding.sound_messages import EarsFound
from tui.hearing import NOBODY, EarChoice, EarKind, KeptPass
from tui.pass_facts import pass_line


def ear_choices(found: EarsFound) -> tuple[EarChoice, ...]:
    """Everything that can hear the player on this computer."""
    return (NOBODY, EarChoice(EarKind.KEYS), *(EarChoice(EarKind.MIDI, port) for port in found.ports))


def kept_words(kept: KeptPass) -> str:
    """A judged pass in one line."""
    judged = kept.judged
    return f"{pass_line(judged)}. Ctrl+Z forgets it." if judged.judged else f"Not judged: {judged.why}"
