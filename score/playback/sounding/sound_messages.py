"""What the two sides of the pipe say to each other."""

from dataclasses import dataclass
from math import inf

from score.playback.sound_events import Timeline
from score.strokes.heard_stroke import HeardStroke


@dataclass(frozen=True, slots=True)
class Load:
    """Take this timeline; nothing sounds yet.

    Attributes:
        timeline: what to play.
        loop: begin again at the end, after `gap` seconds.
        gap: seconds of silence between passes.
        number: by which `PassTime` calls it.
    """

    timeline: Timeline
    loop: bool = False
    gap: float = 0.0
    number: int = 0


@dataclass(frozen=True, slots=True)
class Swap:
    """Go on with this timeline from the next beat: another tempo or shape, other players, another click.

    Attributes:
        timeline: the same route, otherwise made.
        number: by which `PassTime` calls it.
    """

    timeline: Timeline
    number: int = 0


@dataclass(frozen=True, slots=True)
class Play:
    """Begin, from so many seconds into the timeline."""

    seconds: float = 0.0


@dataclass(frozen=True, slots=True)
class Silence:
    """Fall silent at once."""


@dataclass(frozen=True, slots=True)
class Loop:
    """Loop, or play to the end."""

    on: bool
    gap: float = 0.0


@dataclass(frozen=True, slots=True)
class Quick:
    """Sound as soon as the card can after an order, for following somebody; or safely again."""

    on: bool


@dataclass(frozen=True, slots=True)
class Quit:
    """Fall silent and end the process."""


@dataclass(frozen=True, slots=True)
class Bend:
    """From now on the timeline's seconds fall otherwise, until the next of these or the end of the pass.

    Attributes:
        seconds: into the timeline.
        moment: of the process's clock (`time.perf_counter`, which all processes share) at which they fall.
        rate: real seconds a second of the timeline from there on.
        until: seconds into the timeline from which nothing sounds yet.
    """

    seconds: float
    moment: float
    rate: float = 1.0
    until: float = inf


@dataclass(frozen=True, slots=True)
class LookForEars:
    """Say what there is to hear a player with."""


@dataclass(frozen=True, slots=True)
class Listen:
    """Hear a player from now on.

    Attributes:
        port: name of a MIDI port, "" for none.
        microphone: hear by the sound card while a pass plays.
        file: path of a sound file that is heard instead of a microphone, "" for none.
        lights: tell each stroke that stands out of the sound at once (`StoodOut`).
        level: loudness of this player kept from an earlier take, for the same; 0 for none.
    """

    port: str = ""
    microphone: bool = False
    file: str = ""
    lights: bool = False
    level: float = 0.0


Command = LookForEars | Listen | Bend | Load | Swap | Play | Silence | Loop | Quick | Quit


@dataclass(frozen=True, slots=True)
class Position:
    """Where the player is, by its own clock.

    Attributes:
        seconds: into the timeline; what is heard now, the device's latency taken off.
        bar: index of the bar; -1 in a count-in.
        beat: number of the beat in the bar, from 1.
        offset: quarters from the beginning of the route; negative in a count-in.
        turn: which pass over the timeline this is, from 1.
        quarters_per_minute: the tempo.
    """

    seconds: float
    bar: int
    beat: int
    offset: float
    turn: int
    quarters_per_minute: float


@dataclass(frozen=True, slots=True)
class PassTime:
    """In which time a pass goes: told when it begins, and again where another timeline is joined to it.

    The last one told for a place holds there: it replaces what was told before from its offset on.

    Attributes:
        number: of the timeline, as it was given with it.
        turn: which pass this is, from 1.
        offset: quarters from the beginning of the route from which it holds; minus infinity from the beginning on.
        moment: of `time.perf_counter` at which the timeline's second 0 is heard, or would have been.
        frame: of what is caught (see `Caught`) in which the timeline's second 0 is handed to the card; -1 where nobody
            hears by a card.
    """

    number: int
    turn: int
    offset: float
    moment: float
    frame: int = -1


@dataclass(frozen=True, slots=True)
class PassEnded:
    """A pass came to its end; with a loop the next one begins."""

    turn: int


@dataclass(frozen=True, slots=True)
class Stopped:
    """The player has fallen silent: asked to, or at the end."""


@dataclass(frozen=True, slots=True)
class Struck:
    """A stroke of the player's was heard.

    Attributes:
        stroke: its seconds are of `time.perf_counter`.
    """

    stroke: HeardStroke


@dataclass(frozen=True, slots=True)
class EarsFound:
    """What there is to hear a player with.

    Attributes:
        ports: names of MIDI ports.
        microphones: names of microphones.
    """

    ports: tuple[str, ...] = ()
    microphones: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Caught:
    """Some frames as they were heard and, in the same frames, played.

    Attributes:
        frame: number of the first one, since the card was opened.
        heard, sent: one channel each, 48,000 frames a second, float32.
    """

    frame: int
    heard: bytes
    sent: bytes


@dataclass(frozen=True, slots=True)
class StoodOut:
    """A stroke stood out of what a card hears: told at once and without the score, for a light and for nothing else.

    Attributes:
        frame: in which it was struck, as `Caught` counts them.
    """

    frame: float


@dataclass(frozen=True, slots=True)
class EarLost:
    """Nobody hears the player any more.

    Attributes:
        text: one line: why, and what would help.
    """

    text: str


@dataclass(frozen=True, slots=True)
class Said:
    """One line for the user: a device that was opened, refused or lost."""

    text: str
    is_trouble: bool = False


Report = Position | PassTime | PassEnded | Stopped | Said | Struck | Caught | StoodOut | EarsFound | EarLost
