"""What a voice is made of: partials that decay, bands of noise, and small repeated sounds. Data types only."""

from dataclasses import dataclass

C4 = 261.6256
"""Hz; reference of the decay times."""


@dataclass(frozen=True, slots=True)
class Partial:
    """One mode of vibration.

    Attributes:
        ratio: frequency as a multiple of the voice's nominal pitch.
        gain: amplitude for an ideally short blow, relative to the others.
        decay: T60 as a multiple of the voice's own.
        rise: seconds in which the mode builds up (a plate hands its energy upwards); 0 for none.
        beat: Hz by which a weaker twin of the mode is higher (shapes that are not quite round); 0 for none.
    """

    ratio: float
    gain: float
    decay: float = 1.0
    rise: float = 0.0
    beat: float = 0.0


@dataclass(frozen=True, slots=True)
class Noise:
    """A band of noise that decays (snares, jingles, air).

    Attributes:
        low, high: the band's limits, Hz.
        gain: RMS at its onset relative to a partial of gain 1.
        t60: seconds in which it falls by 60 dB.
        rise: seconds in which it builds up.
    """

    low: float
    high: float
    gain: float
    t60: float
    rise: float = 0.0


@dataclass(frozen=True, slots=True)
class Grain:
    """One of several small sounds that make a single stroke (the bells of a bell tree, the teeth of a ratchet).

    Attributes:
        seconds: from the stroke.
        semitones: from the voice's pitch.
        gain: relative to the others.
    """

    seconds: float
    semitones: float
    gain: float


@dataclass(frozen=True, slots=True)
class Voice:
    """How an instrument sounds.

    Attributes:
        partials: its modes; empty for a voice of noise alone.
        t60: decay time of a partial with decay 1 at C4, seconds.
        slope: decay times fall with the pitch as 1 / f ** slope.
        pitch: MIDI number of its middle size when it has no definite pitch.
        step: semitones from one size, or one staff step, to the next.
        noise: bands of noise.
        grains: the small sounds of one stroke; empty for one sound.
        level: dB against the other voices.
        overlap: seconds in which an earlier stroke on the same instrument dies under a new one.
        low, high: usual range, sounding MIDI numbers; 0 when it has no definite pitch.
        longest: seconds after which it is faded out at the latest.
    """

    partials: tuple[Partial, ...] = ()
    t60: float = 1.0
    slope: float = 0.0
    pitch: float = 60.0
    step: float = 2.0
    noise: tuple[Noise, ...] = ()
    grains: tuple[Grain, ...] = ()
    level: float = 0.0
    overlap: float = 0.08
    low: int = 0
    high: int = 0
    longest: float = 6.0

    @property
    def pitched(self) -> bool:
        """Whether it has a definite pitch."""
        return self.high > 0

    def decay(self, frequency: float) -> float:
        """T60 in seconds of a partial with decay 1, at a nominal pitch in Hz."""
        return float(self.t60 * (C4 / frequency) ** self.slope)


def hertz(pitch: float) -> float:
    """Frequency of a MIDI number in equal temperament, A4 = 440 Hz."""
    return float(440.0 * 2.0 ** ((pitch - 69.0) / 12.0))
