"""What the practice screen says of who hears the player and of a pass that was kept."""

from score.playback.sounding.sound_messages import EarsFound
from score.takes.history import Readiness
from tui.hearing import NOBODY, EarChoice, EarKind, KeptPass
from tui.pass_facts import pass_line


def ear_choices(found: EarsFound) -> tuple[EarChoice, ...]:
    """Everything that can hear the player on this computer."""
    ports = tuple(EarChoice(EarKind.MIDI, port) for port in found.ports)
    microphones = (EarChoice(EarKind.MICROPHONE), EarChoice(EarKind.HEADPHONES)) if found.microphones else ()
    return (NOBODY, EarChoice(EarKind.KEYS), *ports, *microphones, EarChoice(EarKind.FILE))


def kept_words(kept: KeptPass, proposed: Readiness | None) -> str:
    """A judged pass in one line, with what it proposes.

    Args:
        kept: the pass.
        proposed: readiness that a key accepts, None for none.
    """
    judged = kept.judged
    if not judged.judged:
        return f"Not judged: {judged.why}"
    after = f"A: {proposed.value} at {100 * kept.what.tempo:.0f} %" if proposed else "Ctrl+Z forgets it."
    return f"{pass_line(judged)}. {after}"
