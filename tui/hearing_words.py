"""What the practice screen says of who hears the player and of a pass that was kept."""

from score.playback.sounding.sound_messages import EarsFound
from score.takes.pad_delay_text import MEASURE_AGAIN
from score.takes.readiness import Readiness
from tui.drawing.last_pass import LastPassFacts, Partner
from tui.ear_choice import NOBODY, EarChoice, EarKind
from tui.heard_pass import KeptPass
from tui.pass_facts import PassFacts, pass_line

CARE = (
    "A microphone is open in passes only; nothing leaves this computer.\n"
    "Headphones: start low; hold one to the microphone as it counts in.\n"
    "Loud rooms: protect your ears and take breaks."
)
"""What to mind before the player chooses who hears: it stands where microphone and headphones are switched on."""


def ear_choices(ears: EarsFound) -> tuple[EarChoice, ...]:
    """Everything that can hear the player on this computer."""
    ports = tuple(EarChoice(EarKind.MIDI, port) for port in ears.ports)
    microphones = (EarChoice(EarKind.MICROPHONE), EarChoice(EarKind.HEADPHONES)) if ears.microphones else ()
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
    lost = f"lost {kept.lost}" if kept.lost else ""
    if kept.what.is_by_heart:
        lost = f"by heart, {lost or 'nothing lost'}{': N goes there' if kept.passages else ''}"
    after = f"A: {proposed.value} at {100 * kept.what.tempo:.0f} %" if proposed else "Ctrl+Z forgets it."
    line = pass_line(judged)
    if any(MEASURE_AGAIN in remark for remark in judged.remarks):
        line = f"Delay may have changed: inbreath sound --hear --pad. {line}"
    if not lost:
        return f"{line}. {after}"
    # What was lost and the keys first: where the line is cut, the figures stand in the head or come after it.
    return f"{lost[0].upper()}{lost[1:]}. {after.removesuffix('.')}. {line}"


def last_pass_facts(heard: PassFacts) -> LastPassFacts | None:
    """The last pass for the head of a tall screen, None before any."""
    last = heard.last
    if last is None:
        return None
    points = last.tempo
    first, span = (points[0].seconds, points[-1].seconds - points[0].seconds or 1.0) if points else (0.0, 1.0)
    return LastPassFacts(
        last.words or f"not judged: {last.why}",
        [((point.seconds - first) / span, point.tempo, point.asked) for point in points],
        heard.findings[0] if heard.findings else "",
        partners=[Partner(each.number, each.spread_ms, each.words) for each in heard.partners],
    )
