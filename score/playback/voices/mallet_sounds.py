"""What a mallet's hardness does: the contact it makes, and how much of each partial that contact lets through."""

HARDNESS_LAYERS = 5
VELOCITY_LAYERS = 4

# Common practice, no source: wound beaters stay on for some 4 ms, hard plastic or brass for some 0.25 ms.
_SOFT, _HARD = 0.004, 0.00025


def contact_seconds(hardness: float, velocity: int) -> float:
    """How long the mallet stays on the bar.

    Args:
        hardness: 0 soft to 1 hard.
        velocity: 1 to 127. By Hertz's law of impact the contact shortens with speed ** (1/5) (memory).
    """
    resting = _SOFT * (_HARD / _SOFT) ** min(1.0, max(0.0, hardness))
    return float(resting * (64.0 / max(1, velocity)) ** 0.2)


def let_through(frequency: float, contact: float) -> float:
    """Share of a partial that a contact of that many seconds excites: smooth bound of a half-sine's spectrum."""
    return float(1.0 / (1.0 + (2.0 * frequency * contact) ** 2))


def hardness_layer(hardness: float) -> int:
    """Hardness in few steps, so that sounds can be kept: 0 to `HARDNESS_LAYERS` - 1."""
    return round(min(1.0, max(0.0, hardness)) * (HARDNESS_LAYERS - 1))


def velocity_layer(velocity: int) -> int:
    """Velocity in few steps of brightness; loudness itself stays exact. 0 to `VELOCITY_LAYERS` - 1."""
    return min(VELOCITY_LAYERS - 1, max(0, velocity) * VELOCITY_LAYERS // 128)


def of_layers(hardness: int, velocity: int) -> tuple[float, int]:
    """(hardness, velocity) in the middle of a pair of layers."""
    return hardness / (HARDNESS_LAYERS - 1), round((velocity + 0.5) * 128 / VELOCITY_LAYERS)


def loudness_gain(velocity: int) -> float:
    """Amplitude of a velocity against 127: 40 log10(v / 127) dB (memory: General MIDI 2 guidelines)."""
    return float((min(127, max(0, velocity)) / 127.0) ** 2)
