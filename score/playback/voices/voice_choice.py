"""Which voice an instrument gets; what stands in for one that is not modelled, and the line that says so."""

from functools import lru_cache

from score.instruments.percussion import all_percussion
from score.playback.voices.unpitched_voices import unpitched_voices
from score.playback.voices.voice_model import Noise, Partial, Voice
from score.playback.voices.voice_table import pitched_voices

# Not struck, or not one instrument: the nearest that is modelled.
STAND_INS = {
    "musical-saw": "musical-glasses",
    "flexatone": "musical-glasses",
    "waterphone": "gong",
    "drum-set": "tom-toms",
    "cuica": "congas",
    "siren": "wind-machine",
    "whistle": "finger-cymbals",
    "slide-whistle": "finger-cymbals",
    "bird-call": "finger-cymbals",
}
UNKNOWN_PITCHED = "marimba"
UNKNOWN_UNPITCHED = "wood-block"


def voice_of(key: str, pitched: bool) -> Voice:
    """The voice of an instrument key, of a click, or what stands in for it.

    A strike with a pitch on an instrument without one takes the pitch (tuned temple blocks); anything unknown is a
    marimba when it has a pitch and a wood block when it has none.
    """
    return all_voices()[resolved(key, pitched)]


def resolved(key: str, pitched: bool) -> str:
    """The key of the voice that sounds for an instrument key."""
    key = STAND_INS.get(key, key)
    if key in all_voices():
        return key
    return UNKNOWN_PITCHED if pitched else UNKNOWN_UNPITCHED


def is_modelled(key: str) -> bool:
    """Whether an instrument has a voice of its own."""
    return key in all_voices()


def stand_in_line(key: str, name: str, pitched: bool) -> str:
    """A warning that names an instrument without a voice of its own and what it sounds as; "" when it has one."""
    if is_modelled(key):
        return ""
    stand_in = all_percussion()[resolved(key, pitched)].name
    return f"{name or key or 'An instrument without a name'} has no voice of its own: it sounds as {stand_in.lower()}"


@lru_cache(maxsize=1)
def all_voices() -> dict[str, Voice]:
    """Every modelled voice by its key, the click's own included."""
    return pitched_voices() | unpitched_voices() | _clicks()


def _clicks() -> dict[str, Voice]:
    def click(pitch: float, level: float) -> Voice:
        modes = (Partial(1.0, 1.0), Partial(2.72, 0.4, 0.5))
        return Voice(modes, 0.06, pitch=pitch, level=level, noise=(Noise(2500.0, 9000.0, 0.3, t60=0.01),))

    return {
        "click-strong": click(93, 6.0),
        "click": click(86, 4.0),
        "click-weak": click(82, -1.0),
        "breath": Voice(level=-4.0),
    }
