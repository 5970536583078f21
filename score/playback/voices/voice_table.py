"""The voices of the pitched instruments, and how partials are put together. Decay times and gains: by ear, no source.

Decay times follow rosewood's T60 ~ 1 / f, with a resonator E3 about 1.5 s (memory: Fletcher & Rossing).
"""

from collections.abc import Sequence

from score.playback.voices import partial_ratios
from score.playback.voices.voice_model import Noise, Partial, Voice


def partials(
    ratio: Sequence[float],
    gains: Sequence[float] = (),
    fall: float = 1.0,
    beat: float = 0.0,
    rise: float = 0.0,
) -> tuple[Partial, ...]:
    """Modes of given partial_ratios.

    Args:
        ratio: frequencies relative to the nominal pitch.
        gains: amplitudes; those not given fall as 1 / (place in the row).
        fall: a mode's T60 falls as 1 / ratio ** fall.
        beat: Hz between a mode and its twin, growing with the ratio.
        rise: seconds in which modes build up, the higher the later.
    """
    base = ratio[0]
    loudness = (*gains, *(1.0 / (place + 1) for place in range(len(gains), len(ratio))))
    return tuple(
        Partial(r, g, (base / r) ** fall, rise=rise * (1.0 - base / r), beat=beat * r)
        for r, g in zip(ratio, loudness, strict=False)
    )


_KNOCK = Noise(200.0, 2500.0, 0.25, t60=0.02)
_BARS = partials(partial_ratios.MARIMBA, (1.0, 0.35, 0.12), 1.2)


def pitched_voices() -> dict[str, Voice]:
    """Voices with a definite pitch by instrument key; ranges in sounding MIDI numbers, usual instruments."""
    return _bars() | _metal() | _others()


def _bars() -> dict[str, Voice]:
    marimba = Voice(_BARS, t60=0.95, slope=1.0, noise=(_KNOCK,), low=36, high=96, longest=4.0)
    xylophone = partials(partial_ratios.XYLOPHONE, (1.0, 0.6, 0.3), 0.8)
    knock = (Noise(800.0, 6000.0, 0.2, t60=0.015),)
    return {
        "marimba": marimba,
        "bass-marimba": Voice(_BARS, t60=0.95, slope=1.0, noise=(_KNOCK,), low=24, high=60, longest=4.0),
        "xylophone": Voice(xylophone, t60=0.8, slope=0.8, noise=knock, low=65, high=108),
        "xylorimba": Voice(xylophone, t60=0.85, slope=0.9, noise=knock, low=48, high=108),
        "balafon": Voice(
            partials(partial_ratios.MARIMBA, (1.0, 0.5, 0.2)), t60=0.5, slope=0.8, noise=knock, low=48, high=84
        ),
        "vibraphone": Voice(
            partials(partial_ratios.VIBRAPHONE, (1.0, 0.3, 0.08), 0.9), t60=5.0, slope=0.7, low=53, high=89
        ),
        "metallophone": Voice(partials(partial_ratios.FREE_BAR[:4], (1.0, 0.3)), t60=2.5, slope=0.7, low=48, high=84),
        "song-bells": Voice(partials(partial_ratios.FREE_BAR[:4], (1.0, 0.3)), t60=3.0, slope=0.6, low=55, high=84),
        "glockenspiel": Voice(
            partials(partial_ratios.FREE_BAR[:4], (1.0, 0.5, 0.2), 0.7), t60=5.0, slope=0.5, low=79, high=108
        ),
        "celesta": Voice(partials(partial_ratios.FREE_BAR[:3], (1.0, 0.2, 0.05)), t60=2.5, slope=0.6, low=60, high=108),
    }


def _metal() -> dict[str, Voice]:
    gong = partials(partial_ratios.BUTTON_GONG, (1.0, 0.5, 0.15, 0.15, 0.08), 0.8, beat=0.6)
    bowl = partials(partial_ratios.RING, (1.0, 0.6, 0.3, 0.15, 0.08), 0.9, beat=0.5)
    return {
        "crotales": Voice(
            partials(partial_ratios.DISC, (1.0, 0.25, 0.35, 0.1, 0.1), 0.6), t60=9.0, slope=0.5, low=84, high=108
        ),
        "chimes": Voice(
            partials(partial_ratios.CHIME, (0.15, 0.4, 1.0, 0.8, 0.5, 0.25), 0.5), t60=4.5, slope=0.4, low=60, high=77
        ),
        "tuned-gongs": Voice(gong, t60=4.5, slope=0.4, low=36, high=84, overlap=0.15),
        "singing-bowl": Voice(bowl, t60=7.0, slope=0.4, low=48, high=84, overlap=0.3),
        "musical-glasses": Voice(partials(partial_ratios.RING[:3], (1.0, 0.2)), t60=2.0, slope=0.4, low=60, high=96),
        "handbells": Voice(
            partials(partial_ratios.HANDBELL, (1.0, 0.35, 0.1), 0.8), t60=4.0, slope=0.5, low=48, high=108
        ),
        "church-bells": Voice(
            partials(partial_ratios.BELL, (0.5, 0.7, 0.5, 0.3, 1.0, 0.4, 0.4, 0.3), 0.8, 0.3), t60=9.0, low=36, high=72
        ),
        "almglocken": Voice(partials((1.0, 2.1, 3.2, 4.6), (1.0, 0.6, 0.4)), t60=0.9, slope=0.4, low=48, high=96),
        "steel-pan": Voice(
            partials(partial_ratios.PAN, (1.0, 0.7, 0.3, 0.12), 0.6), t60=1.2, slope=0.5, low=36, high=88
        ),
        "kalimba": Voice(partials(partial_ratios.CLAMPED_BAR[:3], (1.0, 0.15)), t60=1.2, slope=0.6, low=48, high=88),
        "cimbalom": Voice(partials((1, 2, 3, 4, 5, 6, 7), (1.0, 0.8, 0.6), 0.6), t60=2.5, slope=0.5, low=36, high=88),
    }


def _others() -> dict[str, Voice]:
    head = (*partials(partial_ratios.KETTLEDRUM, (1.0, 0.7, 0.4, 0.2, 0.12), 0.6), Partial(0.85, 0.35, 0.12))
    air = (Noise(150.0, 1800.0, 0.15, t60=0.06),)
    stopped = partials((1.0, 3.0, 5.0), (1.0, 0.3, 0.1), 0.5)  # a tube closed by its skin: odd partials (textbooks)
    return {
        "boobams": Voice(stopped, t60=0.4, slope=0.5, noise=(Noise(120.0, 2500.0, 0.2, t60=0.04),), low=41, high=77),
        "timpani": Voice(head, t60=1.8, slope=0.5, noise=(Noise(60.0, 500.0, 0.2, t60=0.05),), low=36, high=60),
        "tubes": Voice(
            partials(partial_ratios.OPEN_TUBE, (1.0, 0.6, 0.35), 0.5), t60=0.45, slope=0.5, noise=air, low=36, high=72
        ),
    }
